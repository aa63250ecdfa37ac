"""How likely is a tree's top event, and how many minimal cut sets has it?"""

from __future__ import annotations

import time
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from falsework.engines.diagrams.bounded import bounds
from falsework.engines.diagrams.counts import count_by_order
from falsework.engines.diagrams.cuts import Cutter
from falsework.engines.diagrams.flat import Flat
from falsework.engines.diagrams.limits import Limits, Progress, TooLarge
from falsework.engines.diagrams.net import Net
from falsework.engines.diagrams.probability import by_level, probability
from falsework.engines.diagrams.race import race
from falsework.engines.diagrams.sandwich import tightest
from falsework.engines.diagrams.sets import Sets, SetsBuilder
from falsework.engines.diagrams.whole import Whole, whole
from falsework.engines.trees.tree import Tree

_SECONDS_PER_NODE = 3e-5  # counting cut sets, rough; measured, 0010
_SECONDS_PER_NODE_PROBABILITY = 5e-7
_BUILDING = 0.6  # of the time, for the diagram; the rest for what is read off, or for bounds


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Diagram:
    """A tree's diagram, ready to be asked.

    Attributes:
        tree: the tree.
        whole: the diagram, still in the library.
        flat: the same as arrays; roots are the modules, the top last; variables are events by number, and modules.
        rule: how the tree was written and ordered.
        tried: how often building was tried before.
    """

    tree: Tree
    whole: Whole
    flat: Flat
    rule: str
    tried: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """What was found.

    Attributes:
        tree: its name.
        events: basic events the top leans on.
        gates: gates the top leans on.
        minimal_cut_sets: how many; None if that could not be finished.
        by_order: how many of each size.
        top_probability: None if it could not be finished, or the file does not give every probability.
        lower, upper: proven bounds on it; equal to it where it is known; None where probabilities are missing.
        seconds: for each stage.
        nodes: of the finished diagram; 0 if there is none.
        order: how the tree was written and its events ordered.
        modules: modules solved apart.
    """

    tree: str
    events: int
    gates: int
    minimal_cut_sets: int | None
    by_order: Mapping[int, int]
    top_probability: float | None
    lower: float | None
    upper: float | None
    seconds: Mapping[str, float]
    nodes: int
    order: str
    modules: int


def diagram(
    tree: Tree, *, limits: Limits, counting: bool = True, progress: Progress | None = None
) -> Diagram:
    """Build a small diagram of a tree.

    Args:
        tree: the tree.
        limits: what may be used.
        counting: whether cut sets will be asked for: that takes longer, so looking longer for a small one pays.
        progress: told how far it is.

    Raises:
        TooLarge: a bound was hit.
    """
    won = race(
        Net.of(tree),
        limits=limits,
        seconds_per_node=_SECONDS_PER_NODE if counting else _SECONDS_PER_NODE_PROBABILITY,
        progress=progress,
    )
    return Diagram(tree=tree, whole=won.whole, flat=won.whole.flat(), rule=won.rule, tried=won.tried)


def top_probability(diagram: Diagram) -> float | None:
    """Work out how likely the top event is; None where the probability of an event it leans on is not known."""
    p = level_probabilities(diagram)
    return None if p is None else float(probability(diagram.flat, p)[-1])


def level_probabilities(diagram: Diagram) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]] | None:
    """The events' probabilities by level, 0 for modules; None where one is not known."""
    given = diagram.tree.probabilities
    used = [variable for variable in diagram.flat.variable.tolist() if variable < len(given)]
    if any(given[variable] is None for variable in used):
        return None
    p = np.zeros(len(diagram.tree.events) + int(diagram.flat.variable.max(initial=0)) + 1)
    p[used] = [given[variable] for variable in used]
    return by_level(diagram.flat, p)


def minimal_cut_sets(diagram: Diagram, limits: Limits) -> Sets:
    """Find the minimal cut sets, as a diagram.

    Raises:
        TooLarge: a bound was hit.
    """
    built = diagram.whole
    # The winner of the race had just room enough for itself.
    built = whole(built.pieces, built.orders, limits)
    order = built.diagrams.order
    sets = SetsBuilder(len(order))
    cutter = Cutter(built.diagrams, sets)
    roots = {
        piece.node: cutter.minimal(function)
        for piece, function in zip(built.pieces, built.functions, strict=True)
    }
    inside = {piece.node: roots[piece.node] for piece in built.pieces[:-1]}  # the top may be an event itself
    return Sets(
        level=sets.level,
        low=sets.low,
        high=sets.high,
        root=roots[built.pieces[-1].node],
        variable=order,
        inside=[inside.get(variable, -1) for variable in order],
    )


def solve(
    tree: Tree, *, seconds: float = 120.0, memory_bytes: int = 3 << 30, progress: Progress | None = None
) -> Solved:
    """Work out the top event's probability and count the minimal cut sets.

    Args:
        tree: the tree.
        seconds: wall time allowed, roughly.
        memory_bytes: memory allowed, roughly.
        progress: told how far it is.
    """
    limits = Limits.within(seconds, memory_bytes=memory_bytes // 2)
    watch = _Watch()
    found = Solved(
        tree=tree.name,
        events=len(tree.events),
        gates=len(tree.gates),
        minimal_cut_sets=None,
        by_order={},
        top_probability=None,
        lower=None,
        upper=None,
        seconds=watch.laps,
        nodes=0,
        order="",
        modules=0,
    )
    try:
        built = Limits.within(seconds * _BUILDING, memory_bytes=memory_bytes // 2)
        made = diagram(tree, limits=built, progress=progress)
    except TooLarge:
        watch.lap("build")
        if all(each is not None for each in tree.probabilities):
            between = bounds(tree, limits=limits, progress=progress)
            p_of = {event: each for event, each in enumerate(tree.probabilities) if each is not None}
            closer = tightest(tree, p_of, limits=limits, progress=progress)
            found = replace(
                found, lower=max(between.lower, closer.low), upper=min(between.upper, closer.high)
            )
        watch.lap("bounds")
        return found
    watch.lap("build")
    p = top_probability(made)
    watch.lap("probability")
    found = replace(
        found,
        top_probability=p,
        lower=p,
        upper=p,
        nodes=made.flat.n_nodes,
        order=f"{made.rule} ({made.tried})",
        modules=len(made.whole.pieces),
    )
    try:
        sets = minimal_cut_sets(made, limits)
        watch.lap("cut sets")
        orders = count_by_order(sets)
        found = replace(found, minimal_cut_sets=sum(orders.values()), by_order=orders)
        watch.lap("count")
    except TooLarge:
        watch.lap("cut sets")
    return found


class _Watch:
    """Notes how long each stage takes."""

    def __init__(self) -> None:
        self.laps: dict[str, float] = {}
        self._last = time.perf_counter()

    def lap(self, stage: str) -> None:
        now = time.perf_counter()
        self.laps[stage] = now - self._last
        self._last = now
