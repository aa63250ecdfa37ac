"""How much flows at most from one vertex to another, and what holds it down?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from ortools.graph.python.max_flow import SimpleMaxFlow  # type: ignore[import-untyped]  # it has no types

from falsework.engines.flow.net import Net

UNBOUNDED = 1 << 60
"""More than any sum of what links carry may be: the solver counts in whole numbers of 64 bits."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Largest:
    """A largest flow with its proof.

    Attributes:
        value: how much flows; what the cut carries, so that no flow is larger.
        along: by link what flows over it from its `one` to its `other`, negative the other way; only links that
            carry some of it.
        cut: links and vertices that are full; without them nothing gets from here to there.
    """

    value: int
    along: Mapping[str, int]
    cut: tuple[str, ...]


def largest(net: Net, one: str, other: str) -> Largest:
    """A largest flow from one vertex to another, and a smallest cut.

    Args:
        net: what carries how much. What a vertex passes counts at both ends too.
        one: where it begins.
        other: where it ends, a different vertex; one that has no link gets nothing.

    Raises:
        ValueError: the ends are the same, or the numbers are too large to add up.

    Source:
        L. R. Ford and D. R. Fulkerson 1956, "Maximal flow through a network", Canadian Journal of Mathematics 8,
        the theorem that the largest flow equals the smallest cut; a vertex of limited capacity is two vertices with
        a link between them (Ford and Fulkerson 1962, "Flows in Networks", chapter I, section 11; from memory).
    """
    return _solved(net, one, other, dict(net.passes))


def disjoint(net: Net, one: str, other: str, *, vertices: bool = False) -> int:
    """How many ways there are of which no two share a link, or, if asked, a vertex other than the ends.

    Source:
        K. Menger 1927, "Zur allgemeinen Kurventheorie", Fundamenta Mathematicae 10: as many as the fewest links
        (vertices) that part the two; here as a flow of one over each link.
    """
    single = Net(
        links=tuple(
            type(link)(name=link.name, one=link.one, other=link.other, carries=1)
            for link in net.links
            if link.carries > 0
        ),
        ends=net.ends,
    )
    passes = {vertex: 1 for vertex in single.vertices if vertex not in (one, other)} if vertices else {}
    return _solved(single, one, other, passes).value


def _solved(net: Net, one: str, other: str, passes: Mapping[str, int]) -> Largest:
    if one == other:
        raise ValueError("a flow needs two different ends")
    if sum(link.carries for link in net.links) >= UNBOUNDED:
        raise ValueError("what the links carry is too much to add up in 64 bits")
    shut = net.ends - {one, other}
    entry: dict[str, int] = {}
    leave: dict[str, int] = {}
    tails: list[int] = []
    heads: list[int] = []
    most: list[int] = []
    split: dict[int, str] = {}  # arc inside a vertex -> the vertex
    for vertex in net.vertices:
        if vertex in shut:
            continue
        entry[vertex] = leave[vertex] = len(entry) + len(split)
        if vertex in passes:
            leave[vertex] = entry[vertex] + 1
            split[len(tails)] = vertex
            tails.append(entry[vertex])
            heads.append(leave[vertex])
            most.append(min(passes[vertex], UNBOUNDED))
    if one not in entry or other not in entry:
        return Largest(value=0, along={}, cut=())
    first = len(tails)
    used = [
        link
        for link in net.links
        if link.one in entry and link.other in entry and link.one != link.other and link.carries > 0
    ]
    for link in used:
        tails += (leave[link.one], leave[link.other])
        heads += (entry[link.other], entry[link.one])
        most += (link.carries, link.carries)
    solver = SimpleMaxFlow()
    solver.add_arcs_with_capacity(
        np.array(tails, dtype=np.int32), np.array(heads, dtype=np.int32), np.array(most, dtype=np.int64)
    )
    if solver.solve(entry[one], leave[other]) != solver.OPTIMAL:
        raise ValueError("what the links carry is too much to add up in 64 bits")
    flows = solver.flows(np.arange(first, len(tails), dtype=np.int32)).tolist() if used else []
    near = frozenset(solver.get_source_side_min_cut())
    along = {
        link.name: there - back
        for link, there, back in zip(used, flows[::2], flows[1::2], strict=True)
        if there != back
    }
    cut = [split[arc] for arc in split if tails[arc] in near and heads[arc] not in near]
    cut += _crossing([link.name for link in used], tails[first:], heads[first:], near)
    return Largest(value=int(solver.optimal_flow()), along=along, cut=tuple(cut))


def _crossing(
    names: Sequence[str], tails: Sequence[int], heads: Sequence[int], near: frozenset[int]
) -> list[str]:
    """The links that lead out of the near side, in order; one that does so both ways is named twice."""
    return [
        names[arc // 2]
        for arc, (tail, head) in enumerate(zip(tails, heads, strict=True))
        if tail in near and head not in near
    ]
