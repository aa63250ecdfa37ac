"""What does a record hold: which runs, and what did each see?"""

from __future__ import annotations

import datetime
import json
import math
import sqlite3
import time
from collections import defaultdict
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from falsework.errors import QuestionError, counted
from falsework.record import writer
from falsework.record.file import reading
from falsework.record.live import Live, LiveProbe
from falsework.record.observed import NEVER, Observed, ProbeSeen, Run
from falsework.record.outages import Change, outages
from falsework.record.seen import Gap, Jump, Mark, Marked, Told, Why
from falsework.record.tally import times_of, usual_s

_RUN = "number, lab, digest, drill, tries, lost, out, machine, began, until_s, ended, process, wall"


def runs(path: Path) -> tuple[Run, ...]:
    """All runs of a record, oldest first.

    Raises:
        RecordError: there is no record, or it can't be read.
    """
    with reading(path) as file:
        return tuple(_run(file, row) for row in file.execute(f"SELECT {_RUN} FROM run ORDER BY number"))


def observed(path: Path, number: int) -> Observed:
    """One run and what its probes saw.

    Raises:
        RecordError: there is no record, or it can't be read.
        QuestionError: it has no such run.
    """
    with reading(path) as file:
        row = file.execute(f"SELECT {_RUN} FROM run WHERE number = ?", (number,)).fetchone()
        if row is None:
            last = file.execute("SELECT count(*), max(number) FROM run").fetchone()
            raise QuestionError(
                f"the record '{path}' has no run {number}",
                f"It has {counted(last[0], 'run')}, the newest is {last[1]}."
                if last[0]
                else "It has none yet.",
            )
        return _observed(file, row)


def all_observed(path: Path) -> tuple[Observed, ...]:
    """Every run and what its probes saw, oldest first; the record as it is at one moment.

    Raises:
        RecordError: there is no record, or it can't be read.
    """
    with reading(path) as file:
        rows = file.execute(f"SELECT {_RUN} FROM run ORDER BY number").fetchall()
        return tuple(_observed(file, row) for row in rows)


def live(path: Path) -> Live | None:
    """How the newest run stands, also while another process writes it; None if there is none.

    What is wrong with the stopwatch itself stands in no record: it says so itself.

    Raises:
        RecordError: there is no record, or it can't be read.
    """
    with reading(path) as file:
        row = file.execute(f"SELECT {_RUN} FROM run ORDER BY number DESC LIMIT 1").fetchone()
        if row is None:
            return None
        run = _run(file, row)
        changes = _changes(file, run.number)
        rows = file.execute(
            "SELECT number, times, last_s, warning FROM probe WHERE run = ? ORDER BY number", (run.number,)
        )
        probes = tuple(_live(changes.get(at, ()), *rest) for at, *rest in rows)
        return Live(at_s=run.until_s, probes=probes, until_s=run.until_s, ended=not _goes_on(row))


def going(path: Path) -> int | None:
    """The number of the run that a process writes just now: none but the newest; None if there is none.

    Raises:
        RecordError: there is no record, or it can't be read.
    """
    with reading(path) as file:
        row = file.execute(f"SELECT {_RUN} FROM run ORDER BY number DESC LIMIT 1").fetchone()
        return int(row[0]) if row is not None and _goes_on(row) else None


def _goes_on(row: Sequence[Any]) -> bool:
    ended, process, wall = row[-3:]
    return not ended and writer.read(process).lives(quiet_s=time.time() - wall)


def _live(changes: Sequence[Change], times: str, last_s: float | None, warning: str) -> LiveProbe:
    if not changes:
        return LiveProbe(told=Told.UNKNOWN, since_s=0.0, asked_s=-NEVER, usual_s=math.nan)
    newest = changes[-1]
    return LiveProbe(
        told=newest.told,
        since_s=newest.asked_s,
        asked_s=max(newest.asked_s, -NEVER if last_s is None else last_s),
        usual_s=usual_s(times_of(times)),
        says=newest.says or (warning if newest.told is Told.YES else ""),
    )


def _observed(file: sqlite3.Connection, row: Sequence[object]) -> Observed:
    run = _run(file, row)
    return Observed(run=run, probes=_probes(file, run, _changes(file, run.number)))


def _run(file: sqlite3.Connection, row: Sequence[object]) -> Run:
    number, lab, digest, drill, tries, lost, out, machine, began, until_s, ended = row[:11]
    marks = file.execute("SELECT at_s, mark, says FROM mark WHERE run = ? ORDER BY at_s, rowid", (number,))
    gaps = file.execute(
        "SELECT from_s, until_s, why FROM gap WHERE run = ? ORDER BY from_s, rowid", (number,)
    )
    jumps = file.execute("SELECT at_s, by_s FROM jump WHERE run = ? ORDER BY at_s, rowid", (number,))
    assert isinstance(number, int)
    assert isinstance(began, float)
    assert isinstance(until_s, float)
    return Run(
        number=number,
        lab=str(lab),
        digest=str(digest),
        drill=str(drill),
        tries=str(tries),
        lost=tuple(json.loads(str(lost))),
        out=tuple(json.loads(str(out))),
        machine=str(machine),
        began=datetime.datetime.fromtimestamp(began, datetime.UTC),
        until_s=until_s,
        ended=bool(ended),
        marks=tuple(Marked(at_s=at_s, mark=Mark(mark), says=says) for at_s, mark, says in marks),
        gaps=tuple(Gap(from_s=from_s, until_s=to_s, why=Why(why)) for from_s, to_s, why in gaps),
        jumps=tuple(Jump(at_s=at_s, by_s=by_s) for at_s, by_s in jumps),
    )


def _probes(
    file: sqlite3.Connection, run: Run, changes: Mapping[int, Sequence[Change]]
) -> tuple[ProbeSeen, ...]:
    rows = file.execute(
        "SELECT number, name, sees, asks, every_s, asked, yes, worst_s, times, last_s, warning "
        "FROM probe WHERE run = ? ORDER BY number",
        (run.number,),
    )
    return tuple(_probe(row, changes.get(row[0], ()), run) for row in rows)


def _probe(row: Sequence[object], changes: Sequence[Change], run: Run) -> ProbeSeen:
    _, name, sees, asks, every_s, asked, yes, worst_s, times, last_s, warning = row
    assert isinstance(every_s, float)
    assert isinstance(asked, int)
    assert isinstance(yes, int)
    usual = usual_s(times_of(str(times)))
    return ProbeSeen(
        probe=str(name),
        sees=str(sees),
        asks=str(asks),
        every_s=every_s,
        asked=asked,
        yes=yes,
        outages=outages(
            changes,
            run.gaps,
            last_s=last_s if isinstance(last_s, float) else -NEVER,
            every_s=every_s,
            usual_s=usual,
        ),
        usual_s=usual,
        worst_s=worst_s if isinstance(worst_s, float) else math.nan,
        warning=str(warning),
    )


def _changes(file: sqlite3.Connection, run: int) -> dict[int, list[Change]]:
    found: dict[int, list[Change]] = defaultdict(list)
    rows = file.execute(
        "SELECT probe, asked_s, told_s, told, says, last_s, last_told_s FROM change WHERE run = ? "
        "ORDER BY probe, asked_s",
        (run,),
    )
    for probe, asked_s, told_s, told, says, last_s, last_told_s in rows:
        found[probe].append(
            Change(
                asked_s=asked_s,
                told_s=told_s,
                told=Told(told),
                says=says,
                last_s=last_s,
                last_told_s=last_told_s,
            )
        )
    return found
