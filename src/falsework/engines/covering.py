"""Which fewest sets cover everything, and which of those are the cheapest?

First what needs no search: an element that only one set covers takes that set; an element that is covered whenever
another is need not be looked at; a set that covers no more than another, at no less cost, is not needed. What is left
falls into pieces that share no element, and each is searched: branch and bound where it is small, else a solver, with
what it proved when its time is over.
"""

from __future__ import annotations

import time
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

MOST_NODES = 20_000
"""Branches looked at before a piece goes to the solver."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cover:
    """What covers everything.

    Attributes:
        chosen: numbers of sets, ascending.
        least: no cover has fewer sets than this.
        cheapest: whether no cover of as many sets is cheaper.
    """

    chosen: tuple[int, ...]
    least: int
    cheapest: bool

    @property
    def fewest(self) -> bool:
        """Whether no cover has fewer sets."""
        return self.least == len(self.chosen)


def cover(
    sets: Sequence[Collection[int]],
    costs: Sequence[int],
    *,
    taken: Collection[int] = (),
    seconds: float = 10.0,
    workers: int = 2,
) -> Cover:
    """The fewest sets, and among those the cheapest, that cover every element that any set covers.

    Args:
        sets: elements of each.
        costs: of each, not negative.
        taken: sets that are in the cover whatever they are worth.
        seconds: about how long may be searched in all.
        workers: threads of the solver.
    """
    until = time.monotonic() + seconds
    chosen = set(taken)
    covered = {element for number in chosen for element in sets[number]}
    bits: dict[int, int] = {}
    masks = []
    for each in sets:
        mask = 0
        for element in sorted(each):
            if element not in covered:
                mask |= 1 << bits.setdefault(element, len(bits))
        masks.append(mask)
    # One more set weighs more than any difference of cost.
    one = sum(costs) + 1
    weights = [one + cost for cost in costs]
    left, forced, todo = _reduced(masks, weights, (1 << len(bits)) - 1)
    chosen.update(forced)
    least, cheapest = len(chosen), True
    for wanted, some in _pieces(masks, left, todo):
        found, bound = _searched(
            [masks[number] & wanted for number in some],
            [weights[number] for number in some],
            wanted,
            until=until,
            workers=workers,
        )
        chosen.update(some[number] for number in found)
        least += bound // one  # c sets weigh at most c * one and less than another one
        cheapest = cheapest and bound == sum(weights[some[number]] for number in found)
    return Cover(chosen=tuple(sorted(chosen)), least=min(least, len(chosen)), cheapest=cheapest)


def _reduced(masks: Sequence[int], weights: Sequence[int], todo: int) -> tuple[list[int], list[int], int]:
    """Sets worth looking at, sets that must be taken, and elements that are still to be covered."""
    left = [number for number, mask in enumerate(masks) if mask]
    forced: list[int] = []
    while True:
        before = len(left), todo
        holders = _holders(masks, left, todo)
        for bit, those in holders.items():
            if those & (those - 1) == 0 and todo >> bit & 1:
                number = left[those.bit_length() - 1]
                forced.append(number)
                todo &= ~masks[number]
        holders = _holders(masks, left, todo)
        # An element whose sets all cover another one too: whoever covers it covers the other.
        fewest: list[int] = []
        seen: set[int] = set()
        for _, those, bit in sorted((those.bit_count(), those, bit) for bit, those in holders.items()):
            if those in seen or any(other & ~those == 0 for other in fewest):
                todo &= ~(1 << bit)
            else:
                fewest.append(those)
                seen.add(those)
        kept: list[int] = []
        order = sorted(
            left, key=lambda number: (-(masks[number] & todo).bit_count(), weights[number], number)
        )
        for number in order:
            mask = masks[number] & todo
            if mask and not any(
                mask & ~masks[other] == 0 and weights[other] <= weights[number] for other in kept
            ):
                kept.append(number)
        left = sorted(kept)
        if (len(left), todo) == before:
            return left, forced, todo


def _holders(masks: Sequence[int], left: Sequence[int], todo: int) -> dict[int, int]:
    """For each element still to be covered, which of `left` cover it, as bits."""
    found: dict[int, int] = {}
    for at, number in enumerate(left):
        mask = masks[number] & todo
        while mask:
            low = mask & -mask
            bit = low.bit_length() - 1
            found[bit] = found.get(bit, 0) | 1 << at
            mask ^= low
    return found


def _pieces(masks: Sequence[int], left: Sequence[int], todo: int) -> Iterator[tuple[int, list[int]]]:
    """Elements and sets that have nothing to do with those of other pieces."""
    pieces: list[tuple[int, list[int]]] = []
    for number in left:
        mask, some = masks[number] & todo, [number]
        apart = []
        for other, those in pieces:
            if other & mask:
                mask |= other
                some = [*those, *some]
            else:
                apart.append((other, those))
        pieces = [*apart, (mask, some)]
    yield from pieces


def _searched(
    masks: Sequence[int], weights: Sequence[int], wanted: int, *, until: float, workers: int
) -> tuple[list[int], int]:
    """The best cover of one piece, and what none is lighter than."""
    search = _Search(masks, weights, wanted)
    search.run()
    if search.nodes < MOST_NODES:
        return search.best, search.weight
    return _solved(masks, weights, search.best, max(until - time.monotonic(), 0.1), workers)


class _Search:
    """Branch and bound on the element that the fewest sets cover."""

    def __init__(self, masks: Sequence[int], weights: Sequence[int], wanted: int) -> None:
        self.masks, self.weights = masks, weights
        self.wanted = wanted
        self.nodes = 0
        self.best = self._greedy()
        self.weight = sum(weights[number] for number in self.best)
        self.holders: dict[int, list[int]] = {}
        for bit, those in _holders(masks, range(len(masks)), wanted).items():
            self.holders[bit] = [at for at in range(len(masks)) if those >> at & 1]

    def run(self) -> None:
        # A list of what waits, not calls in calls: a piece may need more sets than calls may be deep.
        waiting: list[tuple[int, tuple[int, ...], int, int]] = [(self.wanted, (), 0, 0)]
        while waiting and self.nodes < MOST_NODES:
            self.nodes += 1
            # The last first, so that the most promising branch is followed to its end before the next.
            waiting.extend(reversed(self._branches(*waiting.pop())))

    def _greedy(self) -> list[int]:
        todo, found = self.wanted, list[int]()
        while todo:
            best = max(
                range(len(self.masks)),
                key=lambda number: ((self.masks[number] & todo).bit_count() / self.weights[number], -number),
            )
            found.append(best)
            todo &= ~self.masks[best]
        return found

    def _branches(
        self, todo: int, taken: tuple[int, ...], weight: int, barred: int
    ) -> list[tuple[int, tuple[int, ...], int, int]]:
        """What goes on from here, the most promising first; nothing where all is covered, or no better can come."""
        if not todo:
            if weight < self.weight:
                self.best, self.weight = list(taken), weight
            return []
        if weight + self._bound(todo, barred) >= self.weight:
            return []
        bit = min(_bits(todo), key=lambda each: sum(1 for at in self.holders[each] if not barred >> at & 1))
        options = [at for at in self.holders[bit] if not barred >> at & 1]
        options.sort(key=lambda at: (-(self.masks[at] & todo).bit_count(), self.weights[at]))
        found = []
        for at in options:
            found.append((todo & ~self.masks[at], (*taken, at), weight + self.weights[at], barred))
            barred |= 1 << at  # covers with this one have all been seen by then
        return found

    def _bound(self, todo: int, barred: int) -> int:
        """Elements no two of which any set covers each want a set of their own."""
        total = 0
        while todo:
            bit = (todo & -todo).bit_length() - 1
            options = [at for at in self.holders[bit] if not barred >> at & 1]
            if not options:
                return self.weight
            total += min(self.weights[at] for at in options)
            todo &= ~(1 << bit)
            for at in options:
                todo &= ~self.masks[at]
        return total


def _bits(mask: int) -> Iterator[int]:
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


def _solved(
    masks: Sequence[int], weights: Sequence[int], hint: Sequence[int], seconds: float, workers: int
) -> tuple[list[int], int]:
    # Only here: loading it takes longer than most covers do.
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    takes = [model.new_bool_var("") for _ in masks]
    for those in _holders(masks, range(len(masks)), _all(masks)).values():
        model.add_bool_or([takes[at] for at in range(len(masks)) if those >> at & 1])
    for at, take in enumerate(takes):
        model.add_hint(take, at in set(hint))
    model.minimize(sum(weight * take for weight, take in zip(weights, takes, strict=True)))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = workers
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return list(hint), 0
    return [at for at, take in enumerate(takes) if solver.value(take)], round(solver.best_objective_bound)


def _all(masks: Sequence[int]) -> int:
    found = 0
    for mask in masks:
        found |= mask
    return found
