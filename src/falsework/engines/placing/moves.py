"""In which order do items go from where they are to where they should be, so that all is kept on the way?

One item moves at a time. While it does it takes room in its old bin and in its new one. What must be kept is kept
after every move too, and no watched level gets worse than it is at both ends.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from falsework.engines.placing.problem import HARD, NOWHERE, Ints, Problem
from falsework.engines.placing.watching import Watch

MOST_STEPS = 4_000
"""States that the search for an order without fault looks at, before the least bad must do."""
MOST_SEARCHED = 24
"""Items that move, up to which every order is tried within the steps."""
MOST_TRIED = 20_000
"""Moves into a third bin that are looked at for one step, before the least bad must do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shift:
    """One item goes from one bin to another.

    Attributes:
        item: which.
        start: its bin, or NOWHERE where it was in none, or was stopped.
        end: its new bin, or NOWHERE where it must be stopped to let others pass.
        breaks: hard rules that are not kept after it, and are kept at both ends; empty where all is well.
        worse: by how much a watched level is worse after it than at both ends.
    """

    item: int
    start: int
    end: int
    breaks: tuple[str, ...] = ()
    worse: int = 0

    @property
    def clean(self) -> bool:
        """Whether nothing is broken, worse or stopped by it."""
        return not self.breaks and not self.worse and self.end != NOWHERE


def ordered(
    problem: Problem, bin_of: Ints, goal: Ints, *, watch: int = 0, steps: int = MOST_STEPS
) -> tuple[Shift, ...]:
    """The moves in an order, each item once where that can be; the least bad that was found where it cannot.

    First an order in which every item moves once and all is kept is looked for, then one in which some wait in a
    third bin, then what breaks least; an item is stopped only where nothing else is left.

    Args:
        problem: sizes and rules; moves, comfort and balance are not looked at.
        bin_of: (n_items,) where each item is, or NOWHERE.
        goal: (n_items,) where it should be; a placement that keeps the hard rules.
        watch: the last level that may not get worse on the way.
        steps: of the search.

    Cost:
        A few thousand judgements where an order has to be searched for, else about one a move; a judgement looks
        only at what the item touches.
    """
    return _Walk(problem, bin_of, goal, watch).ordered(steps)


class _Walk:
    """Where everything is at a moment, and what may go next."""

    def __init__(self, problem: Problem, bin_of: Ints, goal: Ints, watch: int) -> None:
        watched = range(HARD, watch + 1)
        self.problem = replace(
            problem,
            near=tuple(each for each in problem.near if each.level in watched),
            at_most=tuple(each for each in problem.at_most if each.level in watched),
            losses=tuple(each for each in problem.losses if each.level in watched),
            comfort=(),
            balance=(),
            moves=(),
            start=np.full(problem.n_items, NOWHERE, dtype=np.int64),
        )
        self.goal = goal.astype(np.int64)
        self.levels = slice(0, watch + 1)
        first = Watch(self.problem, bin_of.astype(np.int64, copy=True))
        last = Watch(self.problem, self.goal.copy())
        self.excused = frozenset((*first.now.broken, *last.now.broken))
        ends = (np.array(each.now.cost)[self.levels] for each in (first, last))
        self.most = np.maximum(*ends)
        self.watch, self.at, self.use = first, first.at, first.use
        self.stopped = {problem.item_names[item] for item in np.flatnonzero(self.at == NOWHERE).tolist()}

    def ordered(self, steps: int) -> tuple[Shift, ...]:
        items = np.flatnonzero(self.at != self.goal).tolist()
        if len(items) <= MOST_SEARCHED:
            found = self._search(frozenset(items), set(), steps)
            if found is not None:
                return tuple(found)
        return tuple(self._walk(items))

    def _search(self, left: frozenset[int], seen: set[frozenset[int]], steps: int) -> list[Shift] | None:
        """A clean order of all that is left, depth first over what has moved; None where none was found."""
        if not left:
            return []
        for item in sorted(left):
            rest = left - {item}
            if rest in seen or len(seen) >= steps:
                continue
            shift = self._shift(item, int(self.goal[item]))
            if shift is None or not shift.clean:
                continue
            seen.add(rest)
            self._do(item, shift.end)
            found = self._search(rest, seen, steps)
            self._do(item, shift.start)
            if found is not None:
                return [shift, *found]
        return None

    def _walk(self, items: Sequence[int]) -> Iterator[Shift]:
        """One after another: what may go goes; else one waits in a third bin; else what breaks least; else one stops."""
        left, parked = list(items), set[int]()
        while left:
            gone = set[int]()
            for shift in self._straight(left):
                gone.add(shift.item)
                yield shift
            if gone:
                left = [item for item in left if item not in gone]
                continue
            shift = self._parked(left, parked) or self._least_bad(left) or self._stopped(left)
            if shift.end == self.goal[shift.item]:
                left.remove(shift.item)
            elif shift.end != NOWHERE:
                parked.add(shift.item)
            self._do(shift.item, shift.end)
            yield shift

    def _straight(self, left: Sequence[int]) -> Iterator[Shift]:
        """All that may go where they should be, one after the other; those first whose place others wait for."""
        wanted = {int(self.goal[item]) for item in left}
        for item in sorted(left, key=lambda item: int(self.at[item]) not in wanted):
            shift = self._shift(item, int(self.goal[item]))
            if shift is not None and shift.clean:
                self._do(item, shift.end)
                yield shift

    def _parked(self, left: Sequence[int], parked: set[int]) -> Shift | None:
        """One that others wait for, the smallest first, goes to a third bin; each item at most once."""
        wanted = {int(self.goal[item]) for item in left}
        tried = 0
        for item in sorted(left, key=lambda item: int(self.problem.size[item].sum())):
            if item in parked or int(self.at[item]) not in wanted or self.at[item] == NOWHERE:
                continue
            for end in range(self.problem.n_bins):
                if end in (self.goal[item], self.at[item]) or end in wanted:
                    continue
                tried += 1
                if tried > MOST_TRIED:
                    return None
                shift = self._shift(item, end)
                if shift is not None and shift.clean:
                    return shift
        return None

    def _least_bad(self, left: Sequence[int]) -> Shift | None:
        shifts = (self._shift(item, int(self.goal[item])) for item in left)
        return min(
            (shift for shift in shifts if shift is not None),
            key=lambda shift: (len(shift.breaks), shift.worse, shift.item),
            default=None,
        )

    def _stopped(self, left: Sequence[int]) -> Shift:
        """The smallest that others wait for is stopped; it starts again once there is room where it should be."""
        wanted = {int(self.goal[item]) for item in left}
        standing = [item for item in left if self.at[item] != NOWHERE]
        item = min(
            standing,
            key=lambda item: (int(self.at[item]) not in wanted, int(self.problem.size[item].sum()), item),
        )
        return self._judged(item, NOWHERE)

    def _shift(self, item: int, end: int) -> Shift | None:
        """An item's move, judged; None where there is no room for it beside what is there now."""
        problem = self.problem
        if problem.allowed is not None and not problem.allowed[item, end] and end != self.goal[item]:
            return None
        size = problem.size[item]
        if (self.use[end] + size > problem.capacity[end]).any():
            return None
        for shared in problem.shared:
            if end in shared.bins:
                there = int(self.use[list(shared.bins), shared.resource].sum())
                if there + int(size[shared.resource]) > shared.capacity and size[shared.resource]:
                    return None
        return self._judged(item, end)

    def _judged(self, item: int, end: int) -> Shift:
        """What is broken, and what is worse, once an item is elsewhere."""
        start, name = int(self.at[item]), self.problem.item_names[item]
        then = self.watch.after(item, end)
        breaks = tuple(
            each
            for each in then.broken
            if each not in self.excused and (each not in self.stopped if each != name else end != NOWHERE)
        )
        over = np.array(then.cost)[self.levels] - self.most
        return Shift(item=item, start=start, end=end, breaks=breaks, worse=int(np.maximum(over, 0).sum()))

    def _do(self, item: int, end: int) -> None:
        self.watch.go(item, end)
        name = self.problem.item_names[item]
        if end == NOWHERE:
            self.stopped.add(name)
        else:
            self.stopped.discard(name)
