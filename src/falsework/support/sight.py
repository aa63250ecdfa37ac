"""Who can be seen over the wire, by whom?

What is joined is joined by something: a ring of switches does not connect itself (`falsework.support.fabric`).
A vertex (a switch, or a cable that joins two nodes directly) sees another over switches and cables that stand;
a node sees a vertex over a cable and card of its own; a node on another network sees it through a service that
passes traffic between the two, one such step at most.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from falsework.engines.gates import GateBuilder, GateId
from falsework.support.fabric import Fabric
from falsework.support.graph import Network, Role, SupportGraph

UP = "up"
ANYWHERE = ("", "")
"""The vertex that sees everything: for things whose wiring is not described."""
Vertex = tuple[str, str]
"""A network and a vertex of it."""


Reach = Callable[[Vertex], GateId]
"""Whether somebody sees a vertex, without going through a router."""
Passing = tuple[tuple[str, ...], GateId, tuple[tuple[Vertex, GateId], ...], GateId]
"""Where a copy that passes traffic on is, whether it stands, what it sees on other networks, whether it sees an end."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Some:
    """Hosts of which any one will do, each only while a gate of its own is true.

    Attributes:
        gates: by host; that it stands is part of it.
        plugged: by network and layer, whether one of them is plugged in at a vertex; filled as it is asked for.
    """

    gates: Mapping[str, GateId]
    plugged: dict[tuple[str, str], Mapping[str, GateId]] = field(default_factory=dict)

    def without(self, hosts: Iterable[str]) -> Some:
        """The same but for these."""
        left = set(hosts)
        return Some(gates={host: gate for host, gate in self.gates.items() if host not in left})


class Sight:
    """Makes the gates of seeing, in whichever layer is asked for.

    Args:
        support: what leans on what.
        builder: takes the gates.
        thing: the gate of a thing in a layer.
        port: the gate of a cable or card of a node, given the node and the layer, as far as the node goes.
        lively: things that can come back; a wire with none of them is the same in every layer.
    """

    def __init__(
        self,
        support: SupportGraph,
        builder: GateBuilder,
        thing: Callable[[str, str], GateId],
        port: Callable[[str, str, str], GateId],
        lively: frozenset[str],
    ) -> None:
        self.support, self.builder, self.lively = support, builder, lively
        self.thing, self.port = thing, port
        self.ways: dict[str, list[Vertex]] = {}
        for network in support.networks.values():
            for node, attachments in network.attachments.items():
                self.ways.setdefault(node, []).extend(
                    dict.fromkeys((network.name, attachment.vertex) for attachment in attachments)
                )
        self.lives = {name: self._lives(network) for name, network in support.networks.items()}
        self.memo: dict[tuple[object, ...], GateId] = {}
        self.plugged: dict[tuple[str, ...], tuple[Vertex, ...]] = {}
        self.plugs: dict[tuple[tuple[str, ...], str, str], Mapping[str, GateId]] = {}
        self.passing: dict[tuple[Vertex, str], tuple[Passing, ...]] = {}
        self.fabrics: dict[tuple[str, str], Fabric] = {}

    def usable(self, vertex: Vertex, layer: str) -> GateId:
        """Whether users reach a vertex; everywhere, where the network does not say where they sit."""
        network = self.support.networks.get(vertex[0])
        if network is None or not network.users:
            return self.builder.true
        return self.builder.any_of(self.joined(vertex, (vertex[0], user), layer) for user in network.users)

    def on_wire(self, places: Iterable[str]) -> bool:
        """Whether any of these nodes is plugged in."""
        return any(place in self.ways for place in places)

    def vertices(self, places: Iterable[str]) -> tuple[Vertex, ...]:
        """Where these nodes are plugged in; anywhere if none of them is."""
        key = tuple(places)
        found = self.plugged.get(key)
        if found is None:
            each = dict.fromkeys(vertex for place in key for vertex in self.ways.get(place, ()))
            found = self.plugged[key] = tuple(each) or (ANYWHERE,)
        return found

    def sees(self, places: tuple[str, ...], vertex: Vertex, layer: str) -> GateId:
        """Whether one of these nodes stands and sees a vertex, straight or through a router."""
        key = ("sees", places, vertex, layer)
        if key not in self.memo:
            if vertex == ANYWHERE or not self.on_wire(places):
                return self.builder.true

            def reach(stands: tuple[str, ...]) -> Reach | None:
                if set(stands) & set(places):
                    return None
                return lambda at: self._straight(places, at, layer)

            straight = self._straight(places, vertex, layer)
            self.memo[key] = self.builder.any_of([straight, *self._routed(vertex, layer, reach)])
        return self.memo[key]

    def some_see(self, some: Some, vertex: Vertex, layer: str) -> GateId:
        """Whether a host sees a vertex of which the gate that was given for it is true as well."""
        if vertex == ANYWHERE:
            return self.builder.any_of(some.gates.values())

        def reach(stands: tuple[str, ...]) -> Reach | None:
            apart = some if not some.gates.keys() & set(stands) else some.without(stands)
            return (
                (lambda at: self._from(apart, at, layer)) if apart.gates.keys() & self.ways.keys() else None
            )

        loose = [gate for host, gate in some.gates.items() if host not in self.ways]
        straight = self._from(some, vertex, layer)
        return self.builder.any_of([*loose, straight, *self._routed(vertex, layer, reach)])

    def _from(self, some: Some, vertex: Vertex, layer: str) -> GateId:
        """Whether one of these hosts sees a vertex of one network: first who is plugged in where, then from there."""
        key = (vertex[0], layer)
        if key not in some.plugged:
            ways: dict[str, list[GateId]] = {}
            for host, gate in some.gates.items():
                for at, plugged in self._plugged((host,), vertex[0], layer).items():
                    ways.setdefault(at, []).append(self.builder.all_of((gate, plugged)))
            some.plugged[key] = {at: self.builder.any_of(gates) for at, gates in ways.items()}
        return self.builder.any_of(
            self.builder.all_of((plugged, self.joined((vertex[0], at), vertex, layer)))
            for at, plugged in some.plugged[key].items()
        )

    def _routed(
        self, vertex: Vertex, layer: str, reach: Callable[[tuple[str, ...]], Reach | None]
    ) -> Iterable[GateId]:
        """The ways to a vertex through a service that passes traffic on; `reach` says who gets as far as that."""
        for stands, passes, ways, onward in self._passing(vertex, layer):
            near = reach(stands)
            if near is not None:
                meets = [self.builder.all_of((near(at), straight)) for at, straight in ways]
                yield self.builder.all_of((passes, self.builder.any_of(meets), onward))

    def _passing(self, vertex: Vertex, layer: str) -> tuple[Passing, ...]:
        """The copies that pass traffic on to a vertex."""
        key = (vertex, layer)
        if key not in self.passing:
            self.passing[key] = tuple(self._passes(vertex, layer))
        return self.passing[key]

    def _passes(self, vertex: Vertex, layer: str) -> Iterator[Passing]:
        for service, joined in self.support.routers:
            if vertex[0] not in joined:
                continue
            for lean in self.support.things[service].leans:
                for copy in lean.on if lean.role is Role.COPIES else ():
                    stands = self.support.things[copy].at("now" if layer == UP else "later")
                    ways = tuple(
                        (at, self._straight(stands, at, layer))
                        for at in self.vertices(stands)
                        if at[0] in joined and at[0] != vertex[0]
                    )
                    if ways:
                        onward = self._straight(stands, vertex, layer)
                        yield stands, self.thing(copy, layer), ways, onward

    def _straight(self, places: tuple[str, ...], vertex: Vertex, layer: str) -> GateId:
        """Whether one of these nodes stands and sees a vertex of one network."""
        key = ("straight", places, vertex, layer)
        if key not in self.memo:
            ways = [
                self.builder.all_of((plugged, self.joined((vertex[0], at), vertex, layer)))
                for at, plugged in self._plugged(places, vertex[0], layer).items()
            ]
            self.memo[key] = self.builder.any_of(ways)
        return self.memo[key]

    def _plugged(self, places: tuple[str, ...], network: str, layer: str) -> Mapping[str, GateId]:
        """Where these nodes are plugged in, and whether one of them stands there with its cable and card.

        Of a single node only cable and card are asked: who looks from there stands there.
        """
        key = (places, network, layer)
        if key not in self.plugs:
            ways: dict[str, list[GateId]] = {}
            attachments = self.support.networks[network].attachments
            for place in places:
                for attachment in attachments.get(place, ()):
                    needed = [self.port(each, place, layer) for each in attachment.through]
                    if len(places) > 1:
                        needed.append(self.thing(place, layer))
                    ways.setdefault(attachment.vertex, []).append(self.builder.all_of(needed))
            self.plugs[key] = {vertex: self.builder.any_of(gates) for vertex, gates in ways.items()}
        return self.plugs[key]

    def joined(self, start: Vertex, end: Vertex, layer: str) -> GateId:
        """Whether two vertices of one network stand and are joined."""
        name = start[0]
        if not self.lives[name]:
            layer = UP
        if (name, layer) not in self.fabrics:
            network = self.support.networks[name]
            stands = {vertex: self.thing(vertex, layer) for vertex in network.vertices}
            edges = [(one, other, self.thing(cable, layer)) for one, other, cable in network.edges]
            # A switch that leans on what is seen over the network has asked, and got, the same by now.
            if (name, layer) not in self.fabrics:
                self.fabrics[name, layer] = Fabric(self.builder, stands, edges)
        return self.fabrics[name, layer].joined(start[1], end[1])

    def _lives(self, network: Network) -> bool:
        """Whether any switch or cable of a network can come back by itself."""
        return any(
            each in self.lively for each in (*network.vertices, *(cable for _, _, cable in network.edges))
        )
