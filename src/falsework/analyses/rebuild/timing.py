"""When does each item begin, if each takes its time and one pair of hands does the work?"""

from __future__ import annotations

import heapq
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from math import inf

from falsework.engines.founded.growing import Growing
from falsework.units import WEEK_S


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """What one item takes: seconds in all, seconds of work at its start, seconds until it can begin at all."""

    takes_s: float = 0.0
    hands_s: float = 0.0
    waits_s: float = 0.0

    @property
    def nothing(self) -> bool:
        """Whether it comes by itself at once."""
        return self.takes_s == self.hands_s == self.waits_s == 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Timetable:
    """When each item's making begins, when it has begun to be there, and from when it serves; infinity for never."""

    begins_s: tuple[float, ...]
    ends_s: tuple[float, ...]
    serves_s: tuple[float, ...]


class Hours:
    """One pair of hands that works in windows of the week.

    Args:
        windows: from and to in seconds since Monday, in order; empty for always.
        from_s: when it first works, on the clock of the answer; that is taken as the start of the first window.
    """

    def __init__(self, windows: Sequence[tuple[float, float]], from_s: float) -> None:
        self.windows = tuple(windows)
        self.shift = (windows[0][0] if windows else 0.0) - from_s

    def begins(self, at: float) -> float:
        """The first moment not before `at` when it works."""
        if not self.windows:
            return at
        week, rest = divmod(at + self.shift, WEEK_S)
        for start, end in self.windows:
            if rest < end:
                return week * WEEK_S + max(start, rest) - self.shift
        return (week + 1) * WEEK_S + self.windows[0][0] - self.shift

    def ends(self, at: float, work_s: float) -> float:
        """When so much work is done that begins at `at`; it rests between the windows."""
        if not self.windows:
            return at + work_s
        week, rest = divmod(at + self.shift, WEEK_S)
        left = work_s
        while (
            True
        ):  # by windows, not by moments: a moment rounded to just before a window's end would never pass it
            for start, end in self.windows:
                begins = max(start, rest)
                if begins >= end:
                    continue
                if left <= end - begins:
                    return week * WEEK_S + begins + left - self.shift
                left -= end - begins
            week, rest = week + 1, 0.0


def standing_start(bare: Growing, spans: Sequence[Span], never: Collection[int] = ()) -> Growing:
    """How things stand before any work is done: with all that comes by itself at once."""
    grown = bare.copy()
    grown.allow([item for item, span in enumerate(spans) if span.nothing and item not in never])
    return grown


def timetable(
    starts: Growing,
    spans: Sequence[Span],
    hours: Hours,
    *,
    from_s: float,
    never: Collection[int] = (),
) -> Timetable:
    """A timetable in which whatever can begin does, and the hands take what has waited longest.

    That is an order in which it can be done, not the shortest one.

    Args:
        starts: how things stand before any work, as `standing_start` says; it is left as it is.
        spans: of each.
        hours: when the hands work.
        from_s: when anything can begin at all.
        never: items that are not begun: stand-ins that were not chosen.

    Cost:
        Linear in the clauses, with a sort of the items.
    """
    count = len(spans)
    begins, ends, serves = [inf] * count, [inf] * count, [inf] * count
    growing = starts.copy()
    done: list[tuple[float, int]] = []
    waiting: list[tuple[float, int]] = []
    asked: set[int] = set(never)
    now, hands_free, seen, more = from_s, from_s, 0, True
    while True:
        if more:
            for growth in growing.grown[seen:]:
                for item in growth.begun:
                    ends[item] = now
                    begins[item] = min(begins[item], now)
                for item in growth.serves:
                    serves[item] = now
            seen = len(growing.grown)
            for item in sorted(growing.able - asked):
                asked.add(item)
                at = max(now, spans[item].waits_s)
                if spans[item].hands_s > 0:
                    heapq.heappush(waiting, (at, item))
                else:
                    begins[item] = at
                    heapq.heappush(done, (at + spans[item].takes_s, item))
            more = False
        works = hours.begins(max(hands_free, waiting[0][0])) if waiting else inf
        if works < inf and (not done or works <= done[0][0]):
            _, item = heapq.heappop(waiting)
            begins[item] = works
            hands_free = hours.ends(works, spans[item].hands_s)
            heapq.heappush(done, (hands_free + max(spans[item].takes_s - spans[item].hands_s, 0.0), item))
            continue
        if not done:
            return Timetable(begins_s=tuple(begins), ends_s=tuple(ends), serves_s=tuple(serves))
        now = done[0][0]
        batch = []
        while done and done[0][0] <= now:
            batch.append(heapq.heappop(done)[1])
        growing.begin(batch)
        more = True
