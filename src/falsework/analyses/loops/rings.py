"""Which is the smallest ring through each edge of a kind?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import rustworkx as rx

from falsework.engines.ways import shortest_way

Edge = tuple[str, str]


def smallest_rings(
    edges: Mapping[str, Sequence[str]], through: Iterable[Edge]
) -> tuple[tuple[str, ...], ...]:
    """For each of some edges the smallest ring that it lies on, each set of things once, smallest first.

    Args:
        edges: by thing what it waits for.
        through: the edges that a ring must hold.

    Returns:
        Rings ending where they began; of several as small through an edge, the first in the order of `edges`.

    Cost:
        A breadth-first search within its knot for each edge.
    """
    graph: rx.PyDiGraph[str, None] = rx.PyDiGraph()
    at = {name: graph.add_node(name) for name in edges}
    for name, some in edges.items():
        graph.add_edges_from_no_data([(at[name], at[each]) for each in some if each in at])
    knot: dict[str, int] = {}
    for number, component in enumerate(rx.strongly_connected_components(graph)):
        knot.update((graph[node], number) for node in component)
    found: dict[frozenset[str], tuple[str, ...]] = {}
    for start, end in through:
        if start not in knot or end not in knot or knot[start] != knot[end]:
            continue
        ring = (start, *_way(edges, end, start, knot))
        found.setdefault(frozenset(ring), ring)
    order = {name: number for number, name in enumerate(edges)}
    return tuple(sorted(found.values(), key=lambda ring: (len(ring), [order[name] for name in ring])))


def _way(
    edges: Mapping[str, Sequence[str]], start: str, end: str, knot: Mapping[str, int]
) -> tuple[str, ...]:
    """The shortest way from one thing to another of its knot, both named; just the one where they are the same."""
    if start == end:
        return (start,)
    inside = knot[start]
    return shortest_way(
        start,
        lambda name: [each for each in edges.get(name, ()) if knot.get(each) == inside],
        lambda name: name == end,
    )
