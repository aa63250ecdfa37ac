"""What is kept of the answers of one probe: each change, how many there were, how long they took?"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections import deque
from collections.abc import Iterator, Mapping
from itertools import islice

from falsework.record.seen import Seen, Told

STEPS = 16
"""Times are counted in so many steps for each doubling: a median is right to 2.2 %."""
_SHORTEST_S = 1e-6
_LATEST_S = 10.0
_LONGEST = 200
_YES, _UNKNOWN = Told.YES, Told.UNKNOWN
_log2 = math.log2

Change = tuple[float, float, int, str, float | None, float | None]
"""asked_s, told_s, told, says, and asked_s and told_s of the last answer before that was different."""


class Tally:
    """The running sums of one probe, and its latest answers in the order in which they were asked.

    Ten thousand answers a second pass through `take`, so it does the least it can for the usual one.
    Answers come in the order in which they are told; a question that is given up is told after later ones that were
    answered at once, and finds its place among them.
    """

    __slots__ = (
        "asked",
        "before",
        "fresh",
        "horizon_s",
        "last",
        "recent",
        "times",
        "warning",
        "worst_s",
        "yes",
    )

    def __init__(self, patience_s: float) -> None:
        self.horizon_s = patience_s + _LATEST_S
        self.recent: deque[Seen] = deque()
        self.before: Seen | None = None  # the one that left `recent` last
        self.last: Seen | None = None  # the latest by the moment of asking
        self.asked = self.yes = 0
        self.worst_s = -1.0
        self.times: dict[int, int] = {}
        self.warning = ""
        self.fresh = False  # whether the sums differ from those on disk

    def take(self, seen: Seen) -> Change | None:
        """Count an answer that was asked after all others; the change it is, if it is one."""
        last, recent, told, asked_s = self.last, self.recent, seen.told, seen.asked_s
        self.last = seen
        recent.append(seen)
        if recent[0].asked_s < asked_s - self.horizon_s:
            self.before = recent.popleft()
        self.count(seen)
        if last is not None and last.told == told:
            return None
        return _change(seen, last)

    def count(self, seen: Seen) -> None:
        """Add an answer to the sums."""
        self.fresh = True
        if seen.told == _YES:
            self.asked += 1
            self.yes += 1
            took_s = seen.told_s - seen.asked_s
            if took_s > self.worst_s:
                self.worst_s = took_s
            step = (
                int(_log2(took_s) * STEPS // 1) if took_s > _SHORTEST_S else int(_log2(_SHORTEST_S) * STEPS)
            )
            times = self.times
            times[step] = times.get(step, 0) + 1
            if seen.says:
                self.warning = seen.says[:_LONGEST]
        elif seen.told != _UNKNOWN:
            self.asked += 1

    def take_late(self, seen: Seen) -> Iterator[tuple[float | None, Change | None]]:
        """Count an answer that was asked before another that is told already.

        Yields:
            Changes of the changes on disk: the moment of asking of one that is none any more, and one to put there.
        """
        self.count(seen)
        recent = self.recent
        at = bisect_left(recent, seen.asked_s, key=lambda each: each.asked_s)
        before = recent[at - 1] if at else self.before
        if before is not None and seen.asked_s < before.asked_s:
            return  # told so long after it was asked that nobody waited for it
        recent.insert(at, seen)
        after = recent[at + 1]
        yield after.asked_s, None
        for number, each, previous in ((at, seen, before), (at + 1, after, seen)):
            if previous is None or previous.told != each.told:
                yield None, _change(each, previous, soonest_s=self._soonest(number))

    def _soonest(self, at: int) -> float:
        """When the first answer came of those in a row, from this one on, that are answered alike."""
        told = self.recent[at].told
        soonest = math.inf
        for each in islice(self.recent, at, None):
            if each.told != told:
                break
            soonest = min(soonest, each.told_s)
        return soonest

    @property
    def times_text(self) -> str:
        """For the record."""
        return " ".join([f"{step}:{count}" for step, count in self.times.items()])


def times_of(text: str) -> dict[int, int]:
    """As they are written in a record."""
    return {int(step): int(count) for step, _, count in (each.partition(":") for each in text.split())}


def usual_s(times: Mapping[int, int]) -> float:
    """The median of counted times, seconds, right to half a step; NaN of none."""
    left = sum(times.values()) / 2
    for step in sorted(times):
        left -= times[step]
        if left <= 0:
            return float(2 ** ((step + 0.5) / STEPS))
    return math.nan


def _change(seen: Seen, before: Seen | None, *, soonest_s: float | None = None) -> Change:
    return (
        seen.asked_s,
        seen.told_s if soonest_s is None else soonest_s,
        int(seen.told),
        seen.says[:_LONGEST],
        None if before is None else before.asked_s,
        None if before is None else before.told_s,
    )
