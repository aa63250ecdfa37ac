"""Where do items go at first that are in no bin yet?

The largest first, each where no rule of keeping apart is broken, where as little as can be is lost with one loss, and
that is emptiest; a search mends the rest.
"""

from __future__ import annotations

from collections import defaultdict

import numpy as np
from numpy.typing import NDArray

from falsework.engines.placing.cost import held
from falsework.engines.placing.problem import HARD, NOWHERE, Bools, Ints, Problem

_FIRST, _LEAST = 50.0, 1.0
"""What a broken wish of the first level weighs beside a full bin, which is ten, and of the last."""


def start(problem: Problem) -> Ints:
    """(n_items,) a bin for every item: today's where it has one. Rules may be broken."""
    bin_of = np.array(problem.start, dtype=np.int64)
    waiting = np.flatnonzero(bin_of == NOWHERE)
    if not waiting.size:
        return bin_of
    capacity = np.maximum(problem.capacity, 1)
    use = held(problem, bin_of)
    rules: defaultdict[int, list[int]] = defaultdict(list)
    domains = [np.array(apart.domain, dtype=np.int64) for apart in problem.apart]
    taken: list[set[int]] = []
    for number, apart in enumerate(problem.apart):
        taken.append({int(domains[number][bin_of[item]]) for item in apart.items if bin_of[item] != NOWHERE})
        for item in set(apart.items):
            rules[item].append(number)
    limits = _Limits(problem, bin_of)
    share = (problem.size[waiting] / np.maximum(problem.capacity.max(axis=0, initial=1), 1)).max(
        axis=1, initial=0
    )
    for item in waiting[np.argsort(-share, kind="stable")].tolist():
        after = use + problem.size[item]
        fill = (after / capacity).max(axis=1, initial=0)
        worse = (after > problem.capacity).any(axis=1) * 10.0
        if problem.allowed is not None:
            worse += ~problem.allowed[item] * 1_000.0
        for number in rules[item]:
            held_by = taken[number] - {NOWHERE}
            if held_by:
                worse += np.isin(domains[number], sorted(held_by)) * 100.0
        at = int(np.argmin(fill + worse + limits.over(item)))
        bin_of[item] = at
        use[at] += problem.size[item]
        for number in rules[item]:
            taken[number].add(int(domains[number][at]))
        limits.put(item, at)
    return bin_of


class _Limits:
    """How many items lie where at most so many should."""

    def __init__(self, problem: Problem, bin_of: Ints) -> None:
        self._rules = problem.at_most
        self._n_bins = problem.n_bins
        self._inside: dict[tuple[int, ...], Bools] = {}
        self._of: defaultdict[int, list[int]] = defaultdict(list)
        self._count = [0] * len(self._rules)
        for number, rule in enumerate(self._rules):
            if rule.bins not in self._inside:
                self._inside[rule.bins] = np.isin(np.arange(self._n_bins), rule.bins)
            for item in set(rule.items):
                self._of[item].append(number)
                if bin_of[item] != NOWHERE:
                    self._count[number] += int(self._inside[rule.bins][bin_of[item]])

    def over(self, item: int) -> NDArray[np.float64]:
        """(n_bins,): what one more item there breaks; an earlier level weighs more than any one later."""
        worse = np.zeros(self._n_bins)
        for number in self._of[item]:
            rule = self._rules[number]
            if self._count[number] == rule.most:
                weight = 100.0 if rule.level == HARD else max(_FIRST / 4**rule.level, _LEAST) * rule.weight
                worse += self._inside[rule.bins] * weight
        return worse

    def put(self, item: int, at: int) -> None:
        """Count an item where it was put."""
        for number in self._of[item]:
            self._count[number] += int(self._inside[self._rules[number].bins][at])
