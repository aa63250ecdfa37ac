"""Did the stopwatch itself run all the time, and did somebody set the clock on the wall?"""

from __future__ import annotations

from falsework.record.seen import Gap, Jump, Why
from falsework.stopwatch.clocks import Clocks

BOUND_S = 0.25
"""A halt longer than this is a gap; what is shorter moves a question, but loses none of its answers."""
_ASLEEP_S = 0.05
_JUMP_S = 0.1
_SURE_S = 0.01


class Awake:
    """Compares the clocks between one look and the next.

    Args:
        clocks: the machine's clocks.
        zero_s: what `clocks.boot` said as the run began.

    The clock that goes on in sleep, less the one that stands still, is how long the machine slept.
    A look that comes late although nothing was waited for is a halt: if a processor worked for this thread through at
    least half of it there was too much to do, else the process was stopped or starved.
    """

    def __init__(self, clocks: Clocks, zero_s: float) -> None:
        self._clocks = clocks
        self._zero_s = zero_s
        self._boot_s = clocks.boot()
        self._awake_s = clocks.awake()
        self._worked_s = clocks.worked()
        self._ahead_s = clocks.wall() - clocks.boot()

    def look(self, waits_s: float) -> Gap | None:
        """The gap since the last look, if there was one.

        Args:
            waits_s: for how long the stopwatch meant to wait since then, at most; seconds.
        """
        clocks = self._clocks
        boot_s, awake_s, worked_s = clocks.boot(), clocks.awake(), clocks.worked()
        passed_s = boot_s - self._boot_s
        slept_s = passed_s - (awake_s - self._awake_s)
        worked_since_s = worked_s - self._worked_s
        from_s = self._boot_s - self._zero_s
        self._boot_s, self._awake_s, self._worked_s = boot_s, awake_s, worked_s
        if slept_s > _ASLEEP_S:
            return Gap(from_s=from_s, until_s=boot_s - self._zero_s, why=Why.ASLEEP)
        if passed_s - waits_s <= BOUND_S:
            return None
        why = Why.BUSY if worked_since_s >= (passed_s - waits_s) / 2 else Why.STOPPED
        return Gap(from_s=from_s, until_s=boot_s - self._zero_s, why=why)

    def jump(self) -> Jump | None:
        """How the clock on the wall was set since the last time this was asked, if it was.

        It is drawn gently by those who keep it right, which is no jump: only what it gained between two calls counts.
        """
        before_s = self._clocks.boot()
        wall_s = self._clocks.wall()
        after_s = self._clocks.boot()
        if after_s - before_s > _SURE_S:
            return None  # halted between the two readings; the next call is in time
        ahead_s = wall_s - before_s
        by_s = ahead_s - self._ahead_s
        self._ahead_s = ahead_s
        return Jump(at_s=after_s - self._zero_s, by_s=by_s) if abs(by_s) > _JUMP_S else None
