"""Does each battery last until what it carries has stopped, and does the message to stop arrive?"""

from __future__ import annotations

import datetime
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from falsework import units
from falsework.analyses.shutdown import Shutdown, shutdowns
from falsework.errors import few
from falsework.faces.cli.lines import Line, labelled, put, put_text
from falsework.faces.cli.lose import opened
from falsework.faces.cli.paper import check_place, write_runbook
from falsework.faces.cli.progress import Told
from falsework.faces.cli.running import BROKEN, MET
from falsework.faces.cli.table import table
from falsework.faces.plain_starting import shutdown_answer
from falsework.findings.finding import POWER_CAUTION
from falsework.support.standing import Standing
from falsework.units import Dimension


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the options."""

    lab: Path
    out: tuple[str, ...] = ()
    runbook: Path | None = None
    paper: str = "a4"
    json: bool = False


def shut_down(asked: Asked) -> int:
    """Stop on each battery, print what stops when, return the exit status: 1 where something is cut hard or not told.

    Raises:
        FalseworkError: the file, the question, or the place for the stop sheet.
    """
    check_place(asked.runbook, asked.paper)
    with Told() as tell:
        tell("reading the lab", 0, 1)
        standing = opened(asked.lab, asked.out)
        found = shutdowns(standing)
        if asked.runbook is not None:
            # Only here: typesetting loads what no other answer needs.
            from falsework.faces.runbook.of_shutdown import of_shutdown

            tell("writing the stop sheet", 0, 1)
            sheet = of_shutdown(standing, found, date=datetime.date.today())
            write_runbook(asked.runbook, sheet, paper=asked.paper)
    status = BROKEN if any(each.cut_hard or each.unreached for each in found) else MET
    if asked.json:
        put_text(json.dumps(shutdown_answer(standing, found, status), indent=2, allow_nan=False) + "\n")
        return status
    put(_lines(standing, found))
    if asked.runbook is not None:
        put((Line(), Line(f"The stop sheet is in {asked.runbook}.")))
    return status


def _lines(standing: Standing, found: Sequence[Shutdown]) -> Iterator[Line]:
    if not found:
        yield Line(f"{standing.lab.name}: no battery says when it signals", style="head")
        yield labelled("mend", "add `signals at: 5 min` and `tells: node` to a ups under power", indent=2)
        return
    for number, each in enumerate(found):
        if number:
            yield Line()
        last = max(each.done_s.values(), default=each.signal_s)
        if each.cut_hard:
            short = _time(last - each.runtime_s)
            yield Line(f"{each.ups}: {short} too short; {few(each.cut_hard)} would be cut hard", style="head")
            if each.latest_signal_s >= 0:
                yield labelled("mend", f"signal after {_early(each.latest_signal_s)} at the latest", indent=2)
            else:
                yield labelled("mend", "no signal is early enough: a larger battery, or less on it", indent=2)
        else:
            spare = _time(each.runtime_s - last)
            yield Line(
                f"{each.ups}: all has stopped {_time(last)} after the cut, {spare} to spare", style="head"
            )
        if each.unreached:
            yield labelled("why", f"the message does not reach {few(each.unreached)}", indent=2)
        rows = [
            ("battery", _time(each.runtime_s), "empty, at its present load"),
            ("signal", _time(each.signal_s), "tells the machines to stop"),
        ]
        rows += [
            ("stopped", _time(at), name)
            for name, at in sorted(each.done_s.items(), key=lambda one: (one[1], one[0]))
        ]
        yield Line()
        yield from table(("", "after", "what"), rows, right=(1,))
    yield Line()
    yield Line(POWER_CAUTION, style="quiet")


def _early(seconds: float) -> str:
    """A latest moment, never rounded up: whole minutes from two minutes on."""
    return _time(seconds - seconds % (60.0 if seconds >= 120.0 else 1.0))


def _time(seconds: float) -> str:
    return units.format(seconds, Dimension.TIME)
