"""When is each question due, so that ten thousand of them don't begin at once?"""

from __future__ import annotations

import heapq
import math
from collections import Counter
from collections.abc import Sequence

SOONEST_S = 0.01
"""No question is asked more often than this."""
_FIRST_S = 1.0


class Pace:
    """The next moment of every question; times are seconds since the run began.

    Those that are asked equally often are spread evenly over that time. The first time comes within a second, so that
    a question that is asked once an hour is not left open for an hour.

    Args:
        every_s: how often each is asked, seconds.
        from_s: when the asking begins.
    """

    def __init__(self, every_s: Sequence[float], *, from_s: float = 0.0) -> None:
        self._from_s = from_s
        self._every_s = [max(each, SOONEST_S) for each in every_s]
        many = Counter(self._every_s)
        before: Counter[float] = Counter()
        self._share: list[float] = []
        for each in self._every_s:
            self._share.append(before[each] / many[each])
            before[each] += 1
        self.heap = [
            (from_s + share * min(each, _FIRST_S), number)
            for number, (share, each) in enumerate(zip(self._share, self._every_s, strict=True))
        ]
        heapq.heapify(self.heap)

    def after(self, number: int, due_s: float, now_s: float) -> tuple[float, int]:
        """The moment after this one, and how many were let go by because it is too late for them."""
        every_s = self._every_s[number]
        share = self._share[number]
        if due_s < self._from_s + every_s:  # the first: from it to the even grid
            due_s = self._from_s + share * every_s
        next_s = due_s + every_s
        if next_s > now_s:
            return next_s, 0
        missed = math.floor((now_s - next_s) / every_s) + 1
        return next_s + missed * every_s, missed

    def skip(self, until_s: float) -> int:
        """Let go everything that was due up to a moment, after a halt; how many that were.

        What is asked seldom is asked soon, the rest at its usual moment: all at once would be a halt again.
        """
        missed = 0
        for place, (due_s, number) in enumerate(self.heap):
            if due_s > until_s:
                continue
            every_s = self._every_s[number]
            if every_s > 2 * _FIRST_S:
                next_s, let_go = until_s + self._share[number] * _FIRST_S, 0
            else:
                next_s, let_go = self.after(number, due_s, until_s)
            self.heap[place] = (next_s, number)
            missed += let_go + 1
        heapq.heapify(self.heap)
        return missed
