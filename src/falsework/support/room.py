"""Is there room for every copy that must restart, packed whole into the holes that are left?"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from falsework.engines.gates import BoolArray, OracleFunction
from falsework.model.domains import Domains
from falsework.model.lab import Lab
from falsework.model.parts import Node, ThingId
from falsework.model.services import Copy, Pool, Service
from falsework.support.graph import Room

Vector = tuple[float, float, float, float]
UNBOUNDED = float("inf")
ANY_DOMAIN = -1
"""The domain of hosts for a copy that may share everything."""
MOST_STEPS = 20_000
"""Steps of the exact search for one packing before it settles for the best found."""


def rooms(lab: Lab, shared: Domains) -> tuple[Room, ...]:
    """Every pool whose copies say what they take."""
    found = []
    for pool in lab.of(Pool):
        hosts = pool.hosts.ids if pool.hosts else ()
        copies = [copy for copy in lab.of(Copy) if copy.pool == pool.id]
        services = [lab.things[ThingId(copy.service)] for copy in copies]
        takes = [_takes(service) for service in services]
        if not any(any(each) for each in takes):
            continue
        levels = [service.apart if isinstance(service, Service) else "not" for service in services]
        found.append(
            Room(
                pool=pool.id,
                hosts=hosts,
                free=tuple(_free(lab.things[ThingId(host)], pool) for host in hosts),
                copies=tuple(copy.id for copy in copies),
                host_of=tuple(hosts.index(copy.host) for copy in copies),
                takes=tuple(takes),
                apart=tuple(_numbers([copy.service for copy in copies])),
                domain_of=tuple(_domains(hosts, level, shared) for level in levels),
                sheds=tuple(isinstance(service, Service) and service.sheds for service in services),
            )
        )
    return tuple(found)


def _takes(service: object) -> Vector:
    if not isinstance(service, Service) or service.takes is None:
        return (0.0, 0.0, 0.0, 0.0)
    size = service.takes
    return (float(size.cores or 0), size.memory or 0.0, size.disk or 0.0, float(size.accelerators))


def _free(host: object, pool: Pool) -> Vector:
    """What a host has for copies; a figure that nobody gave binds nothing."""
    if not isinstance(host, Node):
        return (0.0, 0.0, 0.0, 0.0)
    cores = host.cores * (pool.cores_shared or 1.0) if host.cores else UNBOUNDED
    memory = host.memory - (pool.keeps_free or 0.0) if host.memory else UNBOUNDED
    disk = host.disk if host.disk and pool.store is None else UNBOUNDED
    return (cores, memory, disk, float(host.accelerators))


def _numbers(names: Sequence[str]) -> list[int]:
    order = {name: number for number, name in enumerate(dict.fromkeys(names))}
    return [order[name] for name in names]


def _domains(hosts: Sequence[str], level: str, shared: Domains) -> tuple[int, ...]:
    if level == "not":
        return (ANY_DOMAIN,) * len(hosts)
    keys = [min(shared(host, level), default=host) for host in hosts]
    order = {key: number for number, key in enumerate(dict.fromkeys(keys))}
    return tuple(order[key] for key in keys)


def packed(room: Room, lost: frozenset[int]) -> frozenset[int]:
    """The copies (positions) that find no room when these hosts (positions) are gone.

    Copies that still run stay where they are; those whose host went are packed whole into the holes that
    are left, two copies of one service never in one domain. Where not all fit, copies that may be left
    out are left out first, running ones included, then the later in the file before the earlier.

    Cost:
        First-fit decreasing, which mostly settles it; else a depth-first search bounded by `MOST_STEPS`,
        after which the answer may be pessimistic (a copy called homeless that a cleverer packing would
        house), never optimistic.
    """
    displaced = [number for number, host in enumerate(room.host_of) if host in lost]
    if not displaced:
        return frozenset()
    holes, taken = _holes(room, lost, frozenset())
    if _fit(room, displaced, holes, taken, lost):
        return frozenset()
    homeless: set[int] = set()
    running_shed = frozenset(n for n, sheds in enumerate(room.sheds) if sheds and room.host_of[n] not in lost)
    needed = [number for number in displaced if not room.sheds[number]]
    homeless.update(number for number in displaced if room.sheds[number])
    if not _fit(room, needed, holes, taken, lost) and running_shed:
        holes, taken = _holes(room, lost, running_shed)
        homeless |= running_shed
    placed: list[int] = []
    for number in needed:
        if _fit(room, [*placed, number], holes, taken, lost):
            placed.append(number)
        else:
            homeless.add(number)
    for number in sorted(homeless & {n for n, sheds in enumerate(room.sheds) if sheds}):
        if _fit(room, [*placed, number], holes, taken, lost):
            placed.append(number)
            homeless.discard(number)
    return frozenset(homeless)


def _holes(
    room: Room, lost: frozenset[int], without: frozenset[int]
) -> tuple[list[list[float]], set[tuple[int, int]]]:
    """What each standing host has left, and which (group, level pattern, domain) are taken."""
    holes = [list(free) for free in room.free]
    taken: set[tuple[int, int]] = set()
    for number, host in enumerate(room.host_of):
        if host in lost or number in without:
            continue
        for resource, amount in enumerate(room.takes[number]):
            holes[host][resource] -= amount
        if room.domain_of[number][host] != ANY_DOMAIN:
            taken.add((room.apart[number], room.domain_of[number][host]))
    return holes, taken


def holes(room: Room, lost: frozenset[int]) -> tuple[Vector, ...]:
    """What each host has left beside the copies that still run on it."""
    return tuple((a, b, c, d) for a, b, c, d in _holes(room, lost, frozenset())[0])


def _fit(
    room: Room,
    numbers: Sequence[int],
    holes: Sequence[Sequence[float]],
    taken: set[tuple[int, int]],
    lost: frozenset[int],
) -> bool:
    """Whether all these copies fit into the holes: largest first, each where it leaves least, then by search."""
    order = sorted(numbers, key=lambda number: (-room.takes[number][1], -room.takes[number][0], number))
    hosts = [host for host in range(len(room.hosts)) if host not in lost]
    left = [list(hole) for hole in holes]
    used = set(taken)
    steps = 0

    def may(number: int, host: int) -> bool:
        key = (room.apart[number], room.domain_of[number][host])
        return key not in used and all(
            need <= have + 1e-9 for need, have in zip(room.takes[number], left[host], strict=True)
        )

    def place(position: int) -> bool:
        nonlocal steps
        if position == len(order):
            return True
        number = order[position]
        seen: set[tuple[float, ...]] = set()
        for host in sorted(
            (host for host in hosts if may(number, host)), key=lambda host: (left[host][1], host)
        ):
            shape = (*left[host], float(room.domain_of[number][host]))
            if shape in seen:
                continue
            seen.add(shape)
            steps += 1
            if steps > MOST_STEPS:
                return False
            key = (room.apart[number], room.domain_of[number][host])
            for resource, amount in enumerate(room.takes[number]):
                left[host][resource] -= amount
            if room.domain_of[number][host] != ANY_DOMAIN:
                used.add(key)
            if place(position + 1):
                return True
            used.discard(key)
            for resource, amount in enumerate(room.takes[number]):
                left[host][resource] += amount
        return False

    return place(0)


def oracle(room: Room) -> OracleFunction:
    """The packing as a function of which hosts stand, one column a scenario.

    Rows in: hosts. Rows out: copies, true where the copy runs or finds room.

    Losing one more host never enlarges a hole, so "all find room" is monotone, but for two odd cases: a copy
    that was homeless because an earlier one took the last hole may find room when one more loss makes the
    earlier one homeless; and a copy that runs may stand in the way of one kept apart from it, until its own
    host goes and both are placed anew. Pairs count such a copy as homeless, the careful reading.
    """
    known: dict[bytes, np.ndarray[tuple[int], np.dtype[np.bool_]]] = {}

    def answer(stands: BoolArray) -> BoolArray:
        result: BoolArray = np.ones((len(room.copies), stands.shape[1]), dtype=np.bool_)
        packed_columns = np.packbits(stands, axis=0)
        columns, inverse = np.unique(packed_columns, axis=1, return_inverse=True)
        for position in range(columns.shape[1]):
            key = columns[:, position].tobytes()
            if key not in known:
                bits = np.unpackbits(columns[:, position])[: len(room.hosts)]
                homeless = packed(room, frozenset(np.flatnonzero(bits == 0).tolist()))
                row: np.ndarray[tuple[int], np.dtype[np.bool_]] = np.ones(len(room.copies), dtype=np.bool_)
                row[list(homeless)] = False
                known[key] = row
        rows = np.stack(
            [known[columns[:, position].tobytes()] for position in range(columns.shape[1])], axis=1
        )
        result[:] = rows[:, np.asarray(inverse).reshape(-1)]
        return result

    return answer
