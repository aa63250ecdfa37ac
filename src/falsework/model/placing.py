"""Where does each copy run, where the owner did not say?

This is not the search for a good placement: it only fixes one plausible place for each copy, so that a
verdict can be given, and lists it as an assumption.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from falsework.errors import listed
from falsework.model import names
from falsework.model.assume import Assumed
from falsework.model.domains import Domains, domains
from falsework.model.entries import Tell
from falsework.model.parts import Enclosure, Node, Thing, ThingId
from falsework.model.services import LEVELS, Copy, Pool, Service

WIDER = {
    "node": ("enclosure",),
    "enclosure": ("rack",),
    "strip": ("node",),
    "circuit": ("node",),
    "switch": ("node",),
}


def copies(things: Mapping[ThingId, Thing], tell: Tell, assumed: Assumed) -> tuple[Copy, ...]:
    """Every copy of every service, each on a host.

    Args:
        things: hosts, pools, services and what houses and feeds the hosts, with those references bound.
        tell: notes faults.
        assumed: places that the owner did not say are noted here.

    Raises:
        LabError: the copies are more than the things that a lab may have.
    """
    shared = domains(things)
    inside = _inside(things)
    free = {str(name): thing.memory or 0.0 for name, thing in things.items() if isinstance(thing, Node)}
    homes: dict[tuple[str, ...], tuple[tuple[str, ...], tuple[_Slot, ...]]] = {}
    made: list[Copy] = []
    total = 0
    waiting: list[tuple[Service, Sequence[_Slot]]] = []
    for service in things.values():
        if not isinstance(service, Service) or service.on is None or not service.on.ids:
            continue
        where = service.on.ids
        if where not in homes:
            homes[where] = _homes(where, things, inside)
        slots = _slots(service, *homes[where])
        total += len(slots)
        if total > names.MOST:
            tell.too_many(service, f"the services have more than {names.MOST:,} copies")
        if not slots and any(tell.is_shaky(things[ThingId(name)]) for name in where):
            continue
        if not slots:
            tell.fault(
                service,
                "on",
                f"nothing that {service.id!r} runs on is a node",
                "name nodes, or a pool of nodes",
            )
            continue
        if service.wants:
            slots = [_Slot(suited(service, slot.hosts, things), slot.pool) for slot in slots]
            if not all(slot.hosts for slot in slots):
                what = f"a copy of {service.id!r} can run on nothing that has {listed(service.wants)}"
                tell.fault(
                    service, "wants", what, "say what a node has under its `has`, or let it run elsewhere"
                )
                continue
        if service.placed is not None and not tell.is_shaky(service):
            hosts = service.placed.ids
            if len(hosts) != len(slots) or any(
                host not in slot.hosts for host, slot in zip(hosts, slots, strict=False)
            ):
                tell.fault(
                    service,
                    "placed",
                    f"`placed` names {len(hosts)} hosts for {len(slots)} copies of {service.id!r}",
                    "name one host for each copy, each among those it may run on",
                )
                continue
            slots = [_Slot((host,), slot.pool) for host, slot in zip(hosts, slots, strict=True)]
        if all(len(slot.hosts) == 1 for slot in slots):
            made.extend(
                _copy(service, number, slot.hosts[0], slot.pool, free) for number, slot in enumerate(slots)
            )
        else:
            waiting.append((service, slots))
    heaps = _Heaps(free)
    for service, slots in waiting:
        for number, host in enumerate(_chosen(service, slots, shared, free, heaps)):
            copy = _copy(service, number, host, slots[number].pool, free)
            made.append(copy)
            assumed.note(
                copy.IS,
                "placed",
                f"{copy.id} on {host}",
                "assumed: spread, then the most free memory",
                (copy.id,),
            )
    order = {name: position for position, name in enumerate(things)}
    return tuple(sorted(made, key=lambda copy: (order[ThingId(copy.service)], copy.number)))


def suited(service: Service, hosts: tuple[str, ...], things: Mapping[ThingId, Thing]) -> tuple[str, ...]:
    """Those of the hosts that have all that the service wants."""
    if not service.wants:
        return hosts
    wanted = frozenset(service.wants)

    def has(host: str) -> bool:
        node = things[ThingId(host)]
        return isinstance(node, Node) and wanted.issubset(node.has)

    return tuple(host for host in hosts if has(host))


def choices(things: Mapping[ThingId, Thing]) -> Mapping[str, tuple[tuple[str, ...], ...]]:
    """For each service the hosts that each of its copies may run on, by number of the copy.

    Args:
        things: those of a lab whose references are bound.
    """
    inside = _inside(things)
    homes: dict[tuple[str, ...], tuple[tuple[str, ...], tuple[_Slot, ...]]] = {}
    found: dict[str, tuple[tuple[str, ...], ...]] = {}
    for service in things.values():
        if not isinstance(service, Service) or service.on is None:
            continue
        where = service.on.ids
        if where not in homes:
            homes[where] = _homes(where, things, inside)
        found[service.id] = tuple(
            suited(service, slot.hosts, things) for slot in _slots(service, *homes[where])
        )
    return found


def _inside(things: Mapping[ThingId, Thing]) -> Mapping[str, Sequence[str]]:
    """The nodes in each enclosure."""
    found: dict[str, list[str]] = {}
    for name, thing in things.items():
        if isinstance(thing, Node) and thing.in_ is not None and thing.in_.ids:
            found.setdefault(thing.in_.ids[0], []).append(name)
    return found


@dataclass(frozen=True, slots=True)
class _Slot:
    """Where one copy may run, and the pool that restarts it, if any."""

    hosts: tuple[str, ...]
    pool: str = ""


def _homes(
    where: tuple[str, ...], things: Mapping[ThingId, Thing], inside: Mapping[str, Sequence[str]]
) -> tuple[tuple[str, ...], tuple[_Slot, ...]]:
    """The nodes and the pools that `on` names; an enclosure stands for the nodes in it."""
    hosts: dict[str, None] = {}
    pools: list[_Slot] = []
    for name in where:
        thing = things.get(ThingId(name))
        if isinstance(thing, Pool):
            if thing.hosts is None or not thing.hosts.ids:
                continue
            pools.append(_Slot(thing.hosts.ids, name))
        elif isinstance(thing, Enclosure):
            hosts.update(dict.fromkeys(inside.get(name, ())))
        elif isinstance(thing, Node):
            hosts[name] = None
    return tuple(hosts), tuple(pools)


def _slots(service: Service, hosts: tuple[str, ...], pools: tuple[_Slot, ...]) -> Sequence[_Slot]:
    """A slot for each copy.

    Nodes that are as many as the copies give one each; a pool beside nodes gives one virtual copy; anything
    else leaves the choice open.
    """
    if pools and not hosts:
        return [pools[number % len(pools)] for number in range(service.copies or len(pools))]
    count = (service.copies or len(hosts) + len(pools)) - len(pools)
    if not hosts or count < 0:
        return pools
    bare = [_Slot((host,)) for host in hosts] if count == len(hosts) else [_Slot(hosts)] * count
    return [*bare, *pools]


def _copy(service: Service, number: int, host: str, pool: str, free: dict[str, float]) -> Copy:
    if service.takes and service.takes.memory:
        free[host] -= service.takes.memory
    return Copy(
        where=service.place("on"),
        id=ThingId(f"{service.id}.{number + 1}"),
        service=service.id,
        number=number,
        host=host,
        pool=pool,
    )


Cost = tuple[tuple[int, ...], bool, float]
"""What speaks against a host: shared domains by level, lack of room, memory in use."""


class _Heaps:
    """For each set of hosts, all of them by a lower bound of their cost.

    Sorting ten thousand hosts for each of a thousand services would take most of the time of reading, so
    the order is kept from service to service, and made anew when too much of it is out of date.
    """

    _MOST_STALE = 200

    def __init__(self, free: Mapping[str, float]) -> None:
        self._free = free
        self._made: dict[tuple[int, int, float], tuple[int, list[tuple[Cost, int]]]] = {}
        self._placed = 0

    def placed(self) -> None:
        """Note that the free memory of a host changed."""
        self._placed += 1

    def heap(self, hosts: tuple[str, ...], levels: int, size: float) -> list[tuple[Cost, int]]:
        """A heap of the hosts' numbers, each with a cost that is not above its true one."""
        when, heap = self._made.get((id(hosts), levels, size), (0, []))
        if not heap or self._placed - when > self._MOST_STALE:
            none = (0,) * levels
            free = [self._free[host] for host in hosts]
            heap = sorted(((none, left < size, -left), number) for number, left in enumerate(free))
            self._made[id(hosts), levels, size] = (self._placed, heap)
        return heap.copy()


def _chosen(
    service: Service, slots: Sequence[_Slot], shared: Domains, free: Mapping[str, float], heaps: _Heaps
) -> Iterable[str]:
    """A host for each slot: fewest shared domains first, then the most free memory, then lab order.

    The caller takes what a copy takes off `free` before it asks for the next host.

    Cost:
        Cost only grows as copies are placed, so a host whose cost is still what it was is the best: each
        copy touches few hosts however many there are.
    """
    level = service.apart if service.apart in LEVELS else "node"
    levels = (level, *WIDER.get(level, ()))
    used: dict[tuple[str, str], int] = {}
    size = service.takes.memory if service.takes and service.takes.memory else 0.0

    def cost(host: str) -> Cost:
        clashes = tuple(sum(used.get((each, domain), 0) for domain in shared(host, each)) for each in levels)
        return clashes, free[host] < size, -free[host]

    mine: dict[int, list[tuple[Cost, int]]] = {}
    for slot in slots:
        heap = mine.setdefault(id(slot.hosts), [])
        if not heap:
            heap.extend(heaps.heap(slot.hosts, len(levels), size))
        while (now := cost(slot.hosts[heap[0][1]])) > heap[0][0]:
            heapq.heapreplace(heap, (now, heap[0][1]))
        best = slot.hosts[heap[0][1]]
        for each in levels:
            for domain in shared(best, each):
                used[each, domain] = used.get((each, domain), 0) + 1
        if size:
            heaps.placed()
        yield best
