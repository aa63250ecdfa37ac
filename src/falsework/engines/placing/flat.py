"""How does a problem look as flat arrays, and a placement with all its sums kept up to date?

Rules of company count items in domains. Each set of items that rules count by the same domains has one table of
counts, however many rules read it: twenty thousand items with forty thousand `Near` rules have a few thousand tables.

Level 0 here is what is broken, level l of the problem is l + 1: what can't be kept at first is mended as a cost is.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from falsework.engines.placing.problem import HARD, NOWHERE, Ints, Problem

Array = NDArray[Any]

APART, TOGETHER, SPREAD, NEAR, AT_MOST = range(5)
ITEMS, TO = 0, 1  # the side of a `Near` rule that a set is on
BROKEN = 1024
"""What one broken rule counts at level 0; a bin too full counts one and, in these parts, how much of the largest item."""


class Flat(NamedTuple):
    """A problem; n items, m bins, r resources, l levels with the broken ones."""

    n_levels: int
    any_soft: bool  # whether a rule of company costs at a level
    size: Array  # (n, r)
    capacity: Array  # (m, r)
    scale: Array  # (r,) the largest item
    twice: Array  # (r,) bool
    start: Array  # (n,)
    group: Array  # (n,)
    group_first: Array  # (g + 1,)
    group_items: Array  # (n,) items by group
    allowed: Array  # (n, m) bool, or (1, 1) where all is allowed
    any_barred: bool
    comfort_level: Array  # (c,)
    comfort_upto: Array  # (c, m, r)
    comfort_weight: Array  # (c, r)
    balance: Array  # (b, 5) level, resource, against, target, weight
    moves: Array  # (k, 4) level, busiest, way_weight, which of `way` or -1
    moves_each: Array  # (k, n)
    way: Array  # (w, m, m)
    maps: Array  # (d, m) domain of each bin, or -1
    set_map: Array  # (s,) row of `maps`
    set_base: Array  # (s,) where its counts begin
    set_quiet: Array  # (s,) bool: its rules are hard, and care only whether a domain has any
    item_first: Array  # (n + 1,)
    item_sets: Array  # sets of item i: item_sets[item_first[i]:item_first[i + 1]]
    set_first: Array  # (s + 1,)
    set_rules: Array  # (e, 2) rule, side
    rules: Array  # (q, 6) kind, level, weight, limit, set of items, set of `to`
    shared: Array  # (h, 2) resource, capacity
    bin_first: Array  # (m + 1,)
    bin_shared: Array  # shared rules of each bin


class State(NamedTuple):
    """A placement and its sums."""

    bin_of: Array  # (n,)
    use: Array  # (m, r) what items take where they are
    held: Array  # (m, r) and where they were, if that counts twice
    bin_cost: Array  # (m, l)
    counts: Array  # items by domain, of all sets
    domains: Array  # (s,) domains with any
    outside: Array  # (s,) items in bins without a domain
    shared_held: Array  # (h,)
    moved: Array  # (g,) moved items by group
    groups_with: Array  # (n + 2,) groups by number of moved items
    busiest: Array  # (1,) the largest number of them
    cost: Array  # (l,)


def flat(problem: Problem) -> Flat:
    """The problem as arrays."""
    return _Flattening(problem).run()


class _Flattening:
    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.maps: list[tuple[int, ...]] = []
        self._map_of: dict[int, tuple[tuple[int, ...], int]] = {}
        self._map_like: dict[tuple[int, ...], int] = {}
        self.sets: list[tuple[tuple[int, ...], int]] = []
        self._set_of: dict[tuple[tuple[int, ...], int], int] = {}
        self.rules: list[tuple[int, int, int, int, int, int]] = []

    def run(self) -> Flat:
        problem = self.problem
        n, m = problem.n_items, problem.n_bins
        self._company()
        maps = np.array(self.maps, dtype=np.int32).reshape(len(self.maps), m)
        widths = np.array([max(row, default=-1) + 1 for row in self.maps], dtype=np.int64)
        set_map = np.array([row for _, row in self.sets], dtype=np.int32)
        set_base = np.zeros(len(self.sets) + 1, dtype=np.int64)
        np.cumsum(widths[set_map], out=set_base[1:])
        item_sets: list[list[int]] = [[] for _ in range(n)]
        for number, (items, _) in enumerate(self.sets):
            for item in items:
                item_sets[item].append(number)
        set_rules: list[list[tuple[int, int]]] = [[] for _ in self.sets]
        for number, rule in enumerate(self.rules):
            set_rules[rule[4]].append((number, ITEMS))
            if rule[0] == NEAR:
                set_rules[rule[5]].append((number, TO))
        quiet = [
            all(self.rules[rule][1] == 0 and self.rules[rule][0] in (NEAR, SPREAD) for rule, _ in some)
            for some in set_rules
        ]
        bin_shared: list[list[int]] = [[] for _ in range(m)]
        for number, rule_ in enumerate(problem.shared):
            for one in sorted(set(rule_.bins)):
                bin_shared[one].append(number)
        item_first, flat_sets = rows(item_sets)
        bin_first, flat_shared = rows(bin_shared)
        set_first, _ = rows([[rule for rule, _ in some] for some in set_rules])
        ways = [_way(moves.way) for moves in problem.moves if moves.way is not None]
        which = iter(range(len(ways)))
        barred = problem.allowed is not None and not bool(problem.allowed.all())
        n_resources = problem.size.shape[1]
        return Flat(
            n_levels=len(problem.levels) + 1,
            any_soft=any(rule[1] > 0 for rule in self.rules),
            size=np.ascontiguousarray(problem.size, dtype=np.int64),
            capacity=np.ascontiguousarray(problem.capacity, dtype=np.int64),
            scale=np.maximum(problem.size.max(axis=0, initial=1), 1).astype(np.int64),
            twice=np.ascontiguousarray(problem.twice, dtype=np.bool_),
            start=np.ascontiguousarray(problem.start, dtype=np.int64),
            group=np.ascontiguousarray(problem.group, dtype=np.int64),
            group_first=np.concatenate([[0], np.cumsum(np.bincount(problem.group))]).astype(np.int64),
            group_items=np.argsort(problem.group, kind="stable").astype(np.int64),
            allowed=np.ascontiguousarray(problem.allowed) if barred else np.ones((1, 1), dtype=np.bool_),
            any_barred=barred,
            comfort_level=np.array([one.level + 1 for one in problem.comfort], dtype=np.int64),
            comfort_upto=np.array([one.upto for one in problem.comfort], dtype=np.int64).reshape(
                -1, m, n_resources
            ),
            comfort_weight=np.array([one.weight for one in problem.comfort], dtype=np.int64).reshape(
                -1, n_resources
            ),
            balance=np.array(
                [
                    (one.level + 1, one.resource, one.against, one.target, one.weight)
                    for one in problem.balance
                ],
                dtype=np.int64,
            ).reshape(-1, 5),
            moves=np.array(
                [
                    (one.level + 1, one.busiest, one.way_weight, -1 if one.way is None else next(which))
                    for one in problem.moves
                ],
                dtype=np.int64,
            ).reshape(-1, 4),
            moves_each=np.array([one.each for one in problem.moves], dtype=np.int64).reshape(-1, n),
            way=np.stack(ways) if ways else np.zeros((1, 1, 1), dtype=np.uint8),
            maps=maps,
            set_map=set_map,
            set_base=set_base,
            set_quiet=np.array(quiet, dtype=np.bool_),
            item_first=item_first,
            item_sets=flat_sets,
            set_first=set_first,
            set_rules=np.array([pair for some in set_rules for pair in some], dtype=np.int64).reshape(-1, 2),
            rules=np.array(self.rules, dtype=np.int64).reshape(-1, 6),
            shared=np.array([(one.resource, one.capacity) for one in problem.shared], dtype=np.int64).reshape(
                -1, 2
            ),
            bin_first=bin_first,
            bin_shared=flat_shared,
        )

    def _company(self) -> None:
        problem = self.problem
        for apart in problem.apart:
            self._rule(APART, HARD, BROKEN, 0, apart.items, apart.domain)
        for together in problem.together:
            self._rule(TOGETHER, HARD, BROKEN, 0, together.items, together.domain)
        for spread in problem.spread:
            self._rule(SPREAD, HARD, BROKEN, spread.at_least, spread.items, spread.domain)
        for near in problem.near:
            self._rule(NEAR, near.level, near.weight, 0, near.items, near.domain, near.to)
        inside: dict[tuple[int, ...], tuple[int, ...]] = {}
        for most in problem.at_most:
            if most.bins not in inside:  # one tuple for all rules on the same bins
                here = set(most.bins)
                inside[most.bins] = tuple(0 if one in here else NOWHERE for one in range(problem.n_bins))
            self._rule(AT_MOST, most.level, most.weight, most.most, most.items, inside[most.bins])

    def _rule(
        self,
        kind: int,
        level: int,
        weight: int,
        limit: int,
        items: tuple[int, ...],
        domain: tuple[int, ...],
        to: tuple[int, ...] | None = None,
    ) -> None:
        by = self._map(domain)
        if to is not None and self._set(items, by) == self._set(to, by):
            return  # who is near is itself
        self.rules.append(
            (
                kind,
                level + 1,
                BROKEN if level == HARD else weight,
                limit,
                self._set(items, by),
                -1 if to is None else self._set(to, by),
            )
        )

    def _map(self, domain: tuple[int, ...]) -> int:
        """The row of a map; the same tuple is looked at once only, for rules share long ones."""
        known = self._map_of.get(id(domain))
        if known is None:
            numbers = {one: number for number, one in enumerate(sorted(set(domain) - {NOWHERE}))}
            row = tuple(numbers.get(one, NOWHERE) for one in domain)
            found = self._map_like.setdefault(row, len(self.maps))
            if found == len(self.maps):
                self.maps.append(row)
            known = self._map_of[id(domain)] = domain, found  # kept, so that no other gets its id
        return known[1]

    def _set(self, items: tuple[int, ...], by: int) -> int:
        key = (items, by)
        if key not in self._set_of:
            self._set_of[key] = len(self.sets)
            self.sets.append((tuple(sorted(set(items))), by))
        return self._set_of[key]


def _way(way: NDArray[np.integer]) -> Array:
    """In one byte each where that does, else in eight: for every type the loops are compiled anew."""
    small = int(way.min(initial=0)) >= 0 and int(way.max(initial=0)) < 256
    return way.astype(np.uint8 if small else np.int64)


def rows(some: Sequence[Sequence[int]]) -> tuple[Array, Array]:
    """Lists of different length as one, with where each begins."""
    first = np.zeros(len(some) + 1, dtype=np.int64)
    np.cumsum([len(one) for one in some], out=first[1:])
    return first, np.array([number for one in some for number in one], dtype=np.int64)


def state(data: Flat, bin_of: Ints) -> State:
    """A placement of every item, with its sums still empty; `kernel.recount` fills them."""
    n, n_resources = data.size.shape
    m = data.capacity.shape[0]
    n_sets = data.set_map.shape[0]
    n_groups = int(data.group.max(initial=-1)) + 1
    return State(
        bin_of=np.array(bin_of, dtype=np.int64),
        use=np.zeros((m, n_resources), dtype=np.int64),
        held=np.zeros((m, n_resources), dtype=np.int64),
        bin_cost=np.zeros((m, data.n_levels), dtype=np.int64),
        counts=np.zeros(int(data.set_base[-1]), dtype=np.int32),
        domains=np.zeros(n_sets, dtype=np.int64),
        outside=np.zeros(n_sets, dtype=np.int64),
        shared_held=np.zeros(data.shared.shape[0], dtype=np.int64),
        moved=np.zeros(n_groups, dtype=np.int64),
        groups_with=np.zeros(n + 2, dtype=np.int64),
        busiest=np.zeros(1, dtype=np.int64),
        cost=np.zeros(data.n_levels, dtype=np.int64),
    )
