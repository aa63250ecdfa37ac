"""Which places of one network are joined by what stands between them?

A search from each switch would cost a loop of gates as large as the network for each.
Instead the network is taken apart once, switch by switch, the one with the fewest neighbours first; whoever
was joined through the switch that goes is joined by an edge from then on.
What is left is without loops, and small wherever the wire is a tree, a ring, or leaves under a few spines.

This is Gaussian elimination over truth values: R. E. Tarjan 1981, "A unified approach to path problems", Journal
of the ACM 28(3), and D. J. Rose 1972 on the order, "A graph-theoretic study of the numerical solution of sparse
positive definite systems of linear equations". Any order gives the same truth; a good one gives fewer gates.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Mapping

from falsework.engines.gates import GateBuilder, GateId


class Fabric:
    """The gates that say which vertices are joined, made as they are asked for.

    Args:
        builder: takes the gates.
        stands: the gate of each vertex.
        edges: pairs of vertices with the gate of the cable that joins them; several may join the same two.

    Cost:
        For each vertex the square of its neighbours when it is taken out, so linear for trees, rings and
        leaves under a fixed number of spines, and cubic at the very worst.
    """

    def __init__(
        self, builder: GateBuilder, stands: Mapping[str, GateId], edges: Iterable[tuple[str, str, GateId]]
    ) -> None:
        self._builder, self._stands = builder, stands
        self._climbs: dict[str, Mapping[str, GateId]] = {}
        self._joined: dict[tuple[str, str], GateId] = {}
        self._later = self._taken_apart(edges)

    def joined(self, one: str, other: str) -> GateId:
        """Whether two vertices stand, and all that some way between them leads over."""
        key = (one, other) if one <= other else (other, one)
        if key not in self._joined:
            # Any way has a vertex that was taken out last of all on it, and climbs to it from both its ends.
            first, second = self._climb(key[0]), self._climb(key[1])
            meetings = [
                self._builder.all_of((gate, self._stands[top], second[top]))
                for top, gate in first.items()
                if top in second
            ]
            ends = (self._stands[one], self._stands[other])
            self._joined[key] = self._builder.all_of((*ends, self._builder.any_of(meetings)))
        return self._joined[key]

    def _climb(self, vertex: str) -> Mapping[str, GateId]:
        """Where ways from a vertex lead that only touch what was taken out before their last vertex.

        The gates are of what lies between; neither end need stand.
        """
        if vertex not in self._climbs:
            ways: dict[str, list[GateId]] = {vertex: [self._builder.true]}
            waiting, order = [(self._rank[vertex], vertex)], self._rank
            found: dict[str, GateId] = {}
            while waiting:
                _, at = heapq.heappop(waiting)
                found[at] = self._builder.any_of(ways[at])
                passing = found[at] if at == vertex else self._builder.all_of((found[at], self._stands[at]))
                for above, edge in self._later[at].items():
                    if above not in ways:
                        ways[above] = []
                        heapq.heappush(waiting, (order[above], above))
                    ways[above].append(self._builder.all_of((passing, edge)))
            self._climbs[vertex] = found
        return self._climbs[vertex]

    def _taken_apart(self, edges: Iterable[tuple[str, str, GateId]]) -> Mapping[str, Mapping[str, GateId]]:
        """Take the vertices out one by one; each with its neighbours of that moment."""
        around: dict[str, dict[str, list[GateId]]] = {vertex: {} for vertex in self._stands}
        for one, other, cable in edges:
            if one != other:
                gates = around[one].setdefault(other, [])
                around[other][one] = gates
                gates.append(cable)
        place = {vertex: number for number, vertex in enumerate(around)}
        waiting = [(len(near), place[vertex], vertex) for vertex, near in around.items()]
        heapq.heapify(waiting)
        later: dict[str, Mapping[str, GateId]] = {}
        self._rank: dict[str, int] = {}
        while waiting:
            degree, _, vertex = heapq.heappop(waiting)
            if vertex in later or degree != len(around[vertex]):
                continue  # an entry from before its neighbours changed
            near = {other: self._builder.any_of(gates) for other, gates in around.pop(vertex).items()}
            self._rank[vertex] = len(later)
            later[vertex] = near
            listed = list(near)
            for number, one in enumerate(listed):
                del around[one][vertex]
                half = self._builder.all_of((near[one], self._stands[vertex]))
                for other in listed[:number]:
                    gates = around[one].setdefault(other, [])
                    around[other][one] = gates
                    gates.append(self._builder.all_of((half, near[other])))
            for one in listed:
                heapq.heappush(waiting, (len(around[one]), place[one], one))
        return later
