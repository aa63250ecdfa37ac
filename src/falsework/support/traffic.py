"""Who sends how much from where to where at one moment, and over which cables does that go?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum, auto
from typing import Protocol

from falsework.model.lab import Lab
from falsework.model.parts import Enclosure, Network, Node, Outside, Switch, ThingId
from falsework.model.services import Copy, Pool, Service, Store
from falsework.support.carriers import Wires
from falsework.support.graph import Room, SupportGraph
from falsework.support.open_ways import Ends, OpenWays
from falsework.support.reached import nodes_of
from falsework.support.settling import Packer
from falsework.where import Where


class Truth(Protocol):
    """What stands at one moment."""

    def up(self, name: str) -> bool:
        """Whether a thing was not interrupted."""
        ...

    def back(self, name: str) -> bool:
        """Whether a thing stands once all that can come back has."""
        ...


class State(Enum):
    """Whether there is anything to carry."""

    FLOWS = auto()
    NOT_SENT = auto()
    NOT_TAKEN = auto()
    UNSAID = auto()


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line of what a service sends: so much, bit/s, to these, equally shared."""

    service: str
    rate: int
    to: tuple[str, ...]
    where: Where | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Strand:
    """A piece of a line from one place to another.

    Attributes:
        amount: bit/s.
        one, other: nodes or switches; empty where nothing flows.
        within: the networks on which it may arrive; empty for any.
    """

    amount: int
    state: State
    one: str = ""
    other: str = ""
    within: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Route:
    """How a strand goes: leg by leg, with the hosts that pass it from one network to the next."""

    legs: tuple[Ends, ...]
    via: tuple[str, ...] = ()


HERE = Route(legs=())
"""From a machine to itself."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Talk:
    """The traffic of a lab's services.

    Attributes:
        lines: in the order of the file.
        services: ids of services whose copies matter to it, those that pass traffic on among them.
        copies: of each service.
        rooms: by pool, where its copies find room when they must move.
    """

    lab: Lab
    support: SupportGraph
    wires: Wires
    lines: tuple[Line, ...]
    services: tuple[str, ...]
    copies: Mapping[str, tuple[str, ...]]
    rooms: Mapping[str, Room]
    packers: dict[str, Packer] = field(default_factory=dict)
    settled: dict[tuple[str, frozenset[int]], dict[str, str]] = field(default_factory=dict)

    # -- who is where ------------------------------------------------------------------------------

    def serving(self, service: str, truth: Truth) -> tuple[str, ...]:
        """The copies of a service that do its work: the one that has taken over, else all that are there."""
        if not truth.back(service):
            return ()
        copies = [copy for copy in self.copies.get(service, ()) if truth.back(copy)]
        thing = self.lab.things[ThingId(service)]
        if isinstance(thing, Service) and (thing.takes_over is not None or thing.floats is not None):
            active = self.support.things[service].leans[0].on[0]
            ordered = sorted(copies, key=lambda copy: (not truth.up(copy), copy != active))
            return tuple(ordered[:1])
        return tuple(copies)

    def host(self, copy: str, truth: Truth) -> str:
        """The node that a copy is on; empty for one that finds no room anywhere."""
        thing = self.lab.things[ThingId(copy)]
        if not isinstance(thing, Copy):
            return ""
        if not thing.pool or self._fit(thing.host, truth):
            return thing.host
        pool = self.lab.things[ThingId(thing.pool)]
        hosts = pool.hosts.ids if isinstance(pool, Pool) and pool.hosts else ()
        bad = frozenset(number for number, host in enumerate(hosts) if not self._fit(host, truth))
        key = (thing.pool, bad)
        if key not in self.settled:
            self.settled[key] = self._settle(thing.pool, bad)
        if thing.pool in self.rooms:
            return self.settled[key].get(copy, "")
        return next((host for host in self.support.things[copy].places if self._fit(host, truth)), "")

    def _fit(self, host: str, truth: Truth) -> bool:
        """Whether a host stands and has a way onto the wire, if it ever had one."""
        if not truth.back(host):
            return False
        plugs = [plug for wired in self.wires.networks.values() for plug in wired.plugs.get(host, ())]
        return not plugs or any(plug.live(truth.back) for plug in plugs)

    def _settle(self, pool: str, bad: frozenset[int]) -> dict[str, str]:
        if pool not in self.rooms:
            return {}
        if pool not in self.packers:
            self.packers[pool] = Packer(self.rooms[pool])
        room = self.rooms[pool]
        placed = self.packers[pool].settle(bad).host_of
        return {room.copies[number]: room.hosts[host] for number, host in placed.items()}

    # -- who sends what to whom --------------------------------------------------------------------

    def strands(self, line: Line, truth: Truth) -> tuple[Strand, ...]:
        """What a line is made of at one moment; the amounts add up to its rate."""
        senders = [host for copy in self.serving(line.service, truth) if (host := self.host(copy, truth))]
        if not senders:
            return (Strand(amount=line.rate, state=State.NOT_SENT),)
        found: list[Strand] = []
        for one, amount in zip(senders, shares(line.rate, len(senders)), strict=True):
            for goal, part in zip(line.to, shares(amount, len(line.to)), strict=True):
                found.extend(self._towards(one, goal, part, truth))
        return tuple(found)

    def _towards(self, one: str, goal: str, amount: int, truth: Truth) -> Iterable[Strand]:
        thing = self.lab.things[ThingId(goal)]
        within: tuple[str, ...] = ()
        if isinstance(thing, Service):
            within = thing.over.ids if thing.over else ()
            copies = self.serving(goal, truth)
            takers = [host for copy in copies if (host := self.host(copy, truth))]
        elif isinstance(thing, Network):
            wired = self.wires.networks.get(goal)
            users = wired.users if wired else ()
            # Whoever sits at a switch that is gone asks for nothing; the others ask for no more than before.
            for switch, part in zip(users, shares(amount, len(users)) if users else (), strict=True):
                there = truth.back(switch)
                yield Strand(
                    amount=part,
                    state=State.FLOWS if there else State.NOT_TAKEN,
                    one=one if there else "",
                    other=switch if there else "",
                    within=(goal,),
                )
            if not users:
                yield Strand(amount=amount, state=State.UNSAID)
            return
        elif isinstance(thing, Outside):
            if not truth.back(goal):
                yield Strand(amount=amount, state=State.NOT_TAKEN)
                return
            said, takers = self.exits(one, truth)
            if not said:
                yield Strand(amount=amount, state=State.UNSAID)
                return
        elif isinstance(thing, Node | Switch | Store | Pool | Enclosure):
            takers = [place for place in self.places(thing) if truth.back(place)]
        else:
            yield Strand(amount=amount, state=State.UNSAID)
            return
        if not takers:
            yield Strand(amount=amount, state=State.NOT_TAKEN)
            return
        for other, part in zip(takers, shares(amount, len(takers)), strict=True):
            yield Strand(amount=part, state=State.FLOWS, one=one, other=other, within=within)

    def places(self, thing: Node | Switch | Store | Pool | Enclosure) -> Sequence[str]:
        """The machines at which traffic to a thing arrives."""
        if isinstance(thing, Store):
            return nodes_of(self.lab, thing)
        if isinstance(thing, Pool):
            return thing.hosts.ids if thing.hosts else ()
        if isinstance(thing, Enclosure):
            return [node.id for node in self.lab.of(Node) if node.in_ and thing.id in node.in_.ids]
        return (thing.id,)

    def exits(self, one: str, truth: Truth) -> tuple[bool, list[str]]:
        """Whether anything says how traffic leaves the lab from a node, and the hosts that lead out."""
        said = False
        for name, wired in self.wires.networks.items():
            network = self.lab.things.get(ThingId(name))
            out = network.way_out if isinstance(network, Network) else None
            if out is None or one not in wired.plugs:
                continue
            said = True
            thing = self.lab.things[ThingId(out.ids[0])]
            hosts = self._leading_out(thing.id, truth) if isinstance(thing, Service | Node) else []
            if hosts:
                return True, hosts
        if not said:
            for service, joined in self.support.routers:
                if any(one in self.wires.networks[name].plugs for name in joined):
                    return True, self._leading_out(service, truth)
        return said, []

    def _leading_out(self, name: str, truth: Truth) -> list[str]:
        if isinstance(self.lab.things[ThingId(name)], Node):
            return [name] if truth.back(name) else []
        return [host for copy in self.serving(name, truth) if (host := self.host(copy, truth))]

    # -- which way it goes -------------------------------------------------------------------------

    def route(
        self, one: str, other: str, within: Sequence[str], truth: Truth, open_: OpenWays
    ) -> Route | None:
        """How traffic goes from one machine to another; over one router at most, and None where it can't."""
        if one == other:
            return HERE
        networks = self.wires.networks
        allowed = [name for name in (within or networks) if name in networks]
        for name in allowed:
            straight = open_.ends(name, one, other)
            if straight is not None:
                return Route(legs=(straight,))
        for service, joined in self.support.routers:
            last = [name for name in allowed if name in joined]
            for host in self._leading_out(service, truth) if last else ():
                if host in (one, other):
                    continue
                for final in last:
                    onward = open_.ends(final, host, other)
                    if onward is None:
                        continue
                    for name in joined:
                        near = open_.ends(name, one, host) if name != final and name in networks else None
                        if near is not None:
                            return Route(legs=(near, onward), via=(host,))
        return None


def shares(amount: int, count: int) -> list[int]:
    """An amount in so many whole parts that add up to it and differ by one at most."""
    each, more = divmod(amount, count)
    return [each + (number < more) for number in range(count)]


def talk(lab: Lab, support: SupportGraph, wires: Wires) -> Talk:
    """The traffic of a lab's services, ready for questions."""
    lines = tuple(
        Line(service=service.id, rate=round(flow.rate), to=flow.to.ids, where=flow.where)
        for service in lab.of(Service)
        for flow in service.sends
        if flow.rate >= 1
    )
    named = [name for line in lines for name in (line.service, *line.to)]
    leading = [network.way_out.ids[0] for network in lab.of(Network) if network.way_out is not None]
    passing = [service for service, _ in support.routers]
    services = tuple(
        name
        for name in dict.fromkeys([*named, *leading, *passing])
        if isinstance(lab.things[ThingId(name)], Service)
    )
    copies: dict[str, list[str]] = {}
    for copy in lab.of(Copy):
        copies.setdefault(copy.service, []).append(copy.id)
    return Talk(
        lab=lab,
        support=support,
        wires=wires,
        lines=lines,
        services=services,
        copies={name: tuple(found) for name, found in copies.items()},
        rooms={room.pool: room for room in support.rooms},
    )
