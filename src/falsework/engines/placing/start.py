"""Where do items go at first that are in no bin yet?

The largest first, each where no rule of keeping apart is broken and that is emptiest; a search mends the rest.
"""

from __future__ import annotations

from collections import defaultdict

import numpy as np

from falsework.engines.placing.cost import held
from falsework.engines.placing.problem import NOWHERE, Ints, Problem


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
        at = int(np.argmin(fill + worse))
        bin_of[item] = at
        use[at] += problem.size[item]
        for number in rules[item]:
            taken[number].add(int(domains[number][at]))
    return bin_of
