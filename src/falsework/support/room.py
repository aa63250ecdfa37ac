"""Is there room for every copy that must restart, packed whole into the holes that are left?"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import product

import numpy as np

from falsework.engines.gates import BoolArray, OracleFunction
from falsework.engines.placing.problem import NOWHERE
from falsework.model.domains import Domains, numbered, own_domain
from falsework.model.lab import Lab
from falsework.model.parts import Node, ThingId
from falsework.model.placing import choices
from falsework.model.services import Copy, Pool, Service
from falsework.support.graph import Room
from falsework.support.settling import Packer, Vector

UNBOUNDED = float("inf")
ANY_DOMAIN = NOWHERE
"""The domain of hosts for a copy that may share everything."""
FEW, STEPS_FOR_FEW = 8, 4_000
"""The oracle, which is asked about thousands of losses, searches with so many steps where so few copies lost their host;
with more it takes what is found without a search: a copy may then be called homeless that a cleverer packing would
house, never the other way round."""


def rooms(lab: Lab, shared: Domains) -> tuple[Room, ...]:
    """Every pool whose copies say what they take.

    Copies that no pool restarts stay on their hosts, and so do those of other pools on the same hosts: what they
    take is not free, and a copy that is to be apart or away from one of them goes nowhere near its host, even where
    a loss takes that host away too. That errs on the careful side.
    """
    pools = {pool.id: pool for pool in lab.of(Pool)}
    if not pools:
        return ()
    by_pool: dict[str, list[Copy]] = {name: [] for name in pools}
    by_host: dict[str, list[Copy]] = {}
    by_service: dict[str, list[Copy]] = {}
    for copy in lab.of(Copy):
        by_host.setdefault(copy.host, []).append(copy)
        by_service.setdefault(copy.service, []).append(copy)
        if copy.pool in by_pool:
            by_pool[copy.pool].append(copy)
    makers = (_Maker(lab, shared, pool, by_pool[name], by_host, by_service) for name, pool in pools.items())
    return tuple(maker.room() for maker in makers if maker.is_sized())


class _Maker:
    """One pool being written as a room."""

    def __init__(
        self,
        lab: Lab,
        shared: Domains,
        pool: Pool,
        copies: Sequence[Copy],
        by_host: Mapping[str, Sequence[Copy]],
        by_service: Mapping[str, Sequence[Copy]],
    ) -> None:
        self.lab, self.shared, self.pool, self.copies = lab, shared, pool, copies
        self.by_host, self.by_service = by_host, by_service
        self.hosts = pool.hosts.ids if pool.hosts else ()
        self.services = [lab.things[ThingId(copy.service)] for copy in copies]
        self.takes = [_takes(service) for service in self.services]

    def is_sized(self) -> bool:
        """Whether any copy says what it takes."""
        return any(any(each) for each in self.takes)

    def room(self) -> Room:
        """The room of the pool."""
        levels = [service.apart if isinstance(service, Service) else "not" for service in self.services]
        return Room(
            pool=self.pool.id,
            hosts=self.hosts,
            free=tuple(self._free(host) for host in self.hosts),
            copies=tuple(copy.id for copy in self.copies),
            host_of=tuple(self.hosts.index(copy.host) for copy in self.copies),
            takes=tuple(self.takes),
            apart=self._groups(),
            domain_of=tuple(self._domains(level) for level in levels),
            sheds=tuple(isinstance(service, Service) and service.sheds for service in self.services),
            may=self._may(),
            away=tuple(self._away()),
        )

    def _free(self, name: str) -> Vector:
        """What a host has for the pool's copies, in whole bytes; a figure that nobody gave binds nothing."""
        host, pool = self.lab.things[ThingId(name)], self.pool
        if not isinstance(host, Node):
            return (0.0, 0.0, 0.0, 0.0)
        fixed = [0.0] * 4
        for copy in self.by_host.get(name, ()):
            if copy.pool == pool.id:
                continue
            for resource, amount in enumerate(_takes(self.lab.things[ThingId(copy.service)])):
                fixed[resource] += amount
        cores = host.cores * (pool.cores_shared or 1.0) - fixed[0] if host.cores else UNBOUNDED
        memory = math.floor(host.memory - (pool.keeps_free or 0.0)) - fixed[1] if host.memory else UNBOUNDED
        disk = math.floor(host.disk) - fixed[2] if host.disk and pool.store is None else UNBOUNDED
        return (max(cores, 0.0), max(memory, 0.0), max(disk, 0.0), max(host.accelerators - fixed[3], 0.0))

    def _groups(self) -> tuple[int, ...]:
        """The copies of one service have one number."""
        order: dict[str, int] = {}
        return tuple(order.setdefault(copy.service, len(order)) for copy in self.copies)

    def _domains(self, level: str) -> tuple[int, ...]:
        if level == "not":
            return (ANY_DOMAIN,) * len(self.hosts)
        return numbered(self.shared, self.hosts, level)

    def _may(self) -> tuple[frozenset[int], ...]:
        """The hosts that have what a copy wants, and no copy beside which it may not be and that stays."""
        able: dict[str, frozenset[int]] = {}
        whole = frozenset(range(len(self.hosts)))
        open_to: Mapping[str, tuple[tuple[str, ...], ...]] = {}
        if any(isinstance(each, Service) and each.wants for each in self.services):
            open_to = choices(self.lab.things)
        found = []
        for copy, service in zip(self.copies, self.services, strict=True):
            if copy.service not in able:
                able[copy.service] = whole - self._barred(service)
            hosts = able[copy.service]
            if isinstance(service, Service) and service.wants:
                wanted = set(open_to[copy.service][copy.number])
                hosts = frozenset(at for at in hosts if self.hosts[at] in wanted)
            found.append(hosts)
        return () if all(hosts == whole for hosts in found) else tuple(found)

    def _barred(self, service: object) -> frozenset[int]:
        """Hosts that share too much with a copy that no packing of this pool moves."""
        if not isinstance(service, Service):
            return frozenset()
        company = [(str(service.id), service.apart)] if service.apart != "not" else []
        company.extend((other, each.in_) for each in service.away_from for other in each.of.ids)
        barred: set[int] = set()
        for other, level in company:
            stay = [copy for copy in self.by_service.get(other, ()) if copy.pool != self.pool.id]
            taken = {own_domain(self.shared, copy.host, level) for copy in stay}
            if taken:
                barred.update(
                    at for at, host in enumerate(self.hosts) if own_domain(self.shared, host, level) in taken
                )
        return frozenset(barred)

    def _away(self) -> Iterable[tuple[int, int, tuple[int, ...]]]:
        """Each pair of copies of the pool of which one is to be away from the other."""
        of: dict[str, list[int]] = {}
        for number, copy in enumerate(self.copies):
            of.setdefault(copy.service, []).append(number)
        for name, numbers in of.items():
            service = self.lab.things[ThingId(name)]
            for company in service.away_from if isinstance(service, Service) else ():
                domain = self._domains(company.in_)
                for other in company.of.ids:
                    yield from ((one, two, domain) for one, two in product(numbers, of.get(other, ())))


def _takes(service: object) -> Vector:
    if not isinstance(service, Service) or service.takes is None:
        return (0.0, 0.0, 0.0, 0.0)
    size = service.takes
    memory, disk = math.ceil(size.memory or 0.0), math.ceil(size.disk or 0.0)
    return (float(size.cores or 0), float(memory), float(disk), float(size.accelerators))


def only(room: Room, kept: Sequence[int]) -> Room:
    """The room of some of its copies (positions, ascending): the others are not there."""
    number = {old: new for new, old in enumerate(kept)}
    return replace(
        room,
        copies=tuple(room.copies[each] for each in kept),
        host_of=tuple(room.host_of[each] for each in kept),
        takes=tuple(room.takes[each] for each in kept),
        apart=tuple(room.apart[each] for each in kept),
        domain_of=tuple(room.domain_of[each] for each in kept),
        sheds=tuple(room.sheds[each] for each in kept),
        may=tuple(room.may[each] for each in kept) if room.may else (),
        away=tuple(
            (number[one], number[two], domain)
            for one, two, domain in room.away
            if one in number and two in number
        ),
    )


def packed(room: Room, lost: frozenset[int]) -> frozenset[int]:
    """The copies (positions) that find no room when these hosts (positions) are gone; see `Packer.settle`."""
    return Packer(room).settle(lost).homeless


def oracle(room: Room) -> OracleFunction:
    """The packing as a function of which hosts stand, one column a scenario.

    Rows in: hosts. Rows out: copies, true where the copy runs or finds room.

    Losing one more host never enlarges a hole, so "all find room" is monotone, but for two odd cases: a copy
    that was homeless because an earlier one took the last hole may find room when one more loss makes the
    earlier one homeless; and a copy that runs may stand in the way of one kept apart from it, until its own
    host goes and both are placed anew. Pairs count such a copy as homeless, the careful reading.
    """
    known: dict[bytes, np.ndarray[tuple[int], np.dtype[np.bool_]]] = {}
    packer = Packer(room)

    def answer(stands: BoolArray) -> BoolArray:
        result: BoolArray = np.ones((len(room.copies), stands.shape[1]), dtype=np.bool_)
        packed_columns = np.packbits(stands, axis=0)
        columns, inverse = np.unique(packed_columns, axis=1, return_inverse=True)
        for position in range(columns.shape[1]):
            key = columns[:, position].tobytes()
            if key not in known:
                bits = np.unpackbits(columns[:, position])[: len(room.hosts)]
                lost = frozenset(np.flatnonzero(bits == 0).tolist())
                few = sum(1 for host in room.host_of if host in lost) <= FEW
                homeless = packer.settle(lost, steps=STEPS_FOR_FEW if few else 0).homeless
                row: np.ndarray[tuple[int], np.dtype[np.bool_]] = np.ones(len(room.copies), dtype=np.bool_)
                row[list(homeless)] = False
                known[key] = row
        rows = np.stack(
            [known[columns[:, position].tobytes()] for position in range(columns.shape[1])], axis=1
        )
        result[:] = rows[:, np.asarray(inverse).reshape(-1)]
        return result

    return answer
