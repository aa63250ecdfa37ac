"""How is a cold start told on paper: the start sheet?"""

from __future__ import annotations

import datetime

from falsework import units
from falsework.analyses.cold_start import Blocked, ColdStart
from falsework.faces.runbook.appendix import appendix
from falsework.faces.runbook.cautions import cautions
from falsework.faces.runbook.document import Box, Chapter, Runbook, Table
from falsework.faces.runbook.wording import names
from falsework.support.standing import Standing
from falsework.units import Dimension

_SHOWN = ("circuit", "ups", "strip", "switch", "node", "store", "service", "alarm")
"""Words of what is looked at when the power comes back."""


def of_cold_start(standing: Standing, found: ColdStart, blocked: Blocked, *, date: datetime.date) -> Runbook:
    """The start sheet: what to switch on, then what should be up by when, then what stays down and why."""
    lab = standing.lab
    things = standing.support.things
    boxes = [
        Box(
            number=str(number),
            says=f"Switch on {name}",
            check=f"{name} is up",
            notes=("it stays off after a power cut",),
        )
        for number, name in enumerate(found.by_hand, start=1)
    ]
    rows = tuple(
        (_time(at), things[name].word, name, "")
        for name, at in sorted(found.up_s.items(), key=lambda each: (each[1], each[0]))
        if name in lab.things and things[name].word in _SHOWN
    )
    chapters = [Chapter(title="What hands must switch on", boxes=tuple(boxes))] if boxes else []
    chapters.append(
        Chapter(
            title="What is up by when",
            says=(
                "Counted from the moment the power is back. Look at each, and write down when it really was up.",
            ),
            tables=(
                Table(title="", head=("after", "what", "name", "up at"), rows=rows, widths=(2, 2, 4, 2)),
            ),
        )
    )
    if not found.whole:
        why = tuple(f"each waits for the next: {' -> '.join(circle)}." for circle in found.circles[:6])
        early = (
            (f"{names(found.too_early, 8)} tried once, too early: start them again.",)
            if found.too_early
            else ()
        )
        chapters.append(Chapter(title="What stays down", says=(f"{names(found.stuck, 12)}.", *why, *early)))
    last = max((at for name, at in found.up_s.items() if name in lab.things), default=0.0)
    lead = (
        f"All is up {_time(last)} after the power is back."
        if found.whole
        else f"{len(found.stuck)} of the services, machines and alarms stay down."
    )
    return Runbook(
        title="Cold start",
        lab=lab.name,
        date=date,
        source=str(lab.where.file),
        lead=(lead,),
        cautions=cautions(lab),
        chapters=tuple(chapters),
        appendix=appendix(lab),
    )


def _time(seconds: float) -> str:
    return units.format(seconds, Dimension.TIME)
