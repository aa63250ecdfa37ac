"""Which edges of a graph lie on a common circle, and what is one such circle?"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from typing import TypeVar

V = TypeVar("V", bound=Hashable)


def blocks(edges: Sequence[tuple[V, V]]) -> tuple[tuple[int, ...], ...]:
    """The edges in sets: two are in one set where some circle passes over both.

    Args:
        edges: pairs of vertices; several may join the same two, and those lie on a circle. A loop from a vertex to
            itself is in no set.

    Returns:
        Numbers of edges, rising, set after set by their first; an edge that is on no circle is a set of its own.

    Cost:
        Linear in edges.

    Source:
        J. Hopcroft and R. Tarjan 1973, "Algorithm 447: efficient algorithms for graph manipulation", Communications of
        the ACM 16(6), the part on biconnected components; without recursion, and with edges told apart by number, so
        that two between the same vertices make a circle.
    """
    around: dict[V, list[tuple[V, int]]] = {}
    for number, (one, other) in enumerate(edges):
        if one != other:
            around.setdefault(one, []).append((other, number))
            around.setdefault(other, []).append((one, number))
    found: list[tuple[int, ...]] = []
    depth: dict[V, int] = {}
    low: dict[V, int] = {}
    for start in around:
        if start in depth:
            continue
        depth[start] = low[start] = 0
        open_edges: list[int] = []
        # Each entry: a vertex, the edge by which it was entered, and what is still to be looked at there.
        trail = [(start, -1, iter(around[start]))]
        while trail:
            at, entered, rest = trail[-1]
            for there, number in rest:
                if number == entered:
                    continue
                if there not in depth:
                    open_edges.append(number)
                    depth[there] = low[there] = len(trail)
                    trail.append((there, number, iter(around[there])))
                    break
                if depth[there] < depth[at]:
                    open_edges.append(number)
                    low[at] = min(low[at], depth[there])
            else:
                trail.pop()
                if trail:
                    before = trail[-1][0]
                    low[before] = min(low[before], low[at])
                    if low[at] >= depth[before]:
                        first = open_edges.index(entered)
                        found.append(tuple(sorted(open_edges[first:])))
                        del open_edges[first:]
    return tuple(sorted(found))


def circle(edges: Sequence[tuple[V, V]]) -> tuple[V, ...]:
    """The vertices of one circle in order, each once; empty where there is none.

    Args:
        edges: as for `blocks`; two between the same vertices are a circle of two.

    Cost:
        Linear in edges.
    """
    above: dict[V, tuple[V, int] | None] = {}
    around: dict[V, list[tuple[V, int]]] = {}
    for number, (one, other) in enumerate(edges):
        if one != other:
            around.setdefault(one, []).append((other, number))
            around.setdefault(other, []).append((one, number))
    for start in around:
        if start in above:
            continue
        above[start] = None
        waiting = [start]
        while waiting:
            at = waiting.pop()
            entered = above[at]
            for there, number in around[at]:
                if entered is not None and number == entered[1]:
                    continue
                if there in above:
                    return _closed(above, at, there)
                above[there] = (at, number)
                waiting.append(there)
    return ()


def _closed(above: dict[V, tuple[V, int] | None], one: V, other: V) -> tuple[V, ...]:
    """The circle that an edge between two vertices of a tree closes."""
    up = _climb(above, one)
    down = _climb(above, other)
    place = {vertex: number for number, vertex in enumerate(up)}
    meet = next(number for number, vertex in enumerate(down) if vertex in place)
    return (*up[: place[down[meet]] + 1], *reversed(down[:meet]))


def _climb(above: dict[V, tuple[V, int] | None], vertex: V) -> list[V]:
    found = [vertex]
    while (step := above[found[-1]]) is not None:
        found.append(step[0])
    return found
