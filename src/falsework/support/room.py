"""Is there room for every copy that must restart, packed whole into the holes that are left?"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from falsework.engines.gates import BoolArray, OracleFunction
from falsework.engines.placing.packing import Holes, Packed, pack
from falsework.engines.placing.problem import NOWHERE
from falsework.model.domains import Domains
from falsework.model.lab import Lab
from falsework.model.parts import Node, ThingId
from falsework.model.placing import choices
from falsework.model.services import Copy, Pool, Service
from falsework.support.graph import Room

Vector = tuple[float, float, float, float]
UNBOUNDED = float("inf")
ANY_DOMAIN = NOWHERE
"""The domain of hosts for a copy that may share everything."""
MOST_STEPS = 20_000
"""Steps of the exact search for one packing before it settles for the best found."""


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
            apart=tuple(_numbers([copy.service for copy in self.copies])),
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

    def _domains(self, level: str) -> tuple[int, ...]:
        if level == "not":
            return (ANY_DOMAIN,) * len(self.hosts)
        return tuple(_numbers([self._domain(host, level) for host in self.hosts]))

    def _domain(self, host: str, level: str) -> str:
        return min(self.shared(host, level), default=host)

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
            taken = {self._domain(copy.host, level) for copy in stay}
            if taken:
                barred.update(at for at, host in enumerate(self.hosts) if self._domain(host, level) in taken)
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


def _numbers(names: Sequence[str]) -> list[int]:
    order = {name: number for number, name in enumerate(dict.fromkeys(names))}
    return [order[name] for name in names]


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """Where everything is after a loss, as far as it finds room.

    Attributes:
        host_of: by copy (position) that lost its host, or gave way and came back, the host that it is on now.
        homeless: copies that find no room, those that may be left out among them.
        gave_way: copies that still ran and were stopped to make room; those not among `homeless` came back.
        sure: whether each search came to its end; if not, a copy may be called homeless that a cleverer packing
            would house, never the other way round.
    """

    host_of: Mapping[int, int]
    homeless: frozenset[int]
    gave_way: frozenset[int]
    sure: bool


class Packer:
    """A room, ready to be asked about many losses."""

    def __init__(self, room: Room) -> None:
        self.room = room
        rules: list[list[int]] = [[group] for group in room.apart]
        domains: dict[int, tuple[int, ...]] = {}
        for group, domain in zip(room.apart, room.domain_of, strict=True):
            domains.setdefault(group, domain)
        self.domain: list[tuple[int, ...]] = [
            domains.get(group, ()) for group in range(max(room.apart, default=-1) + 1)
        ]
        for one, two, domain in room.away:
            rules[one].append(len(self.domain))
            rules[two].append(len(self.domain))
            self.domain.append(domain)
        self.rules = rules
        self.under: list[list[int]] = [[] for _ in self.domain]
        for number, those in enumerate(rules):
            for rule in those:
                self.under[rule].append(number)
        self.left = [list(free) for free in room.free]
        for number, host in enumerate(room.host_of):
            for resource, amount in enumerate(room.takes[number]):
                self.left[host][resource] -= amount

    def settle(self, lost: frozenset[int]) -> Settled:
        """Where the copies are when these hosts (positions) are gone.

        Copies that still run stay where they are; those whose host went are packed whole into the holes that are
        left, two copies of one service never in one domain. Where not all fit, copies that may be left out are left
        out first, running ones included, then the later in the file before the earlier.

        Cost:
            First-fit decreasing, which mostly settles it; else a depth-first search bounded by `MOST_STEPS`.
        """
        room = self.room
        displaced = [number for number, host in enumerate(room.host_of) if host in lost]
        if not displaced:
            return Settled(host_of={}, homeless=frozenset(), gave_way=frozenset(), sure=True)
        sure = True
        gave_way: frozenset[int] = frozenset()

        def fit(numbers: Sequence[int]) -> Mapping[int, int] | None:
            nonlocal sure
            packed = self.fit(numbers, lost, without=gave_way)
            sure = sure and (not packed.homeless or packed.least > 0)
            return None if packed.homeless else packed.bin_of

        found = fit(displaced)
        if found is not None:
            return Settled(host_of=found, homeless=frozenset(), gave_way=gave_way, sure=sure)
        needed = [number for number in displaced if not room.sheds[number]]
        out = {number for number in displaced if room.sheds[number]}
        found = fit(needed) if out else None
        if found is None:
            gave_way = frozenset(
                number
                for number, sheds in enumerate(room.sheds)
                if sheds and room.host_of[number] not in lost
            )
            out |= gave_way
            found = fit(needed) if gave_way else None
        placed: Mapping[int, int] = found or {}
        waiting = sorted(out) if found is not None else [*needed, *sorted(out)]
        homeless: set[int] = set()
        for number in waiting:
            more = fit([*placed, number])
            if more is None:
                homeless.add(number)
            else:
                placed = more
        return Settled(host_of=placed, homeless=frozenset(homeless), gave_way=gave_way, sure=sure)

    def calm(self, settled: Settled, lost: frozenset[int]) -> Mapping[int, int]:
        """Where those that found room could be with few moves, as `Settled.host_of`: the same copies find room.

        Those that gave way and came back stay on their hosts, each in the order of the file if the others still fit.
        """
        back = sorted(settled.gave_way - settled.homeless)
        others = [number for number in settled.host_of if number not in settled.gave_way]
        stay: list[int] = []
        found = settled.host_of
        for number in back:
            moving = [*others, *(each for each in back if each not in stay and each != number)]
            packed = self.fit(moving, lost, without=settled.gave_way - {*stay, number})
            if not packed.homeless:
                stay.append(number)
                found = packed.bin_of
        return {**found, **{number: self.room.host_of[number] for number in stay}}

    def fit(self, numbers: Sequence[int], lost: frozenset[int], *, without: Collection[int] = ()) -> Packed:
        """Whether all these copies fit beside those that still run: where, or nowhere.

        Args:
            numbers: of copies that are on no host: theirs is lost, or they are among `without`.
            lost: hosts that are gone.
            without: copies that would still run and do not.
        """
        room = self.room
        hosts = [at for at in range(len(room.hosts)) if at not in lost]
        left, taken = self._left(without), self._taken(numbers, lost, without)
        found = self._first_fit(numbers, hosts, [list(each) for each in left], set(taken))
        if found is not None:
            return Packed(bin_of=found, homeless=(), least=0)
        may = [[at for at in hosts if at in room.may[number]] for number in numbers] if room.may else None
        holes = Holes(
            takes=[room.takes[number] for number in numbers],
            may=may or [hosts] * len(numbers),
            rules=[self.rules[number] for number in numbers],
            domain=self.domain,
            left=left,
            taken=taken,
        )
        return pack(holes, numbers, most_out=0, steps=MOST_STEPS)

    def _first_fit(
        self,
        numbers: Sequence[int],
        hosts: Sequence[int],
        left: Sequence[list[float]],
        taken: set[tuple[int, int]],
    ) -> Mapping[int, int] | None:
        """The largest first, each where it leaves least memory; None where one finds no place so.

        Nothing but a short cut, since `pack` takes longer to set up than this takes in all.
        """
        room, found = self.room, dict[int, int]()
        for number in sorted(numbers, key=lambda each: (-room.takes[each][1], -room.takes[each][0], each)):
            cores, memory, disk, cards = room.takes[number]
            rules, may = self.rules[number], room.may[number] if room.may else None
            best = NOWHERE
            for host in hosts:
                hole = left[host]
                if (
                    (best == NOWHERE or hole[1] < left[best][1])
                    and memory <= hole[1]
                    and cores <= hole[0]
                    and disk <= hole[2]
                    and cards <= hole[3]
                    and (may is None or host in may)
                    and not any((rule, self.domain[rule][host]) in taken for rule in rules)
                ):
                    best = host
            if best == NOWHERE:
                return None
            found[number] = best
            for resource, amount in enumerate(room.takes[number]):
                left[best][resource] -= amount
            taken.update(
                (rule, self.domain[rule][best]) for rule in rules if self.domain[rule][best] != NOWHERE
            )
        return found

    def _left(self, without: Collection[int]) -> list[list[float]]:
        """What each host has left beside the copies that are on it, but for these."""
        left = [list(each) for each in self.left]
        for number in without:
            hole = left[self.room.host_of[number]]
            for resource, amount in enumerate(self.room.takes[number]):
                hole[resource] += amount
        return left

    def _taken(
        self, numbers: Sequence[int], lost: frozenset[int], without: Collection[int]
    ) -> frozenset[tuple[int, int]]:
        """Which (rule, domain) the copies hold that still run, as far as these numbers are under the rule."""
        host_of, taken = self.room.host_of, set[tuple[int, int]]()
        for rule in {rule for number in numbers for rule in self.rules[number]}:
            domain = self.domain[rule]
            for number in self.under[rule]:
                host = host_of[number]
                if host not in lost and number not in without and domain[host] != NOWHERE:
                    taken.add((rule, domain[host]))
        return frozenset(taken)

    def holes(
        self, *, without: Collection[int] = (), placed: Mapping[int, int] | None = None
    ) -> tuple[Vector, ...]:
        """What each host has left beside the copies that are on it, but for these, and those that were placed."""
        left = self._left(without)
        for number, host in (placed or {}).items():
            for resource, amount in enumerate(self.room.takes[number]):
                left[host][resource] -= amount
        return tuple((a, b, c, d) for a, b, c, d in left)


def packed(room: Room, lost: frozenset[int]) -> frozenset[int]:
    """The copies (positions) that find no room when these hosts (positions) are gone; see `Packer.settle`."""
    return Packer(room).settle(lost).homeless


def holes(room: Room, lost: frozenset[int]) -> tuple[Vector, ...]:
    """What each host has left beside the copies that still run on it; all of it on a host that is lost."""
    left = Packer(room).holes()
    return tuple(room.free[at] if at in lost else hole for at, hole in enumerate(left))


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
                homeless = packer.settle(frozenset(np.flatnonzero(bits == 0).tolist())).homeless
                row: np.ndarray[tuple[int], np.dtype[np.bool_]] = np.ones(len(room.copies), dtype=np.bool_)
                row[list(homeless)] = False
                known[key] = row
        rows = np.stack(
            [known[columns[:, position].tobytes()] for position in range(columns.shape[1])], axis=1
        )
        result[:] = rows[:, np.asarray(inverse).reshape(-1)]
        return result

    return answer
