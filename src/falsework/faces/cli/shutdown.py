"""Does each battery last until what it carries has stopped, and does the message to stop arrive?"""

from __future__ import annotations

import datetime
import json
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from falsework.analyses.shutdown import Shutdown, Stop, stop
from falsework.errors import few
from falsework.faces.cli.lines import Line, labelled, put, put_text
from falsework.faces.cli.lose import opened
from falsework.faces.cli.paper import check_place, write_runbook
from falsework.faces.cli.progress import Told
from falsework.faces.cli.running import BROKEN, MET
from falsework.faces.cli.table import table
from falsework.faces.plain_stopping import shutdown_answer
from falsework.faces.stopping_words import MACHINES_HEAD, details, headline, machine_row, time
from falsework.findings.finding import POWER_CAUTION
from falsework.model.parts import Ups
from falsework.support.standing import Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the options."""

    lab: Path
    out: tuple[str, ...] = ()
    cut: tuple[str, ...] = ()
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
        found = stop(standing, asked.cut)
        if asked.runbook is not None:
            # Only here: typesetting loads what no other answer needs.
            from falsework.faces.runbook.of_shutdown import of_shutdown

            tell("writing the stop sheet", 0, 1)
            sheet = of_shutdown(standing, found, date=datetime.date.today())
            write_runbook(asked.runbook, sheet, paper=asked.paper)
    status = BROKEN if found.broken else MET
    if asked.json:
        put_text(json.dumps(shutdown_answer(standing, found, status), indent=2, allow_nan=False) + "\n")
        return status
    put(_lines(standing, found))
    if asked.runbook is not None:
        put((Line(), Line(f"The stop sheet is in {asked.runbook}.")))
    return status


def _lines(standing: Standing, found: Stop) -> Iterator[Line]:
    if not found.batteries:
        if not any(ups.signals_at is not None for ups in standing.lab.of(Ups)):
            yield Line(f"{standing.lab.name}: no battery says when it signals", style="head")
            yield labelled("mend", "add `signals at: 5 min` and `tells: node` to a ups under power", indent=2)
        else:
            yield Line(f"{standing.lab.name}: no battery that signals carries anything then", style="head")
        return
    for number, each in enumerate(found.batteries):
        if number:
            yield Line()
        yield Line(headline(each), style="head")
        for label, text in details(each):
            yield labelled(label, text, indent=2, width=9)
        yield Line()
        yield from table(("after", "what"), _moments(each), right=(0,))
    if len(found.batteries) > 1 or found.silent:
        yield Line()
        yield Line(
            "All batteries run at once; what hangs on two goes on with the second, and is told by the first to signal."
        )
        for name, at in found.silent.items():
            yield Line(f"{name} never signals; it is empty after {time(at)}.")
    if found.circles:
        yield Line()
        for circle in found.circles:
            yield Line(f"{few(circle, 6)} lean on each other in a circle: taken to stop one after another.")
    if found.machines:
        yield Line()
        yield from table(MACHINES_HEAD, [machine_row(each) for each in found.machines])
    yield Line()
    yield Line(
        f"Times count from the cut of {few(found.cut, 6) or 'what nothing feeds'}, all at once.",
        style="quiet",
    )
    yield Line(POWER_CAUTION, style="quiet")


def _moments(each: Shutdown) -> Sequence[tuple[str, str]]:
    """What happens when, what happens at one moment told once."""
    signal, end = f"{each.ups} tells the machines to stop", f"{each.ups} is empty, at constant load"
    found = [(each.signal_s, 0, signal), (each.runtime_s, 2, end)]
    if each.cuts_s is not None:
        found.append((each.cuts_s, 3, f"{each.ups} switches its outlets off"))
    found += [(at, 1, name) for name, at in each.done_s.items()]
    rows: list[tuple[str, str]] = []
    stopped = ""
    for at, what, says in sorted(found):
        moment = time(at) if math.isfinite(at) else "never"
        if what == 1 and moment == stopped:
            rows[-1] = (moment, f"{rows[-1][1]}, {says}")
            continue
        stopped = moment if what == 1 else ""
        rows.append((moment, f"stopped: {says}" if what == 1 else says))
    return rows
