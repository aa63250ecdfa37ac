"""Which things can come back by themselves after a fall, and how long does that take at the most?"""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterator, Mapping, Sequence

import rustworkx as rx

from falsework.engines.ways import reach
from falsework.support.graph import LATER, Phase, Role, SupportGraph

MOST_BREAKS = 8
"""So many moments at which a thing may break are told apart at the most."""


def lively(support: SupportGraph) -> frozenset[str]:
    """Things that something can bring back - a take-over, another host - and all that lean on them."""
    things = support.things
    leaning: dict[str, list[str]] = {}
    for name in things:
        for each in _on(support, name):
            leaning.setdefault(each, []).append(name)

    def follow(name: str) -> Sequence[str]:
        return leaning.get(name, ())

    housed = {copy for room in support.rooms for copy in room.copies}
    starts = [
        name
        for name, thing in things.items()
        if name in housed or any(lean.times == LATER for lean in thing.leans)
    ]
    found = set(reach(starts, follow))
    if found & {service for service, _ in support.routers}:
        watching = [
            name for name, thing in things.items() if any(lean.seen or lean.together for lean in thing.leans)
        ]
        found = set(reach([*found, *watching], follow))
    return frozenset(found)


def slowest(support: SupportGraph, living: frozenset[str]) -> Mapping[str, float]:
    """How long each thing can take at the most to be back, seconds: a bound, over all losses.

    The longest chain of returns over what it leans on; things that lean on each other in a circle count
    all of the circle.
    """
    graph: rx.PyDiGraph[str, None] = rx.PyDiGraph()
    index = {name: graph.add_node(name) for name in support.things if name in living}
    for name, at in index.items():
        for each in _on(support, name):
            if each in index:
                graph.add_edge(at, index[each], None)
    bound: dict[str, float] = {}
    for knot in rx.strongly_connected_components(graph):  # sinks first: what is leant on comes before
        names = {graph[at] for at in knot}
        below = [
            bound[each]
            for name in names
            for each in _on(support, name)
            if each in index and each not in names
        ]
        own = sum(support.things[name].returns_s or 0.0 for name in names)
        for name in names:
            bound[name] = own + max(below, default=0.0)
    return bound


def breaks(support: SupportGraph, bound: Mapping[str, float]) -> Mapping[str, tuple[float, ...]]:
    """When things may fall that come back, seconds after a loss; things that fall at once or not at all are left out.

    Sums of the holds on the ways down, the smallest first, as of shortest paths. A hold runs out only while what it
    bridges is down: what would be later than `slowest` says is never.

    Args:
        support: what leans on what.
        bound: from `slowest`.

    Returns:
        Moments in order, the first 0; of more than `MOST_BREAKS` the first ones.
    """
    leaning: dict[str, list[tuple[str, float]]] = {}
    for name in bound:
        for each, hold_s in _running(support, name, bound):
            leaning.setdefault(each, []).append((name, hold_s))
    found: dict[str, list[float]] = {}
    waiting = [
        (hold_s, name)
        for each, owners in leaning.items()
        for name, hold_s in owners
        if 0 < hold_s < bound[each]
    ]
    heapq.heapify(waiting)
    while waiting:
        at_s, name = heapq.heappop(waiting)
        known = found.setdefault(name, [0.0])
        if at_s == known[-1] or len(known) == MOST_BREAKS:
            continue
        known.append(at_s)
        for owner, hold_s in leaning.get(name, ()):
            if (later_s := round(at_s + hold_s, 3)) < bound[name]:
                heapq.heappush(waiting, (later_s, owner))
    return {name: tuple(moments) for name, moments in found.items()}


def latest(support: SupportGraph, bound: Mapping[str, float]) -> Mapping[str, float]:
    """When each thing that comes back may fall at the latest, seconds after a loss: a bound, over all losses.

    Args:
        support: what leans on what.
        bound: from `slowest`.
    """
    graph: rx.PyDiGraph[str, None] = rx.PyDiGraph()
    index = {name: graph.add_node(name) for name in bound}
    for name, at in index.items():
        graph.add_edges_from_no_data([(at, index[each]) for each, _ in _running(support, name, bound)])
    found: dict[str, float] = {}
    for knot in rx.strongly_connected_components(graph):  # sinks first, as in `slowest`
        names = {graph[at] for at in knot}
        last_s = 0.0
        for name in names:
            for each, hold_s in _running(support, name, bound):
                if hold_s < bound[each]:
                    falls_s = math.inf if each in names else found[each]
                    last_s = max(last_s, min(falls_s + hold_s, bound[each]))
        found.update(dict.fromkeys(names, last_s))
    return found


def _running(support: SupportGraph, name: str, bound: Mapping[str, float]) -> Iterator[tuple[str, float]]:
    """What a thing leans on at every moment and comes back, with how long it holds."""
    for lean in support.things[name].leans:
        if Phase.RUN in lean.phases and "now" in lean.times:
            for each in lean.on:
                if each in bound:
                    yield each, lean.hold_s


def knots(support: SupportGraph, living: frozenset[str]) -> Mapping[str, frozenset[str]]:
    """For each thing the things with which it needs each other in a circle, only to run: none may start late."""
    graph: rx.PyDiGraph[str, None] = rx.PyDiGraph()
    index = {name: graph.add_node(name) for name in support.things if name in living}
    for name, at in index.items():
        for lean in support.things[name].leans:
            if lean.role is Role.COPIES or (lean.role is Role.NEED and Phase.START not in lean.phases):
                for each in lean.on:
                    if each in index:
                        graph.add_edge(at, index[each], None)
    found: dict[str, frozenset[str]] = {}
    for knot in rx.strongly_connected_components(graph):
        if len(knot) > 1:
            names = frozenset(graph[at] for at in knot)
            found.update(dict.fromkeys(names, names))
    return found


def _on(support: SupportGraph, name: str) -> list[str]:
    """All that a thing leans on, the copies of a service and the hosts it is seen from included."""
    thing = support.things[name]
    found = [each for lean in thing.leans for each in lean.on]
    if thing.word == "copy" and any(lean.seen for lean in thing.leans):
        found.extend(thing.places)
    return found
