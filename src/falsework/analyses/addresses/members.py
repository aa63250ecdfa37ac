"""Who wants an address on which network?"""

from __future__ import annotations

import ipaddress
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from falsework.analyses.addresses.result import How, What
from falsework.engines.addressing.special import Prefix
from falsework.model.lab import Lab
from falsework.model.parts import Cable, Controller, Network, Node, Switch, ThingId
from falsework.model.services import Copy, Pool, Service
from falsework.support.wire import networks
from falsework.where import Where


@dataclass(slots=True)
class Member:
    """Somebody on a network, with the addresses that it has.

    Attributes:
        has: each as (number, version, `kept` or `new`, place).
    """

    thing: str
    what: What
    where: Where
    has: list[tuple[int, int, How, Where]] = field(default_factory=list)

    def lacks(self, version: int) -> bool:
        """Whether it has no address of this version yet."""
        return all(each[1] != version for each in self.has)


Members = dict[str, dict[str, Member]]
"""By network, then by thing, both in lab order."""


def members(lab: Lab) -> Members:
    """Who is on each network by its cables, and who by being recorded there.

    A machine gets one address on each network that its ports reach, however many ports it has there: they carry
    the same address, whichever is up. A switch gets one where management controllers are, or where it is recorded.
    A copy on a pool is a machine of its own and gets one on the first network that it serves on, or that all hosts
    of the pool are on; a copy on bare metal has the address of its machine.
    """
    found: Members = {network.id: {} for network in lab.of(Network)}
    attached = _attached(lab)
    managed = {name for name, holders in attached.items() if _controllers(lab, holders)}
    for thing in lab.things.values():
        if isinstance(thing, Node | Controller):
            what: What = "machine" if isinstance(thing, Node) else "controller"
            for name, there in found.items():
                if thing.id in attached[name]:
                    there[thing.id] = Member(thing=thing.id, what=what, where=thing.where)
        elif isinstance(thing, Switch):
            for network in lab.of(Network):
                carries = network.over is None or thing.id in network.over.ids
                if network.id in managed and carries:
                    found[network.id][thing.id] = Member(thing=thing.id, what="switch", where=thing.where)
    copies = copies_of(lab)
    for service in lab.of(Service):
        for copy in _virtual(service, copies.get(service.id, ())):
            home = _home(lab, service, copy, attached)
            if home is not None:
                found[home][copy.id] = Member(thing=copy.id, what="copy", where=service.where)
    _recorded(lab, found)
    return found


def copies_of(lab: Lab) -> Mapping[str, tuple[Copy, ...]]:
    """The copies of each service, in their order."""
    found: dict[str, list[Copy]] = {}
    for copy in lab.of(Copy):
        found.setdefault(copy.service, []).append(copy)
    return {name: tuple(sorted(those, key=lambda each: each.number)) for name, those in found.items()}


def unreached(lab: Lab, found: Members) -> tuple[Node, ...]:
    """The nodes that are on no network."""
    there = {thing for those in found.values() for thing in those}
    return tuple(node for node in lab.of(Node) if node.id not in there)


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """An address that the lab file says at a service.

    Attributes:
        service: whose.
        thing: the copy that answers there, or the service.
        what: `floating`, or what answers.
        host: the machine of a copy on bare metal.
        networks: where it may lie, the likeliest first.
    """

    service: str
    thing: str
    what: What
    host: str
    address: str
    networks: tuple[str, ...]
    where: Where


def said(lab: Lab, found: Members) -> Iterator[Said]:
    """The addresses that services are reached at, and those that float, in lab order."""
    of = copies_of(lab)
    on: dict[str, set[str]] = {}
    for name, there in found.items():
        for thing in there:
            on.setdefault(thing, set()).add(name)
    for service in lab.of(Service):
        if not service.reached_at and service.floats is None:
            continue
        copies = of.get(service.id, ())
        near = _near(service, copies, tuple(found), on)
        each_its_own = len(service.reached_at) == len(copies)
        for number, address in enumerate(service.reached_at):
            copy = copies[number] if each_its_own else None
            yield Said(
                service=service.id,
                thing=copy.id if copy is not None else service.id,
                what="service" if copy is None else "copy",
                host=copy.host if copy is not None and not copy.pool else "",
                address=address,
                networks=near,
                where=service.place("reached_at"),
            )
        for address in service.floats.address if service.floats is not None else ():
            yield Said(
                service=service.id,
                thing=service.id,
                what="floating",
                host="",
                address=address,
                networks=near,
                where=service.place("floats"),
            )


def _near(
    service: Service, copies: Sequence[Copy], every: Sequence[str], on: Mapping[str, set[str]]
) -> tuple[str, ...]:
    """The networks on which a service may have addresses: what it says, else what all its hosts share, else any."""
    if service.over is not None:
        return tuple(service.over.ids)
    hosts = {copy.host for copy in copies}
    shared = tuple(name for name in every if all(name in on.get(host, ()) for host in hosts))
    return (*shared, *(name for name in every if name not in shared))


def _attached(lab: Lab) -> Mapping[str, set[str]]:
    """Who is plugged into each network; without any cable in the lab, every node is on every network."""
    declared = lab.of(Network)
    if not lab.of(Cable):
        every: set[str] = {each.id for each in (*lab.of(Node), *lab.of(Controller))}
        return {network.id: set(every) for network in declared}
    wired = networks(lab)
    return {network.id: set(wired[network.id].attachments) for network in declared}


def _controllers(lab: Lab, holders: Iterable[str]) -> bool:
    return any(isinstance(lab.things[ThingId(holder)], Controller) for holder in holders)


def _virtual(service: Service, copies: Sequence[Copy]) -> Iterator[Copy]:
    """The copies that are machines of their own and have no address said."""
    if len(service.reached_at) != len(copies):
        yield from (copy for copy in copies if copy.pool)


def _home(lab: Lab, service: Service, copy: Copy, attached: Mapping[str, set[str]]) -> str | None:
    """The network on which a virtual copy gets its address."""
    if service.over is not None and service.over.ids:
        return service.over.ids[0]
    pool = lab.things[ThingId(copy.pool)]
    hosts = pool.hosts.ids if isinstance(pool, Pool) and pool.hosts is not None else (copy.host,)
    for some in (all, any):
        for name, there in attached.items():
            if some(host in there for host in hosts):
                return name
    return None


def _recorded(lab: Lab, found: Members) -> None:
    """What stands under `addresses` is kept, whoever it is of."""
    for each in lab.recorded:
        there, thing = found.get(each.network), lab.things.get(ThingId(each.thing))
        if there is None or thing is None:
            continue  # a fault of the file, told when it was read
        if each.thing not in there:
            there[each.thing] = Member(thing=each.thing, what=_what(thing), where=thing.where)
        address = ipaddress.ip_address(each.address)
        there[each.thing].has.append((int(address), address.version, "kept", each.where))


def _what(thing: object) -> What:
    if isinstance(thing, Node):
        return "machine"
    if isinstance(thing, Controller):
        return "controller"
    if isinstance(thing, Switch):
        return "switch"
    if isinstance(thing, Copy):
        return "copy"
    return "service" if isinstance(thing, Service) else "part"


def holds(prefix: Prefix | None, number: int, version: int) -> bool:
    """Whether an address lies in a prefix."""
    if prefix is None or prefix.version != version:
        return False
    return int(prefix.network_address) <= number <= int(prefix.broadcast_address)
