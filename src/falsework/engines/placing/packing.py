"""Which items find no place in the holes that are left when bins are lost?

Items are put whole into one bin each. The search looks at the largest first and puts each where it leaves least; where
that does not house all, a depth-first search with bounds looks for a packing that leaves out fewer.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from falsework.engines.placing.problem import NOWHERE, Ints, Problem

MOST_STEPS = 20_000
"""Steps of the search for one packing, before the best so far must do."""
SLACK = 1e-9
"""What a sum of fractions may be off by; whole numbers are compared exactly."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Holes:
    """What is to be packed into what; any numbers will do, infinity for what binds nothing.

    Attributes:
        takes: by item and resource.
        may: by item, the bins that it may go into.
        rules: by item, the rules of keeping apart that it is under.
        domain: by rule and bin, NOWHERE where the rule does not bind.
        left: by bin and resource, what is free.
        taken: the (rule, domain) pairs that are held by what still runs.
    """

    takes: Sequence[Sequence[float]]
    may: Sequence[Sequence[int]]
    rules: Sequence[Sequence[int]]
    domain: Sequence[Sequence[int]]
    left: Sequence[Sequence[float]]
    taken: frozenset[tuple[int, int]] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Packed:
    """Where items were put.

    Attributes:
        bin_of: the bin of each that found a place.
        homeless: the others, ascending.
        least: no packing leaves out fewer than so many.
    """

    bin_of: Mapping[int, int]
    homeless: tuple[int, ...]
    least: int

    @property
    def exact(self) -> bool:
        """Whether it is proven that no packing leaves out fewer."""
        return len(self.homeless) == self.least


def homeless(
    problem: Problem, bin_of: Ints, lost: Collection[int], *, steps: int = MOST_STEPS
) -> frozenset[int]:
    """The items that find no place when these bins are lost: as few as can be.

    At the bound on steps the answer is pessimistic: items may be called homeless that a cleverer packing would
    house; never the other way round.
    """
    return frozenset(restarted(problem, bin_of, lost, steps=steps).homeless)


def restarted(problem: Problem, bin_of: Ints, lost: Collection[int], *, steps: int = MOST_STEPS) -> Packed:
    """Where the items of lost bins find a place, as `Loss` has it.

    Only items that `restarts` (all, if the problem does not say) look for one. Items that `sheds` are out of the
    way, wherever they were, with what they take and whom they are kept apart from. What a moved item would still
    hold in its old bin (`twice`) is not counted: the moves are long done.

    Args:
        problem: sizes, capacities, allowed bins and rules of keeping apart.
        bin_of: (n_items,) where each item is before; one that is nowhere stays out of it.
        lost: the bins.
        steps: of the search, at most.
    """
    holes, items = holes_after(problem, bin_of, lost)
    return pack(holes, items, steps=steps)


def holes_after(problem: Problem, bin_of: Ints, lost: Collection[int]) -> tuple[Holes, tuple[int, ...]]:
    """The holes that a loss leaves, and the items that look for a place in them."""
    gone = np.zeros(problem.n_bins, dtype=bool)
    gone[list(lost)] = True
    sheds = problem.shedding
    placed = bin_of != NOWHERE
    hit = placed & gone[bin_of]
    running = np.flatnonzero(placed & ~hit & ~sheds)
    items = tuple(np.flatnonzero(hit & problem.restarting & ~sheds).tolist())
    left = problem.capacity.astype(np.int64, copy=True)
    np.subtract.at(left, bin_of[running], problem.size[running])
    looking, runs = set(items), set(running.tolist())
    rules: dict[int, list[int]] = {item: [] for item in items}
    taken: set[tuple[int, int]] = set()
    for number, rule in enumerate(problem.apart):
        members = set(rule.items)
        if not looking.isdisjoint(members):
            for item in members & looking:
                rules[item].append(number)
            taken.update((number, rule.domain[bin_of[item]]) for item in members & runs)
    standing = np.flatnonzero(~gone)
    may = {
        item: standing.tolist()
        if problem.allowed is None
        else standing[problem.allowed[item, standing]].tolist()
        for item in items
    }
    holes = Holes(
        takes=[problem.size[item].tolist() for item in items],
        may=[may[item] for item in items],
        rules=[rules[item] for item in items],
        domain=[rule.domain for rule in problem.apart],
        left=left.tolist(),
        taken=frozenset(pair for pair in taken if pair[1] != NOWHERE),
    )
    return holes, items


def pack(
    holes: Holes,
    names: Sequence[int] | None = None,
    *,
    most_out: int | None = None,
    steps: int = MOST_STEPS,
) -> Packed:
    """Put items into holes, so that as few as can be are left out.

    Args:
        holes: the items and the holes.
        names: what to call each item in the answer; by default its number.
        most_out: leave out at most so many; where that was not done, in truth or within the steps, nothing is
            placed and all are homeless.
        steps: of the search, at most.

    Cost:
        Quick where the largest first, each where it leaves least, finds a place for all, or where sums show that
        no more can find one; else bounded by the steps.
    """
    called = range(len(holes.takes)) if names is None else names
    search = _Search(holes, steps)
    least = search.least
    if most_out is None or least <= most_out:
        search.run(len(holes.takes) if most_out is None else most_out)
    if search.exact:
        least = max(least, (most_out or 0) + 1) if search.best is None else search.best.count(NOWHERE)
    found = search.best or [NOWHERE] * len(holes.takes)
    return Packed(
        bin_of={called[item]: at for item, at in enumerate(found) if at != NOWHERE},
        homeless=tuple(sorted(called[item] for item, at in enumerate(found) if at == NOWHERE)),
        least=least,
    )


class _Search:
    """Depth first over the items, largest first; for each the tightest bin first, and out of all bins last."""

    def __init__(self, holes: Holes, steps: int) -> None:
        self.holes = holes
        self.left = [list(each) for each in holes.left]
        self.taken = set(holes.taken)
        self.steps = steps
        self.best: list[int] | None = None
        self.exact = True
        n = len(holes.takes)
        self.able = [tuple(at for at in holes.may[item] if self._fits(item, at)) for item in range(n)]
        resources = range(len(holes.left[0]) if holes.left else 0)
        self.wanted = [sum(holes.takes[item][r] for item in range(n)) for r in resources]
        there = [sum(max(0, left[r]) for left in holes.left) for r in resources]
        share = [sum(holes.takes[item][r] / there[r] for r in resources if there[r] > 0) for item in range(n)]
        self.order = sorted(range(n), key=lambda item: (-share[item], *self._kind(item), item))
        self.like_last = [
            place > 0 and self._kind(item) == self._kind(self.order[place - 1])
            for place, item in enumerate(self.order)
        ]
        self.form = self._forms()
        self.rest = self._rests(resources)
        self.least = self._least(resources)

    def _kind(self, item: int) -> tuple[tuple[float, ...], tuple[int, ...], tuple[int, ...]]:
        return tuple(self.holes.takes[item]), tuple(self.holes.rules[item]), tuple(self.holes.may[item])

    def _fits(self, item: int, at: int) -> bool:
        return all(
            take - have <= SLACK for take, have in zip(self.holes.takes[item], self.left[at], strict=True)
        ) and not any((rule, self.holes.domain[rule][at]) in self.taken for rule in self.holes.rules[item])

    def _least(self, resources: range) -> int:
        """How many are left out at least: those that fit nowhere, and of the others by sums and by domains."""
        rest = [item for item, able in enumerate(self.able) if able]
        for_whom: dict[int, list[int]] = {}
        for item in rest:
            for at in self.able[item]:
                for_whom.setdefault(at, []).append(item)
        whole = sum(self._count(items, [self.left[at]], resources) for at, items in for_whom.items())
        most = min(whole, self._count(rest, [self.left[at] for at in for_whom], resources))
        more = len(rest) - min(most, len(rest))
        crowded, counted = 0, set[int]()
        for rule in sorted({rule for item in rest for rule in self.holes.rules[item]}):
            items = {item for item in rest if rule in self.holes.rules[item]}
            domains = {self.holes.domain[rule][at] for item in items for at in self.able[item]}
            if NOWHERE not in domains and items.isdisjoint(counted):
                crowded += max(0, len(items) - len(domains))
                counted |= items
        return len(self.able) - len(rest) + max(more, crowded)

    def _count(self, items: Sequence[int], lefts: Sequence[Sequence[float]], resources: range) -> int:
        """How many of these items there is room for at most, by the sum of each resource over some bins."""
        most = len(items)
        for r in resources:
            room = sum(left[r] for left in lefts)
            for count, take in enumerate(sorted(self.holes.takes[item][r] for item in items)):
                room -= take
                if room < -SLACK:
                    most = min(most, count)
                    break
        return most

    def _forms(self) -> list[int]:
        """Bins of one form differ in nothing but what is left in them and what they hold."""
        bins = sorted({at for able in self.able for at in able})
        rules = sorted({rule for rules in self.holes.rules for rule in rules})
        for_whom: dict[int, list[int]] = {at: [] for at in bins}
        for item, able in enumerate(self.able):
            for at in able:
                for_whom[at].append(item)
        size = {rule: dict[int, int]() for rule in rules}
        for rule in rules:
            for at in bins:
                domain = self.holes.domain[rule][at]
                size[rule][domain] = size[rule].get(domain, 0) + 1
        numbers: dict[tuple[object, ...], int] = {}
        form = [0] * len(self.left)
        alone = -2  # a domain of one bin is as good as any other such
        for at in bins:
            domains = (self.holes.domain[rule][at] for rule in rules)
            told = (
                alone if one != NOWHERE and size[rule][one] == 1 else one
                for rule, one in zip(rules, domains, strict=True)
            )
            form[at] = numbers.setdefault((tuple(for_whom[at]), *told), len(numbers))
        self.rules, self.bins = rules, bins
        return form

    def _rests(self, resources: range) -> list[list[tuple[float, float, float]]]:
        """By place in the order and resource: what the items from there on take together, least and most."""
        rest: list[list[tuple[float, float, float]]] = []
        so_far = [(0.0, float("inf"), 0.0) for _ in resources]
        for item in reversed(self.order):
            takes = self.holes.takes[item]
            so_far = [
                (total + take, min(least, take), max(most, take))
                for (total, least, most), take in zip(so_far, takes, strict=True)
            ]
            rest.append(so_far)
        return rest[::-1]

    def _more(self, place: int) -> int:
        """How many of the items from a place in the order on must be left out, by the sum of each resource.

        Holes in which not even the least of each resource is left do not count.
        """
        rest = self.rest[place]
        there = [0.0] * len(rest)
        for at in self.bins:
            left = self.left[at]
            if all(have - least >= -SLACK for have, (_, least, _) in zip(left, rest, strict=True)):
                there = [sum_ + have for sum_, have in zip(there, left, strict=True)]
        return max(
            (
                math.ceil((total - sum_ - SLACK) / most)
                for sum_, (total, _, most) in zip(there, rest, strict=True)
                if most > 0 and total - sum_ > SLACK
            ),
            default=0,
        )

    def run(self, most_out: int) -> None:
        self._dive(most_out, first=True)
        if self.best is None or self.best.count(NOWHERE) > self.least:
            self._dive(most_out if self.best is None else self.best.count(NOWHERE) - 1, first=False)

    def _dive(self, most_out: int, *, first: bool) -> None:
        """Look for packings that leave out at most so many, then for better ones.

        Args:
            most_out: more are not of interest.
            first: only the very first, the best bin for each without regard to equal items, and no way back.
        """
        n = len(self.order)
        if n == 0:
            self.best = []
            return
        chosen = [NOWHERE] * n
        out, done, steps = 0, 0, 0
        ways = [self._ways(0, chosen, free=first)]
        while ways:
            place = len(ways) - 1
            if done > place:  # take back what was chosen here
                done = place
                if chosen[place] == NOWHERE:
                    out -= 1
                else:
                    self._put(self.order[place], chosen[place], back=True)
            at = next(ways[-1], None)
            if at is None:
                ways.pop()
                continue
            steps += 1
            if steps > max(self.steps, n):
                self.exact = False
                break
            chosen[place] = at
            done = place + 1
            if at == NOWHERE:
                out += 1
            else:
                self._put(self.order[place], at)
            if out > most_out:
                if first:
                    break
                continue
            if done < n:
                if first or out + self._more(done) <= most_out:
                    ways.append(self._ways(done, chosen, free=first))
                continue
            found = [NOWHERE] * n
            for item, where in zip(self.order, chosen, strict=True):
                found[item] = where
            self.best, most_out = found, out - 1
            if first or out <= self.least:
                break
        for place in range(done):
            if chosen[place] != NOWHERE:
                self._put(self.order[place], chosen[place], back=True)

    def _ways(self, place: int, chosen: Sequence[int], *, free: bool) -> Iterator[int]:
        """The bins for an item, the tightest first; of bins that are alike one, of equal items the first first."""
        item = self.order[place]
        from_ = 0
        if not free and self.like_last[place]:
            if chosen[place - 1] == NOWHERE:
                return iter((NOWHERE,))
            from_ = chosen[place - 1]
        able = [at for at in self.able[item] if at >= from_ and self._fits(item, at)]
        able.sort(key=lambda at: (self._loose(at), at))
        seen: set[tuple[object, ...]] = set()
        ways = []
        for at in able:
            held = tuple((rule, self.holes.domain[rule][at]) in self.taken for rule in self.rules)
            look = (self.form[at], *self.left[at], *held)
            if look not in seen:
                seen.add(look)
                ways.append(at)
        ways.append(NOWHERE)
        return iter(ways)

    def _loose(self, at: int) -> float:
        return sum(
            min(have / wanted, 1.0) for have, wanted in zip(self.left[at], self.wanted, strict=True) if wanted
        )

    def _put(self, item: int, at: int, *, back: bool = False) -> None:
        sign = -1 if back else 1
        for resource, amount in enumerate(self.holes.takes[item]):
            self.left[at][resource] -= sign * amount
        for rule in self.holes.rules[item]:
            domain = self.holes.domain[rule][at]
            if domain == NOWHERE:
                continue
            if back:
                self.taken.discard((rule, domain))
            else:
                self.taken.add((rule, domain))
