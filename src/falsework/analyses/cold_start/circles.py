"""Which things wait for each other to start, or to serve?"""

from __future__ import annotations

import rustworkx as rx

from falsework.engines.ways import shortest_circle
from falsework.support.gates import USED
from falsework.support.graph import Phase, SupportGraph


def circles(support: SupportGraph, back: frozenset[str]) -> tuple[tuple[str, ...], ...]:
    """One smallest circle for each knot of things that wait for each other, to start or to serve."""
    graph: rx.PyDiGraph[str, None] = rx.PyDiGraph()
    index = {name: graph.add_node(name) for name in support.things if name not in back}
    for name, at in index.items():
        for lean in support.things[name].leans:
            if "later" in lean.times and (Phase.START in lean.phases or lean.role in USED):
                for each in lean.on:
                    if each in index:
                        graph.add_edge(at, index[each], None)
    found = (
        tuple(graph[at] for at in _smallest(graph, frozenset(knot)))
        for knot in rx.strongly_connected_components(graph)
        if len(knot) > 1
    )
    return tuple(sorted(found, key=lambda circle: (len(circle), circle)))


def _smallest(graph: rx.PyDiGraph[str, None], knot: frozenset[int]) -> tuple[int, ...]:
    """A shortest circle in a knot."""
    best: tuple[int, ...] = ()
    for start in sorted(knot, key=lambda at: graph[at]):
        circle = shortest_circle(
            start,
            lambda at: [step for step in sorted(graph.successor_indices(at)) if step in knot],
            most=len(best) - 2 if best else None,
        )
        best = circle or best
    return best
