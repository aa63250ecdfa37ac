"""By how much were questions asked too late?"""

from __future__ import annotations

from dataclasses import dataclass

_STEP_S = 0.000_1
_STEPS = 20_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Watched:
    """How a run went.

    Attributes:
        asked: how many questions were due and put.
        missed: how many were due and not put, because the stopwatch came too late for them.
        late_50_s: half of them were put no later than this after their moment, seconds.
        late_99_s: 99 of 100 of them.
        worst_s: the latest of them.
    """

    asked: int
    missed: int
    late_50_s: float
    late_99_s: float
    worst_s: float


class Lateness:
    """Counts how late each question is, by tenths of a millisecond up to two seconds."""

    def __init__(self) -> None:
        self._counts = [0] * (_STEPS + 1)
        self._asked = 0
        self._worst_s = 0.0
        self.missed = 0

    def count(self, late_s: float) -> None:
        """Count one in."""
        step = int(late_s / _STEP_S)
        self._counts[step if step < _STEPS else _STEPS] += 1
        self._asked += 1
        if late_s > self._worst_s:
            self._worst_s = late_s

    def share_s(self, share: float) -> float:
        """The smallest lateness that so large a share of the questions did not exceed; seconds, to 0.1 ms upwards."""
        left = share * self._asked
        for step, count in enumerate(self._counts):
            left -= count
            if left <= 0:
                return min((step + 1) * _STEP_S, self._worst_s) if step < _STEPS else self._worst_s
        return self._worst_s

    def watched(self) -> Watched:
        """All of it."""
        return Watched(
            asked=self._asked,
            missed=self.missed,
            late_50_s=self.share_s(0.5),
            late_99_s=self.share_s(0.99),
            worst_s=self._worst_s,
        )
