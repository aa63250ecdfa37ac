"""Over what does the message to stop travel, and how long does each thing on its way have power?"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass

from falsework.analyses.shutdown.drain import NEVER
from falsework.analyses.shutdown.result import Hop, Way
from falsework.model.lab import Lab
from falsework.model.parts import ThingId, Ups
from falsework.model.services import Copy
from falsework.support.graph import Attachment, SupportGraph

Vertex = tuple[str, str]
"""A network and a switch or cable of it; of a machine that joins networks, an empty network and its name."""


@dataclass(frozen=True, slots=True)
class _Reach:
    """The best way to a vertex: least bottleneck first, then fewest hops, then names."""

    until_s: float
    hops: tuple[Hop, ...]

    def key(self) -> tuple[float, int, tuple[str, ...]]:
        return (-self.until_s, len(self.hops), tuple(hop.name for hop in self.hops))


class Wire:
    """The networks of a lab while power goes, asked for the way that stays up longest.

    Args:
        lab: the lab.
        support: its networks, and what joins them.
        out: parts that are out.
        until: how long a thing has power, seconds.
        serves: how long a copy serves before it is stopped itself.
    """

    def __init__(
        self,
        lab: Lab,
        support: SupportGraph,
        *,
        out: frozenset[str],
        until: Callable[[str], float],
        serves: Mapping[str, float],
    ) -> None:
        self.support, self.out, self.until = support, out, until
        self.steps: dict[Vertex, set[Vertex]] = {}
        for network in support.networks.values():
            for one, other, cable in network.edges:
                if cable not in out:
                    self._join((network.name, one), (network.name, other))
        hosts: dict[str, dict[str, float]] = {}
        for copy in lab.of(Copy):
            hosts.setdefault(copy.service, {})[copy.host] = serves.get(copy.id, NEVER)
        self.joiner: dict[str, float] = {}
        for service, networks in support.routers:
            for host, stops in hosts.get(service, {}).items():
                self.joiner[host] = max(self.joiner.get(host, 0.0), min(stops, until(host)))
                for each in self._ways(host):
                    if each[0] in networks:
                        self._join(("", host), each)

    def _join(self, one: Vertex, other: Vertex) -> None:
        self.steps.setdefault(one, set()).add(other)
        self.steps.setdefault(other, set()).add(one)

    def _ways(self, place: str) -> Iterator[Vertex]:
        """The vertices that a node hangs on."""
        for network in self.support.networks.values():
            for each in network.attachments.get(place, ()):
                if self._usable(each):
                    yield network.name, each.vertex

    def _usable(self, attachment: Attachment) -> bool:
        return not any(each in self.out for each in (*attachment.through, attachment.vertex))

    def _hop(self, vertex: Vertex) -> Hop:
        network, name = vertex
        if not network:
            return Hop(name=name, until_s=self.joiner[name])
        return Hop(name=name, until_s=0.0 if name in self.out else self.until(name))

    def ways(
        self, ups: Ups, to: Iterable[str], *, told_s: float, begins: Callable[[str], float]
    ) -> Iterator[Way]:
        """The way of a battery's message to each whom it tells, in their order.

        A service hears it when every machine that it is on now does, so its worst way is told.

        Args:
            ups: the battery.
            to: nodes and services.
            told_s: when it is sent.
            begins: when the turn of each to stop comes.
        """
        sender = ups.heard_by.ids[0] if ups.heard_by is not None else ups.id
        first = Hop(name=sender, until_s=self.until(sender) if sender != ups.id else NEVER)
        reached = self._from(ups, sender, first)
        for name in to:
            places = [
                place
                for place in self.support.things[name].at("now")
                if place != sender and self.until(place) > 0
            ]
            found = [self._to(ups, place, first, reached) for place in places]
            worst = max(
                (each for each in found if each), key=_Reach.key, default=_Reach(first.until_s, (first,))
            )
            there = all(each is not None for each in found)
            yield Way(
                to=name,
                sender=sender,
                hops=worst.hops if there else (),
                until_s=worst.until_s,
                told_s=told_s,
                begins_s=max(begins(name), told_s),
                there=there,
            )

    def _from(self, ups: Ups, sender: str, first: Hop) -> Mapping[Vertex, _Reach]:
        """The best way from a sender to everywhere: Dijkstra's search for the widest way."""
        if ups.heard_by is not None:
            starts = list(self._ways(sender))
        elif ups.over is not None:
            starts = [
                (network.name, each)
                for network in self.support.networks.values()
                for each in ups.over.ids
                if each in network.vertices
            ]
        else:
            return {}
        waiting: list[tuple[tuple[float, int, tuple[str, ...]], Vertex, _Reach]] = []
        for vertex in starts:
            self._push(waiting, vertex, _Reach(first.until_s, (first,)))
        found: dict[Vertex, _Reach] = {}
        while waiting:
            _, vertex, reach = heapq.heappop(waiting)
            if vertex in found:
                continue
            found[vertex] = reach
            for step in self.steps.get(vertex, ()):
                if step not in found:
                    self._push(waiting, step, reach)
        return found

    def _push(
        self,
        waiting: list[tuple[tuple[float, int, tuple[str, ...]], Vertex, _Reach]],
        vertex: Vertex,
        before: _Reach,
    ) -> None:
        hop = self._hop(vertex)
        reach = _Reach(min(before.until_s, hop.until_s), (*before.hops, hop))
        heapq.heappush(waiting, (reach.key(), vertex, reach))

    def _to(self, ups: Ups, place: str, first: Hop, reached: Mapping[Vertex, _Reach]) -> _Reach | None:
        """The best way to a machine; None where the wire does not lead there."""
        wired = any(network.attachments.get(place) for network in self.support.networks.values())
        if ups.heard_by is None and ups.over is None:
            # Nobody says where the message begins: it needs a switch beside the machine at the least.
            hops = [self._hop(vertex) for vertex in self._ways(place)]
            if not hops:
                return None if wired else _Reach(NEVER, ())
            best = min(hops, key=lambda hop: (-hop.until_s, hop.name))
            return _Reach(best.until_s, (best,))
        if not wired:
            # The lab tells of no cable to it: only what it says of the beginning can be held against it.
            over = [Hop(name=each, until_s=self.until(each)) for each in (ups.over.ids if ups.over else ())]
            if not over:
                return _Reach(first.until_s, (first,))
            best = min(over, key=lambda hop: (-hop.until_s, hop.name))
            return _Reach(best.until_s, (first, best))
        found = [reached[vertex] for vertex in self._ways(place) if vertex in reached]
        return min(found, key=_Reach.key, default=None)


def host_of(lab: Lab, name: str) -> str:
    """The node that a thing is, or the host of a copy."""
    thing = lab.things[ThingId(name)]
    return thing.host if isinstance(thing, Copy) else name
