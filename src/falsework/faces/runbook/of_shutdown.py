"""How is a stop on battery told on paper: the stop sheet?"""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from falsework import units
from falsework.analyses.shutdown import Shutdown
from falsework.faces.runbook.appendix import appendix
from falsework.faces.runbook.cautions import cautions
from falsework.faces.runbook.document import Box, Chapter, Runbook
from falsework.faces.runbook.wording import names
from falsework.support.standing import Standing
from falsework.units import Dimension


def of_shutdown(standing: Standing, found: Sequence[Shutdown], *, date: datetime.date) -> Runbook:
    """The stop sheet: for each battery what stops when, first to stop first."""
    lab = standing.lab
    chapters = []
    number = 0
    for each in found:
        boxes = []
        for name, at in sorted(each.done_s.items(), key=lambda one: (one[1], one[0])):
            number += 1
            boxes.append(
                Box(
                    number=str(number),
                    says=f"Stop {name}",
                    when=f"{_time(at)} after the cut",
                    check=f"{name} is down in order",
                    notes=("the battery is empty before it has stopped",) if name in each.cut_hard else (),
                )
            )
        says = [
            f"{each.ups} lasts {_time(each.runtime_s)} at its present load and signals after {_time(each.signal_s)}.",
            "The load is taken as constant, which is careful: it falls as things stop.",
        ]
        if each.unreached:
            says.append(f"The message does not reach {names(each.unreached, 8)}: go there.")
        chapters.append(Chapter(title=f"On {each.ups}", says=tuple(says), boxes=tuple(boxes)))
    return Runbook(
        title="Stop on battery",
        lab=lab.name,
        date=date,
        source=str(lab.where.file),
        lead=tuple(_lead(each) for each in found) or ("No battery says when it signals.",),
        cautions=cautions(lab),
        chapters=tuple(chapters),
        appendix=appendix(lab),
    )


def _lead(each: Shutdown) -> str:
    last = max(each.done_s.values(), default=each.signal_s)
    if each.cut_hard:
        return f"{each.ups}: {_time(last - each.runtime_s)} too short; {names(each.cut_hard, 6)} would be cut hard."
    return f"{each.ups}: all has stopped {_time(last)} after the cut, {_time(each.runtime_s - last)} before it is empty."


def _time(seconds: float) -> str:
    return units.format(seconds, Dimension.TIME)
