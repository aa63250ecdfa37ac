"""How likely is a fault tree's top event, which sets of events cause it, and which events matter most?"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import islice

import numpy as np

from falsework.analyses.trees.result import EventWeight, TreeAnswer, TreeCut
from falsework.engines.diagrams.counts import count_by_order
from falsework.engines.diagrams.likeliest import likeliest
from falsework.engines.diagrams.limits import Limits, Progress, TooLarge
from falsework.engines.diagrams.probability import Floats, probability
from falsework.engines.diagrams.sensitivity import sensitivity
from falsework.engines.diagrams.solve import Diagram, diagram, level_probabilities, minimal_cut_sets
from falsework.engines.importance import achievement_worth, criticality, diagnosis, reduction_worth
from falsework.engines.trees.bounds import min_cut_upper_bound
from falsework.engines.trees.expand import expand
from falsework.engines.trees.tree import Tree
from falsework.errors import LimitError

SECONDS = 120.0
MEMORY_BYTES = 1 << 30
CANCELS = 1e-6
"""Where less than this share of the top event's chance is left without an event, a difference would be noise."""
CUT_OFFS = tuple(10.0**-power for power in range(2, 15))
MOST_SETS = 50_000
"""Sets looked at where the tree is too large for a diagram."""
FEW = 300
"""Cut sets whose overlaps are counted for a lower bound."""


def answer(
    tree: Tree,
    *,
    most: int = 8,
    seconds: float = SECONDS,
    memory_bytes: int = MEMORY_BYTES,
    progress: Progress | None = None,
) -> TreeAnswer:
    """Find out everything about a tree, or what can be in the time.

    Args:
        tree: the tree.
        most: how many cut sets are listed.
        seconds: wall time allowed, roughly.
        memory_bytes: memory allowed, roughly.
        progress: told how far it is.
    """
    limits = Limits.within(seconds, memory_bytes=memory_bytes)
    try:
        made = diagram(tree, limits=limits, progress=progress)
    except TooLarge as error:
        return _bounded(tree, most, error.what)
    p = level_probabilities(made)
    chance = None if p is None else float(probability(made.flat, p)[-1])
    left = ""
    by_order: tuple[int, ...] = ()
    listed: tuple[TreeCut, ...] = ()
    total: int | None = None
    try:
        sets = minimal_cut_sets(made, limits)
        by_order = _by_order(count_by_order(sets))
        total = sum(by_order)
        # Without probabilities every event weighs the same, so that the smallest sets come first.
        given = [0.5 if p is None else float(each or 0.0) for each in tree.probabilities]
        room = max((*sets.variable, len(given) - 1), default=0) + 1 - len(given)
        found = islice(likeliest(sets, [*given, *[0.0] * room]), most)
        listed = tuple(_cut(tree, chosen, None if p is None else much) for chosen, much in found)
    except TooLarge as error:
        left = error.what
        listed = _bounded(tree, most, left).likeliest
    return _told(
        tree,
        chance=chance,
        lower=chance,
        upper=chance,
        total=total,
        by_order=by_order,
        likeliest=listed,
        weights=() if p is None or chance is None else _weights(made, p, chance),
        left=left,
    )


def _told(
    tree: Tree,
    *,
    chance: float | None,
    lower: float | None,
    upper: float | None,
    total: int | None,
    by_order: tuple[int, ...],
    likeliest: tuple[TreeCut, ...],
    weights: tuple[EventWeight, ...],
    left: str,
) -> TreeAnswer:
    names = (*tree.events, *tree.gate_names)
    return TreeAnswer(
        name=tree.name,
        top=names[tree.top] if tree.top < len(names) else "",
        events=len(tree.events),
        gates=len(tree.gates),
        unreached=tree.unreached,
        coherent=tree.coherent,
        chance=chance,
        lower=lower,
        upper=upper,
        lacking=_lacking(tree),
        total=total,
        by_order=by_order,
        likeliest=likeliest,
        weights=weights,
        left=left,
    )


def _lacking(tree: Tree) -> tuple[str, ...]:
    return tuple(name for name, q in zip(tree.events, tree.probabilities, strict=True) if q is None)


def _by_order(orders: Mapping[int, int]) -> tuple[int, ...]:
    """How many have one member, two, ...; the empty set, where the top event always happens, is not among them."""
    return tuple(orders.get(order, 0) for order in range(1, max(orders, default=0) + 1))


def _cut(tree: Tree, events: Sequence[int], chance: float | None) -> TreeCut:
    return TreeCut(events=tuple(tree.events[event] for event in sorted(events)), chance=chance)


def _weights(made: Diagram, p: Floats, chance: float) -> tuple[EventWeight, ...]:
    """The weight of each event that the diagram has; P is linear in each q, so P1 and P0 follow from the slope."""
    tree, flat = made.tree, made.flat
    levels = [level for level, variable in enumerate(flat.variable.tolist()) if variable < len(tree.events)]
    if not levels:
        return ()
    slope = sensitivity(flat, p)[-1][levels]
    q = p[levels]
    given_not = chance - q * slope
    # Where hardly anything is left, the difference of two equal numbers is noise: work it out with q at 0.
    doubtful = np.flatnonzero(np.abs(given_not) < CANCELS * max(chance, 1e-300))
    for start in range(0, len(doubtful), 64):
        some = doubtful[start : start + 64]
        columns = np.repeat(p[:, None], len(some), axis=1)
        columns[[levels[each] for each in some], range(len(some))] = 0.0
        given_not[some] = probability(flat, columns)[-1]
    given = given_not + slope
    top = np.array(chance)
    figures = np.stack(
        [
            slope,
            criticality(top, given, given_not, q),
            diagnosis(top, given, q),
            achievement_worth(top, given),
            reduction_worth(top, given_not),
        ],
        axis=1,
    )
    found = [
        EventWeight(
            event=tree.events[int(flat.variable[level])],
            chance=float(own),
            birnbaum=row[0],
            criticality=row[1],
            diagnosis=row[2],
            achievement=row[3],
            reduction=row[4],
        )
        for level, own, row in zip(levels, q.tolist(), figures.tolist(), strict=True)
    ]
    return tuple(sorted(found, key=lambda each: (-_number(each.criticality), each.event)))


def _number(value: float) -> float:
    return 0.0 if math.isnan(value) else value


def _bounded(tree: Tree, most: int, left: str) -> TreeAnswer:
    """Bounds by the likeliest cut sets, where the whole is too large."""
    lower = upper = None
    listed: tuple[TreeCut, ...] = ()
    if tree.coherent and not _lacking(tree):
        q = np.array([each or 0.0 for each in tree.probabilities])
        lower, upper = 0.0, 1.0
        for least in CUT_OFFS:
            try:
                found = expand(tree, q, least=least, most_sets=MOST_SETS)
            except LimitError:
                break
            ranked = sorted(
                ((float(np.prod(q[sorted(each)])), sorted(each)) for each in found.cut_sets),
                key=lambda one: -one[0],
            )
            over = float(min_cut_upper_bound(found.cut_sets, q[:, None])[0]) + (found.remainder or 0.0)
            lower, upper = max(lower, _union_at_least(ranked, q)), min(upper, over)
            listed = tuple(_cut(tree, events, chance) for chance, events in ranked[:most])
            if upper - lower < 1e-3 * upper:
                break
    return _told(
        tree,
        chance=None,
        lower=lower,
        upper=upper,
        total=None,
        by_order=(),
        likeliest=listed,
        weights=(),
        left=left,
    )


def _union_at_least(ranked: Sequence[tuple[float, Sequence[int]]], q: Floats) -> float:
    """A lower bound of the chance that one of some sets happens.

    Sum of the chances less that of all pairs, at the number of sets where that is most (Bonferroni's inequality;
    W. Feller 1968, An Introduction to Probability Theory and Its Applications I, section IV.5).
    """
    best = total = 0.0
    few = ranked[:FEW]
    for place, (chance, events) in enumerate(few):
        total += chance
        total -= sum(float(np.prod(q[sorted({*events, *others})])) for _, others in few[:place])
        best = max(best, total)
    return best
