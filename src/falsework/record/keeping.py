"""How is what a stopwatch sees written down at once, so that nothing is lost when it is killed?

Not every answer is kept, since there are ten thousand a second.
Kept is each change of each probe, with the last answer before it and the first after it, so that outages are exact.
Besides: how far the run goes, gaps, jumps, marks, and per probe how many answers there were and how long they took.
Each call is one transaction and is on the disk when it returns.
Only the sums of a probe are written now and then: a kill loses those of the last seconds, and never a change.
"""

from __future__ import annotations

import contextlib
import datetime
import json
import math
import sqlite3
import time
from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from falsework.errors import RecordError
from falsework.record.file import ANOTHER, begun, opened, trouble
from falsework.record.reading import live, observed, runs
from falsework.record.seen import Gap, Jump, Marked, Seen
from falsework.record.tally import Tally
from falsework.record.writer import read, this_process
from falsework.support.probing import Question

__all__ = ["NewRun", "Recorder", "live", "observed", "record_of", "runs"]

SUMS_S = 1.0
"""Sums are written no more often than this, seconds,"""
SUM_S = 5e-4
"""nor more often than this for each probe whose sums have changed: that keeps them under a hundredth of a core."""

_MOST_KEPT = 1_000
_CHANGE = "INSERT OR REPLACE INTO change VALUES (?, ?, ?, ?, ?, ?, ?, ?)"
_NO_CHANGE = "DELETE FROM change WHERE run = ? AND probe = ? AND asked_s = ?"
_SUMS = (
    "UPDATE probe SET asked = ?, yes = ?, worst_s = ?, times = ?, last_s = ?, warning = ? "
    "WHERE run = ? AND number = ?"
)
_UNTIL = "UPDATE run SET until_s = max(until_s, ?), wall = max(wall, ?) WHERE number = ?"


@dataclass(frozen=True, slots=True, kw_only=True)
class NewRun:
    """What is known of a run when it begins.

    Attributes:
        lab: the name of the lab.
        digest: of the text of the lab's files.
        drill: the name of the drill, or empty.
        tries: what the drill tries, as `model.drilling.TRIED`; empty for none.
        lost: the parts that the drill takes out.
        out: the parts that are out beforehand.
        machine: the name of the machine that the stopwatch runs on.
        began: when it began by the clock on the wall, seconds since 1970; all other times count from this moment.
    """

    lab: str
    digest: str = ""
    drill: str = ""
    tries: str = ""
    lost: tuple[str, ...] = ()
    out: tuple[str, ...] = ()
    machine: str = ""
    began: float = field(default_factory=time.time)


class Recorder:
    """Takes down one run; a `record.seen.TakesDown`.

    A call that can't write raises `RecordError`, and keeps what it was given in memory: the next call writes it too.
    Who gives the same thing again does no harm.

    Args:
        path: the record; begun if there is none.
        run: the run that begins.
        questions: what is asked; `Seen.probe` counts in this order.

    Raises:
        RecordError: the file is no record of ours, can't be written, or another stopwatch writes in it.
    """

    def __init__(self, path: Path, run: NewRun, questions: Sequence[Question]) -> None:
        self.path = path
        self._tallies = [Tally(each.patience_s) for each in questions]
        self._beat_s = min((each.every_s for each in questions), default=0.0)
        self._due: list[tuple[str, tuple[object, ...]]] = []
        # What calls were given that could not write it: it is due, and counts once though it be given again.
        self._kept: deque[object] = deque(maxlen=_MOST_KEPT)
        self._until_s = self._beaten_s = self._summed_s = 0.0
        self._wall = run.began
        begun(path)
        self._file = opened(path)
        try:
            with self._transaction():
                _refuse_second(self._file, path)
                self.number = _entered(self._file, run, questions)
        except BaseException:
            self._file.close()
            raise

    def answers(self, batch: Sequence[Seen]) -> None:
        """Take down answers, in the order in which they were told."""
        if not batch:
            return
        if self._is_kept(batch):
            self._write(batch)
            return
        tallies, due, run = self._tallies, self._due, self.number
        waiting = len(due)
        for seen in batch:
            tally = tallies[seen.probe]
            if tally.last is None or seen.asked_s >= tally.last.asked_s:
                change = tally.take(seen)
                if change is not None:
                    due.append((_CHANGE, (run, seen.probe, *change)))
            else:
                due.extend(_late(tally, seen, run))
        self._until_s = max(self._until_s, batch[-1].told_s)
        if len(due) > waiting:
            self._write(batch)

    def beat(self, at_s: float, wall_s: float) -> None:
        """Take down how far the run goes, and the sums if it is time; beats between two questions tell nothing new."""
        self._until_s = max(self._until_s, at_s)
        self._wall = wall_s
        if self._due or at_s >= self._beaten_s + self._beat_s:
            if at_s >= self._summed_s + SUMS_S:
                self._sum(at_s)
            self._write()
            self._beaten_s = at_s

    def gap(self, gap: Gap) -> None:
        """Take down a time in which the stopwatch did not run."""
        values = (gap.from_s, gap.until_s, str(gap.why))
        self._now(gap, "INSERT INTO gap VALUES (?, ?, ?, ?)", values, gap.until_s)

    def jump(self, jump: Jump) -> None:
        """Take down that the clock on the wall was set."""
        self._now(jump, "INSERT INTO jump VALUES (?, ?, ?)", (jump.at_s, jump.by_s), jump.at_s)

    def mark(self, marked: Marked) -> None:
        """Take down what somebody did."""
        values = (marked.at_s, str(marked.mark), marked.says)
        self._now(marked, "INSERT INTO mark VALUES (?, ?, ?, ?)", values, marked.at_s)

    def end(self, at_s: float | None = None) -> None:
        """Close the run: it came to its own end.

        Args:
            at_s: when, seconds since it began; as far as it is known if not said.

        Raises:
            RecordError: the last of it can't be written; it may be ended again.
        """
        if at_s is not None:
            self._until_s = max(self._until_s, at_s)
        self._sum(math.inf)
        self._due.append(("UPDATE run SET ended = 1 WHERE number = ?", (self.number,)))
        self._write()
        with contextlib.suppress(sqlite3.Error):
            # From here on the file is whole by itself, and may be copied without those beside it;
            # if a reader is in the way, the last one to close it does this.
            self._file.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        self._file.close()

    def _now(self, given: object, words: str, values: tuple[object, ...], at_s: float) -> None:
        if not self._is_kept(given):
            self._until_s = max(self._until_s, at_s)
            self._due.append((words, (self.number, *values)))
        self._write(given)

    def _sum(self, at_s: float) -> None:
        fresh = [number for number, each in enumerate(self._tallies) if each.fresh]
        if at_s < self._summed_s + SUM_S * len(fresh):
            return
        for number in fresh:
            self._due.append((_SUMS, (*_sums(self._tallies[number]), self.number, number)))
            self._tallies[number].fresh = False
        self._summed_s = at_s

    def _is_kept(self, given: object) -> bool:
        """Whether this very thing was given before and is due, or written since; it is asked about once."""
        for at, each in enumerate(self._kept):
            if each is given:
                del self._kept[at]
                return True
        return False

    def _write(self, given: object = None) -> None:
        """Write all that is due, or nothing."""
        try:
            with self._transaction():
                execute = self._file.execute
                for words, values in self._due:
                    execute(words, values)
                execute(_UNTIL, (self._until_s, self._wall, self.number))
        except RecordError:
            if given is not None:
                self._kept.append(given)
            raise
        self._due.clear()

    @contextlib.contextmanager
    def _transaction(self) -> Iterator[None]:
        try:
            self._file.execute("BEGIN IMMEDIATE")
            try:
                yield
                self._file.execute("COMMIT")
            except BaseException:
                if self._file.in_transaction:
                    self._file.execute("ROLLBACK")
                raise
        except sqlite3.Error as error:
            raise trouble(self.path, error) from error


def record_of(lab: Path) -> Path:
    """Where the record of a lab lies: beside its file or folder."""
    whole = lab.resolve() if lab.name in ("", ".", "..") else lab
    return whole.with_name((whole.name if whole.is_dir() else whole.stem) + ".record")


def _late(tally: Tally, seen: Seen, run: int) -> Iterator[tuple[str, tuple[object, ...]]]:
    for gone_s, change in tally.take_late(seen):
        if gone_s is not None:
            yield _NO_CHANGE, (run, seen.probe, gone_s)
        if change is not None:
            yield _CHANGE, (run, seen.probe, *change)


def _sums(tally: Tally) -> tuple[object, ...]:
    return (
        tally.asked,
        tally.yes,
        tally.worst_s if tally.yes else None,
        tally.times_text,
        None if tally.last is None else tally.last.asked_s,
        tally.warning,
    )


def _refuse_second(file: sqlite3.Connection, path: Path) -> None:
    """Two stopwatches would each take the other's outages for gaps of their own: only one writes."""
    for number, process, began, wall in file.execute(
        "SELECT number, process, began, wall FROM run WHERE ended = 0"
    ):
        writer = read(process)
        if writer.lives(quiet_s=time.time() - wall):
            since = datetime.datetime.fromtimestamp(began, datetime.UTC)
            raise RecordError(
                f"the record '{path}' is in use: process {writer.process} on {writer.host} writes run {number} in it "
                f"since {since:%Y-%m-%d %H:%M:%S} UTC",
                f"End that stopwatch first; {ANOTHER}.",
            )


def _entered(file: sqlite3.Connection, run: NewRun, questions: Sequence[Question]) -> int:
    values = (
        run.lab,
        run.digest,
        run.drill,
        run.tries,
        json.dumps(run.lost),
        json.dumps(run.out),
        run.machine,
        this_process().text,
        run.began,
        run.began,
    )
    number = file.execute(
        "INSERT INTO run (lab, digest, drill, tries, lost, out, machine, process, began, until_s, wall, ended) "
        "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, 0, ?, 0)",
        values,
    ).lastrowid
    assert number is not None
    file.executemany(
        "INSERT INTO probe VALUES (?, ?, ?, ?, ?, ?, 0, 0, NULL, '', NULL, '')",
        [
            (number, at, each.name, each.sees, each.ask.words, each.every_s)
            for at, each in enumerate(questions)
        ],
    )
    return number
