"""Where does each copy run, where the owner did not say?

This is not the search for a good placement: it only fixes one plausible place for each copy, so that a
verdict can be given, and lists it as an assumption.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from falsework.model.declare import Say
from falsework.model.domains import Domains, domains
from falsework.model.parts import Enclosure, Node, Thing, ThingId
from falsework.model.services import LEVELS, Copy, Pool, Service

WIDER = {
    "node": ("enclosure",),
    "enclosure": ("rack",),
    "strip": ("node",),
    "circuit": ("node",),
    "switch": ("node",),
}


def copies(
    things: Mapping[ThingId, Thing], say: Say, assumed: dict[tuple[str, str, str], list[ThingId]]
) -> tuple[Copy, ...]:
    """Every copy of every service, each on a host.

    Args:
        things: hosts, pools, services and what houses and feeds the hosts, early references bound.
        say: the list of faults.
        assumed: places that the owner did not say are added here.
    """
    shared = domains(things)
    inside: dict[str, list[str]] = {}
    for name, thing in things.items():
        if isinstance(thing, Node) and thing.in_ is not None:
            inside.setdefault(thing.in_.ids[0], []).append(name)
    free = {name: thing.memory or 0.0 for name, thing in things.items() if isinstance(thing, Node)}
    made: list[Copy] = []
    waiting: list[tuple[Service, list[str], str, int]] = []
    for service in things.values():
        if not isinstance(service, Service) or service.on is None or not service.on.ids:
            continue
        hosts, pool = _hosts(service, things, inside)
        if not hosts:
            say.fault(
                service.place("on"),
                f"nothing that {service.id!r} runs on is a node",
                "name nodes, or a pool of nodes",
            )
            continue
        count = service.copies or (1 if pool else len(hosts))
        given = list(service.placed.ids) if service.placed else ([] if pool or count != len(hosts) else hosts)
        if service.placed and (len(given) != count or not set(given) <= set(hosts)):
            say.fault(
                service.place("placed"),
                f"`placed` names {len(given)} hosts for {count} copies of {service.id!r}",
                "name one host of its pool for each copy",
            )
            continue
        if given:
            made.extend(_copy(service, number, host, pool, free) for number, host in enumerate(given))
        else:
            waiting.append((service, hosts, pool, count))
    for service, hosts, pool, count in waiting:
        for number, host in enumerate(_chosen(service, hosts, count, shared, free)):
            copy = _copy(service, number, host, pool, free)
            made.append(copy)
            assumed.setdefault(
                ("placed", f"{copy.id} on {host}", "assumed: spread, then the most free memory"), []
            ).append(copy.id)
    order = {name: position for position, name in enumerate(things)}
    return tuple(sorted(made, key=lambda copy: (order[ThingId(copy.service)], copy.number)))


def _hosts(
    service: Service, things: Mapping[ThingId, Thing], inside: Mapping[str, Sequence[str]]
) -> tuple[list[str], str]:
    hosts: list[str] = []
    pool = ""
    for name in service.on.ids if service.on else ():
        thing = things.get(ThingId(name))
        if isinstance(thing, Pool) and thing.hosts is not None:
            pool = name
            hosts.extend(thing.hosts.ids)
        elif isinstance(thing, Enclosure):
            hosts.extend(inside.get(name, ()))
        elif isinstance(thing, Node):
            hosts.append(name)
    return list(dict.fromkeys(hosts)), pool


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


def _chosen(
    service: Service, hosts: Sequence[str], count: int, shared: Domains, free: Mapping[str, float]
) -> Iterable[str]:
    """Hosts for `count` copies: fewest shared domains first, then the most free memory, then lab order."""
    level = service.apart if service.apart in LEVELS else "node"
    levels = (level, *WIDER.get(level, ()))
    used: dict[tuple[str, str], int] = {}
    size = service.takes.memory if service.takes and service.takes.memory else 0.0
    taken: dict[str, int] = {}
    for _ in range(count):

        def cost(host: str) -> tuple[object, ...]:
            clashes = tuple(
                sum(used.get((each, domain), 0) for domain in shared(host, each)) for each in levels
            )
            fits = free[host] - size * (1 + taken.get(host, 0)) >= 0 or not size
            return (*clashes, not fits, -(free[host] - size * taken.get(host, 0)))

        best = min(hosts, key=cost)
        taken[best] = taken.get(best, 0) + 1
        for each in levels:
            for domain in shared(best, each):
                used[each, domain] = used.get((each, domain), 0) + 1
        yield best
