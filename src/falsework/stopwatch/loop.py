"""How are thousands of questions put, each at its moment, and what was told?"""

from __future__ import annotations

import contextlib
import heapq
import itertools
import math
import os
import resource
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from falsework.errors import Fault, counted, shortened
from falsework.record.live import Live
from falsework.record.seen import Gap, Marked, Seen, TakesDown, Told, Why
from falsework.stopwatch.askers import Way, ways
from falsework.stopwatch.clocks import CLOCKS, Clocks
from falsework.stopwatch.desk import IN, Desk, Try, Untold, by_error
from falsework.stopwatch.gaps import BOUND_S, Awake
from falsework.stopwatch.keeper import Keeper
from falsework.stopwatch.lateness import Lateness, Watched
from falsework.stopwatch.names import Names
from falsework.stopwatch.pace import SOONEST_S, Pace
from falsework.stopwatch.tally import Columns, Tally
from falsework.support.probing import Question

_LONGEST_S = 0.1
"""The loop looks up at least this often: for halts, for jumps of the clock, and for what others want of it."""
_AT_ONCE = 100
"""So many questions are put before answers are looked at again."""
_DRAIN_S = 1.0
_OWN_FILES = 50


class Watch:
    """A watch over questions; `zero_s` is what the boot clock said as the run began.

    Args:
        questions: what is asked; their order numbers the probes.
        into: who takes down what is told; called from one other thread.
        clocks: the machine's clocks.
        folder: where commands run; the working folder if not said.
        names: who looks names up, if not the system.
        zero_s: what the boot clock said as the run began; now if not said.
    """

    def __init__(
        self,
        questions: Sequence[Question],
        into: TakesDown,
        *,
        clocks: Clocks = CLOCKS,
        folder: Path | None = None,
        names: Names | None = None,
        zero_s: float | None = None,
    ) -> None:
        self._clocks = clocks
        self.zero_s = clocks.boot() if zero_s is None else zero_s
        self._ways: tuple[Way, ...] = ways(questions, folder or Path.cwd())
        self._questions = tuple(questions)
        self._cannot = tuple(
            Fault(each.where, way.cannot, way.mend, f"probes.{each.name}.asks")
            for each, way in zip(questions, self._ways, strict=True)
            if way.cannot
        )
        self._names = names or Names(dict.fromkeys(way.name for way in self._ways if way.name))
        self._names_version = -1
        self._pace = Pace(())
        self._desk = Desk(self.now_s, clocks.wall)
        self._tally = Tally(len(questions))
        self._keeper = Keeper(into, self._desk.told, now=self.now_s, wall=clocks.wall, taken=self._tally.take)
        self._awake = Awake(clocks, self.zero_s)
        self._late = Lateness()
        self._order = itertools.count()
        self._flying: list[tuple[float, int, Try]] = []
        self._busy_s: float | None = None
        self._over = False
        self._ended = False
        self._limits = _limits(questions)
        self._bell_in, self._bell_out = os.pipe2(os.O_NONBLOCK | os.O_CLOEXEC)

    def now_s(self) -> float:
        """Seconds since the run began."""
        return self._clocks.boot() - self.zero_s

    def end(self) -> None:
        """End soon; from any thread, or from a signal's handler."""
        self._over = True
        with contextlib.suppress(OSError):  # a full pipe rings already, and a closed one needs no ringing
            os.write(self._bell_out, b"!")

    def mark(self, marked: Marked, *, wait_s: float = 0.0) -> bool:
        """Take a mark down; from any thread. Whether it is on disk after so many seconds."""
        return self._keeper.note(marked).wait(wait_s)

    def live(self) -> Live:
        """How things stand; from any thread."""
        return self.glance().live

    def glance(self) -> Glance:
        """The same, in a form that goes through a pipe quickly."""
        return Glance(
            at_s=self.now_s(),
            columns=self._tally.columns(),
            until_s=self._keeper.until_s,
            faults=self._faults(),
            ended=self._ended,
        )

    def run(self, until_s: float = math.inf) -> Watched:
        """Ask until so many seconds have gone by or somebody ends it.

        What is in flight at the end is waited for, for a second at most.

        Returns:
            How well it kept its own time.
        """
        self._names.begin()
        self._keeper.begin()
        self._desk.wait(self._bell_in, _Bell(self._bell_in), IN)
        try:
            self._asking(until_s)
            self._draining(self.now_s() + _DRAIN_S)
        finally:
            for _, _, flying in self._flying:
                if not flying.over:
                    flying.over = True
                    flying.leave(self._desk)
            for way in self._ways:
                if way.asker is not None:
                    way.asker.close(self._desk)
            self._keeper.end()
            self._desk.close()
            os.close(self._bell_in)
            os.close(self._bell_out)
            self._ended = True
        return self._late.watched()

    def _asking(self, until_s: float) -> None:
        tick_s = 0.0
        self._pace = Pace([each.every_s for each in self._questions], from_s=self.now_s())
        self._awake.look(0.0)  # what was made ready before is no gap
        self._awake.jump()
        while not self._over:
            now_s = self.now_s()
            if now_s >= until_s:
                break
            if now_s >= tick_s:
                tick_s = now_s + _LONGEST_S
                self._tick()
            self._ask_due(now_s)
            self._wait(min(self._next_s(), until_s, tick_s) - self.now_s())

    def _draining(self, until_s: float) -> None:
        while self._flying and self.now_s() < until_s:
            self._wait(min(self._flying[0][0], until_s, self.now_s() + _LONGEST_S) - self.now_s())

    def _wait(self, waits_s: float) -> None:
        """Wait, and take in what has come.

        A halt is looked for before anything is taken in, since an answer that lay there through it is no measurement;
        and silence is told only of what was due before everything there was has been taken in.
        """
        waits_s = max(waits_s, 0.0)
        events = self._desk.poll(waits_s)
        now_s = self.now_s()
        self._look(waits_s)
        self._desk.serve(events)
        self._give_up(now_s)

    def _next_s(self) -> float:
        due_s = self._pace.heap[0][0] if self._pace.heap else math.inf
        return min(due_s, self._flying[0][0]) if self._flying else due_s

    def _ask_due(self, now_s: float) -> None:
        heap, pace, late = self._pace.heap, self._pace, self._late
        left = _AT_ONCE
        while heap and heap[0][0] <= now_s and left:
            left -= 1
            due_s, probe = heap[0]
            now_s = self.now_s()
            late_s = now_s - due_s
            late.count(late_s)
            if late_s > BOUND_S:
                self._busy_s = due_s if self._busy_s is None else self._busy_s
            elif self._busy_s is not None:
                self._no_longer_busy(now_s)
            next_s, missed = pace.after(probe, due_s, now_s)
            late.missed += missed
            heapq.heapreplace(heap, (next_s, probe))
            self._ask(probe, now_s)

    def _ask(self, probe: int, now_s: float) -> None:
        way = self._ways[probe]
        if way.target is None or way.asker is None:
            self._desk.told.append(Seen(probe, now_s, now_s, Told.UNKNOWN, self._why_not(way)))
            return
        try:
            flying = way.asker.ask(self._desk, probe, way.target)
        except OSError as error:  # too many files, mostly
            self._desk.tell(Untold(probe, now_s), *by_error(error.errno or 0))
            return
        except Exception as error:  # a question that nobody thought of must not end the watch over all others
            self._desk.defect(Untold(probe, now_s), error)
            return
        if flying is not None:
            heapq.heappush(self._flying, (flying.asked_s + way.patience_s, next(self._order), flying))

    def _why_not(self, way: Way) -> str:
        if way.cannot:
            return way.cannot
        return "its name is not found" if way.name in self._names.failed else "its name is being looked up"

    def _give_up(self, now_s: float) -> None:
        flying = self._flying
        while flying and (flying[0][2].over or flying[0][0] <= now_s):
            asked = heapq.heappop(flying)[2]
            if not asked.over:
                if self._busy_s is not None:
                    self._desk.tell(asked, Told.UNKNOWN, "the stopwatch was busy")
                else:
                    self._desk.tell(asked, *asked.late())
                asked.leave(self._desk)

    def _look(self, waits_s: float) -> None:
        """Was there a halt? Whatever was in flight through it tells nothing: its answer may have been lost on us."""
        gap = self._awake.look(waits_s)
        if gap is None:
            return
        self._keeper.note(gap)
        self._late.missed += self._pace.skip(gap.until_s)
        self._busy_s = None
        flying, self._flying = self._flying, []
        for _, _, asked in flying:
            if not asked.over:
                self._desk.tell(asked, Told.UNKNOWN, f"the stopwatch was {gap.why}")
                asked.leave(self._desk)

    def _no_longer_busy(self, now_s: float) -> None:
        if self._busy_s is not None:
            self._keeper.note(Gap(from_s=self._busy_s, until_s=now_s, why=Why.BUSY))
            self._busy_s = None

    def _tick(self) -> None:
        jump = self._awake.jump()
        if jump is not None:
            self._keeper.note(jump)
        self._names.go_on()
        if self._names.version != self._names_version:
            self._names_version = self._names.version
            found = self._names.found
            for way in self._ways:
                if way.name in found:
                    way.aim(found[way.name])

    def _faults(self) -> tuple[Fault, ...]:
        failed = self._names.failed
        unknown = tuple(
            Fault(
                each.where,
                f"the name {way.name} is not found: {failed[way.name]}",
                "Write its address, or mend how this machine looks names up; it is tried again every few seconds.",
                f"probes.{each.name}.asks",
            )
            for each, way in zip(self._questions, self._ways, strict=True)
            if way.name in failed and way.target is None
        )
        broke = (
            (
                Fault(
                    None,
                    f"an answer broke the stopwatch: {shortened(self._desk.broke, 200)}",
                    "Please report it.",
                ),
            )
            if self._desk.broke
            else ()
        )
        return (*self._keeper.faults, *self._limits, *broke, *self._cannot, *unknown)


@dataclass(frozen=True, slots=True, kw_only=True)
class Glance:
    """How a run stands, as `record.live.Live` tells it, with its probes in columns."""

    at_s: float
    columns: Columns
    until_s: float
    faults: tuple[Fault, ...]
    ended: bool

    @property
    def live(self) -> Live:
        """The same with a value for each probe."""
        return Live(
            at_s=self.at_s,
            probes=self.columns.probes,
            until_s=self.until_s,
            faults=self.faults,
            ended=self.ended,
        )


class _Bell:
    """Wakes the loop."""

    def __init__(self, fd: int) -> None:
        self._fd = fd

    def ready(self, desk: Desk, mask: int) -> None:
        """Stop ringing."""
        with contextlib.suppress(BlockingIOError):
            os.read(self._fd, 64)


def _limits(questions: Sequence[Question]) -> tuple[Fault, ...]:
    """What the system permits too little of, after as much was asked for as it permits."""
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    if soft != hard:
        with contextlib.suppress(ValueError, OSError):
            resource.setrlimit(resource.RLIMIT_NOFILE, (hard, hard))
            soft = hard
    most = sum(math.ceil(each.patience_s / max(each.every_s, SOONEST_S)) for each in questions)
    if soft == resource.RLIM_INFINITY or most + _OWN_FILES <= soft:
        return ()
    return (
        Fault(
            None,
            f"{counted(most, 'question')} may be in flight at once when nobody answers, "
            f"and the system permits this process {soft:,} open files",
            f"Permit more ({most + _OWN_FILES:,}; ulimit -n), ask less often, or be less patient; "
            "what can't be asked is told as unknown.",
        ),
    )
