"""What does the record hold, and what does it prove?"""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from falsework.analyses.history import Past, Recovery, lefts, past, recovery
from falsework.errors import QuestionError
from falsework.faces.cli.lines import Line, put, put_text
from falsework.faces.cli.lose import opened
from falsework.faces.cli.progress import Told
from falsework.faces.cli.running import BROKEN, MET, write
from falsework.record.keeping import live, observed, record_of
from falsework.record.reading import all_observed, going


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the arguments and options."""

    lab: Path
    run: int | None = None
    report: Path | None = None
    paper: str = "a4"
    out: tuple[str, ...] = ()
    openmetrics: Path | None = None
    record: Path | None = None
    all: bool = False
    json: bool = False


def tell(asked: Asked) -> int:
    """Print what is asked for; return the exit status: 1 where something did not go well.

    Raises:
        FalseworkError: the lab, the record, or the place for a report.
    """
    if asked.openmetrics is not None and (asked.run or asked.report or asked.json):
        raise QuestionError(
            "--openmetrics goes with neither --run, --report nor --json", "Ask for one after the other."
        )
    if asked.report is not None:
        from falsework.faces.report.run_page import check_place

        check_place(asked.report, asked.paper)
    file = asked.record or record_of(asked.lab)
    if asked.run is not None or asked.report is not None:
        return _one(asked, file)
    return _whole(asked, file)


def worst(found: Recovery) -> int:
    """The exit status of a recovery table."""
    return BROKEN if any(row.bad for row in found.rows) else MET


def _one(asked: Asked, file: Path) -> int:
    standing = opened(asked.lab, asked.out)
    number = asked.run if asked.run is not None else _newest(file)
    (one,) = past(standing, [observed(file, number)])
    running = going(file) == number
    status = BROKEN if one.comparison is not None and not one.comparison.right else MET
    if asked.report is not None:
        # Only here: it loads what sets pages and paper.
        from falsework.faces.report.run_page import run_report

        made = run_report(asked.report, standing, one, runs=running, paper=asked.paper)
        write(asked.report, made, over=True)
    if asked.json:
        from falsework.faces.plain_record import run_answer

        answer = run_answer(standing, file, one, status, running=running)
        put_text(json.dumps(answer, indent=2, allow_nan=False) + "\n")
        return status
    from falsework.faces.cli.recorded_run import run_lines
    from falsework.faces.report.run_told import run_told

    lines = list(run_lines(run_told(standing, one, runs=running), every=asked.all))
    if asked.report is not None:
        lines += [Line(), Line(f"The report is in {asked.report}.")]
    put(lines)
    return status


def _newest(file: Path) -> int:
    # Numbers only: a run that is being written must not be laid beside anything for that.
    from falsework.record.keeping import runs

    numbers = [each.number for each in runs(file)]
    if not numbers:
        raise QuestionError(
            f"the record '{file}' has no run yet", "Do a drill, or let the stopwatch run, first."
        )
    return numbers[-1]


def _whole(asked: Asked, file: Path) -> int:
    with Told() as told:
        told("reading the lab", 0, 1)
        standing = opened(asked.lab, asked.out)
        # Without a record the lab file still says when things were proved.
        kept = all_observed(file) if asked.record is not None or file.exists() else ()
        told("laying runs beside the lab", 0, 1)
        runs: tuple[Past, ...] = past(standing, kept)
        found = recovery(standing, runs)
        told("losing one part more, and two", 0, 1)
        left = lefts(standing)
    status = worst(found)
    if asked.openmetrics is not None:
        # Only here: judging every aim is a whole check.
        from falsework.faces.openmetrics import exposition
        from falsework.study import study_lab

        aims = {each.name: each.met for each in study_lab(standing.lab, out=asked.out).aims}
        text = exposition(standing, runs, found, left, live(file) if kept else None, aims)
        if str(asked.openmetrics) == "-":
            put_text(text)
        else:
            write(asked.openmetrics, text, over=True)
        return MET
    running = bool(kept) and going(file) is not None
    if asked.json:
        from falsework.faces.plain_record import record_answer

        answer = record_answer(standing, file, runs, found, left, status, running=running)
        put_text(json.dumps(answer, indent=2, allow_nan=False) + "\n")
        return status
    from falsework.faces.cli.recorded_lines import lines

    put(lines(standing, file, runs, found, left, running=running, every=asked.all, lab=asked.lab))
    return status
