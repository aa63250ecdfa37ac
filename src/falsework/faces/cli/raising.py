"""In which order is the lab built, with which stand-ins, and what is fragile on the way?"""

from __future__ import annotations

import datetime
import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from falsework.analyses.raising.raised import Raised
from falsework.analyses.raising.result import Plan
from falsework.analyses.raising.whole import raised
from falsework.errors import QuestionError
from falsework.faces.cli.lines import Line, put, put_text
from falsework.faces.cli.lose import opened
from falsework.faces.cli.paper import check_place, write_runbook
from falsework.faces.cli.progress import Told
from falsework.faces.cli.raising_lines import lines
from falsework.faces.cli.running import BROKEN, MET, check_seconds, write
from falsework.faces.plain_raising import raise_answer
from falsework.support.standing import Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the options."""

    lab: Path
    from_nothing: bool = False
    from_: str | None = None
    runbook: Path | None = None
    paper: str = "a4"
    calendar: Path | None = None
    picture: Path | None = None
    seconds: float = 20.0
    json: bool = False


def raise_lab(asked: Asked) -> int:
    """Order the work, print it, write what was asked for, return the exit status: 1 where there is no order.

    Raises:
        FalseworkError: the file, the question, or the place for what is written.
    """
    check_place(asked.runbook, asked.paper)
    check_seconds(asked.seconds, "an order")
    begins = _day(asked.from_)
    if begins is None and (asked.calendar is not None or asked.picture is not None):
        begins = datetime.date.today()
    with Told() as tell:
        tell("reading the lab", 0, 1)
        standing = opened(asked.lab, ())
        found = raised(
            standing,
            from_nothing=asked.from_nothing,
            begins=begins,
            seconds=asked.seconds,
            progress=tell,
        )
        if not found.plan.stuck:
            _write(asked, standing, found, begins, tell)
    status = BROKEN if found.plan.stuck else MET
    if asked.json:
        answer = raise_answer(standing, found.plan, found.fragile, found.schedule, status)
        put_text(json.dumps(answer, indent=2, allow_nan=False) + "\n")
    else:
        put(lines(standing, found.plan, found.fragile, found.schedule))
        put(_written(asked, found.plan))
    return status


def _write(asked: Asked, standing: Standing, found: Raised, begins: datetime.date | None, tell: Told) -> None:
    """Everything that was asked to be written; an older file is replaced."""
    lab = standing.lab
    if asked.runbook is not None:
        # Only here, as the others below: typesetting and drawing load what no other answer needs.
        from falsework.faces.report.raising import raising_print
        from falsework.faces.runbook.document import Picture
        from falsework.faces.runbook.of_plan import of_plan

        tell("writing the runbook", 0, 1)
        day = begins or datetime.date.today()
        drawn = raising_print(found.plan, found.fragile, found.schedule) if found.plan.steps else ""
        curve = Picture(svg=drawn, says="What hangs on one part after every step; stand-ins stand below.")
        of = of_plan(
            lab,
            found.plan,
            found.fragile,
            found.schedule,
            date=day,
            pictures=(curve,) if drawn else (),
        )
        write_runbook(asked.runbook, of, paper=asked.paper)
    if asked.calendar is not None and found.schedule is not None:
        from falsework.faces.calendar import calendar

        tell("writing the calendar", 0, 1)
        write(asked.calendar, calendar(lab, found.plan, found.schedule), over=True)
    if asked.picture is not None:
        from falsework.faces.report.raising import raising_sheet

        tell("drawing", 0, 1)
        drawn = raising_sheet(lab, found.plan, found.fragile, found.schedule)
        write(asked.picture, f"{drawn}\n", over=True)


def _written(asked: Asked, order: Plan) -> Iterator[Line]:
    for what, path in (
        ("runbook", asked.runbook),
        ("calendar", asked.calendar),
        ("picture", asked.picture),
    ):
        if path is None:
            continue
        yield Line()
        if order.stuck or (what == "calendar" and not order.steps):
            yield Line(f"No {what} was written: there is no step to tell of.")
        else:
            yield Line(f"The {what} is in {path}.")


def _day(text: str | None) -> datetime.date | None:
    if text is None:
        return None
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        raise QuestionError(
            f"--from '{text}' is no day", "Write year, month and day, as in 2026-12-04."
        ) from None
