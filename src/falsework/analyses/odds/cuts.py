"""Which smallest sets of parts stop a service, how many are there, and which are the likeliest?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import islice

import numpy as np

from falsework.analyses.odds.diagram import Chains
from falsework.analyses.odds.result import MINUTES, CutSet, CutSets, Out
from falsework.analyses.odds.solved import Solved
from falsework.analyses.odds.sources import Sources
from falsework.engines.diagrams.cuts import Cutter
from falsework.engines.diagrams.likeliest import likeliest
from falsework.engines.diagrams.limits import TooLarge
from falsework.engines.diagrams.probability import probability
from falsework.engines.diagrams.sets import UNIT, Sets, SetsBuilder

Variables = tuple[int, ...]


def cut_sets(sources: Sources, solved: Solved, *, listed: int) -> CutSets:
    """The likeliest cut sets of a service, how many there are, and a bound on the rest.

    A member of a cut set is a source that has been out for an age: the variables of its chain up to that age,
    which come in a set together or not at all. So the sets of the diagram are the cut sets, and the order of one
    is the number of chains it touches.
    """
    stopped, chance = solved.stopped, solved.chances.chance[:, 0]
    none = CutSets(listed=(), total=None, by_order=(), rest=solved.upper)
    if not stopped.grows:  # its diagram says nothing of moments when much is out
        return none
    try:
        sets = minimal(solved)
    except TooLarge:
        return none
    if sets.root == UNIT:  # it is out already, and takes nothing more
        return CutSets(listed=(), total=0, by_order=(), rest=0.0)
    first = np.zeros(stopped.chains.count, dtype=np.int64)
    first[[at for _, at, _ in stopped.chains.counting()]] = 1
    found = [chosen for chosen, _ in islice(likeliest(sets, chance.tolist()), listed)]
    by_order = counted(sets, first.tolist())
    return CutSets(
        listed=tuple(_told(sources, solved, variables) for variables in found),
        total=sum(by_order),
        by_order=by_order,
        rest=_rest(solved, found),
    )


def minimal(solved: Solved) -> Sets:
    """The minimal sets of variables that stop a service.

    Raises:
        TooLarge: the diagram has no room for them.
    """
    stopped = solved.stopped
    count = stopped.chains.count
    builder = SetsBuilder(count)
    root = Cutter(stopped.diagrams, builder).minimal(stopped.function)
    return Sets(
        level=builder.level,
        low=builder.low,
        high=builder.high,
        root=root,
        variable=range(count),
        inside=[-1] * count,
    )


def counted(sets: Sets, weight: Sequence[int]) -> tuple[int, ...]:
    """How many sets weigh 1, 2, ...: (n,), exact, the last above 0.

    Args:
        sets: none of them empty.
        weight: (n_levels,) 0 or 1.
    """
    rows: list[list[int]] = [[], [1]]
    for node in range(UNIT + 1, sets.n_nodes):
        low, high = rows[sets.low[node]], rows[sets.high[node]]
        moved = [0] * weight[sets.level[node]] + high
        size = max(len(low), len(moved))
        rows.append(
            [(low[k] if k < len(low) else 0) + (moved[k] if k < len(moved) else 0) for k in range(size)]
        )
    return tuple(rows[sets.root][1:])


def _told(sources: Sources, solved: Solved, variables: Variables) -> CutSet:
    """One cut set: how likely, and how often it begins: one member reaches its age while all others are there."""
    members = sorted(_members(solved.stopped.chains, variables))
    chance, reached = solved.chances.chance[:, 0], solved.chances.reached
    each = [float(np.prod(chance[first : last + 1])) for _, first, last in members]
    whole = float(np.prod(each))
    often = sum(
        float(reached[last]) * float(np.prod([*each[:place], *each[place + 1 :]]))
        for place, (_, _, last) in enumerate(members)
    )
    ages = solved.stopped.chains.ages
    return CutSet(
        out=tuple(
            Out(name=sources.sources[number].name, age_s=ages[number][last - first])
            for number, first, last in members
        ),
        chance=whole,
        per_year=often,
        minutes=whole * MINUTES,
    )


def _members(chains: Chains, variables: Variables) -> Iterator[tuple[int, int, int]]:
    """Each source in a set: its number, its first variable, its last one in the set."""
    held = set(variables)
    for number, first, ages in chains.counting():
        if first in held:
            last = first
            while last + 1 < first + len(ages) and last + 1 in held:
                last += 1
            yield number, first, last


def _rest(solved: Solved, found: Sequence[Variables]) -> float:
    """The chance that the service is out and none of these sets is: what all of it is, less what their union is."""
    diagrams = solved.stopped.diagrams
    chance = solved.chances.chance[:, 0]
    union = diagrams.any_of([diagrams.all_of([diagrams.var(each) for each in some]) for some in found])
    return max(float(solved.figures.chance[0] - probability(diagrams.flat([union]), chance)[0]), 0.0)
