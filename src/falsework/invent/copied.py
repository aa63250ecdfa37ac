"""What would such a lab look like with so many copies on its pools?

The same lab as `sized.invent` gives for the same size and seed, and more services on its pools: one to five copies each,
apart by node or by enclosure, so large that about two thirds of the memory of the pools are used. Most say where their
copies run; a few of those are placed as nobody should: two copies in one enclosure, or many on one host.
"""

from __future__ import annotations

import random
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from falsework.errors import QuestionError
from falsework.invent.sized import LEAST, MOST, InventedLab, Pool

_GIB = 1024  # MiB
_KEPT_FREE_GIB = 8  # as the pools of an invented lab say
_STEP_MIB = 64
_COUNTS = (1, 1, 2, 2, 2, 2, 3, 3, 4, 5)
_WEIGHTS = (1, 1, 2, 2, 3, 4, 6, 8)
_PLACED, _POOR, _CROWDED = 0.75, 0.06, 0.9
"""The share of services that say where they run; of poor ones among those; how full a crowded host is."""
_WORDS = ("barn", "byre", "coop", "fold", "hive", "loft", "mews", "nest", "pen", "roost")


def invent_copied(nodes: int, copies: int, seed: int = 0) -> str:
    """The text of an invented lab with so many copies on its pools.

    Args:
        nodes: how many computers it has, 3 to 10,000.
        copies: how many copies its pools run in all.
        seed: another seed, another lab.

    Returns:
        A lab file that loads without a fault and stands while nothing is lost.

    Raises:
        QuestionError: `nodes` is out of bounds, or the pools of such a lab run more copies in any case, or can't run
            so many.
    """
    if not LEAST <= nodes <= MOST:
        raise QuestionError(
            what=f"a lab of {nodes:,} nodes can't be invented", mend=f"ask for {LEAST} to {MOST:,} nodes"
        )
    lab = _CopiedLab(nodes, copies, seed)
    least, most = lab.bounds
    if not least <= copies <= most:
        raise QuestionError(
            what=f"{copies:,} copies on the pools of {nodes:,} nodes can't be invented",
            mend=f"ask for {least:,} to {most:,} copies",
        )
    return "\n".join(lab.lines()) + "\n"


@dataclass(slots=True)
class _Room:
    """A host, and what is left of it."""

    name: str
    enclosure: str
    memory: int  # MiB
    cores: int


@dataclass(frozen=True, slots=True, kw_only=True)
class _Herd:
    """Copies of one service, before it is known how large one is."""

    name: str
    count: int
    weight: int
    cores: int
    apart: str


class _CopiedLab(InventedLab):
    def __init__(self, nodes: int, copies: int, seed: int) -> None:
        super().__init__(nodes, seed)
        self.copies = copies
        self.fold = random.Random(f"{nodes} nodes, {copies} copies, seed {seed}")
        self.memory_gib = self.cores = 0
        self.there: dict[str, int] = dict.fromkeys((pool.name for pool in self.pools), 0)
        for service in self.services:
            if service.pool:
                self.there[service.pool] += _count(service.text)

    @property
    def bounds(self) -> tuple[int, int]:
        """The fewest copies and the most: those that are there in any case, and five for each eight shared cores."""
        hosts = sum(len(_hosts(pool)) for pool in self.pools)
        cores = 16 if self.pools[0].twins else 8
        return sum(self.there.values()), max(sum(self.there.values()), hosts * cores * 3 * 5 // 8)

    def _kinds(self) -> Iterable[str]:
        of = "sled" if self.pools[0].twins else "box"
        for line in super()._kinds():
            found = re.match(rf"{of}: .*cores: (\d+), memory: (\d+) GiB", line)
            if found:
                self.cores, self.memory_gib = int(found[1]), int(found[2])
            yield line

    def _service_lines(self) -> Iterable[str]:
        yield from super()._service_lines()
        yield "# What else runs on the pools."
        left = self.copies - sum(self.there.values())
        hosts = {pool.name: len(_hosts(pool)) for pool in self.pools}
        behind = sum(hosts.values())
        for pool in self.pools:
            share = left * hosts[pool.name] // behind
            left, behind = left - share, behind - hosts[pool.name]
            yield from self._of(pool, share)

    def _of(self, pool: Pool, copies: int) -> Iterator[str]:
        """The services of one pool."""
        rooms = [
            _Room(host, host.rpartition(".")[0], (self.memory_gib - _KEPT_FREE_GIB) * _GIB, self.cores * 3)
            for host in _hosts(pool)
        ]
        if not pool.twins:
            for room in rooms:
                room.enclosure = room.name
        enclosures = len({room.enclosure for room in rooms})
        herds = list(self._herds(pool, copies, len(rooms), enclosures))
        has = sum(room.memory for room in rooms)
        # Where there are few enclosures, what one held is much for the others.
        share = min(self.fold.uniform(0.60, 0.68), 0.8 * (enclosures - 1) / enclosures or 0.4)
        taken = sum(self._takes(pool))
        unit = max(0.0, has * share - taken) / max(1, sum(herd.weight * herd.count for herd in herds))
        poor = self._poor(rooms, herds)
        for number, herd in enumerate(herds):
            size = max(_STEP_MIB, min(int(unit * herd.weight), rooms[0].memory // 4) // _STEP_MIB * _STEP_MIB)
            placed = ""
            if number in poor or self.fold.random() < _PLACED:
                at = self._placed(rooms, herd, size, poor.get(number))
                placed = f", placed: [{', '.join(at)}]" if at else ""
            needs = self.fold.choice(("sign-in for 8 h", "names for 5 min", ""))
            yield (
                f"{herd.name}: {{copies: {herd.count}, on: {pool.name}{herd.apart and f', apart: {herd.apart}'}{placed}, "
                f"takes: {_cores(herd.cores)} {_memory(size)}{needs and f', needs: {{to run: [{needs}]}}'}}}"
            )

    def _herds(self, pool: Pool, copies: int, hosts: int, enclosures: int) -> Iterator[_Herd]:
        number = 0
        while copies:
            number += 1
            count = min(self.fold.choice(_COUNTS), copies, max(1, hosts - 1))
            copies -= count
            apart = ""
            if count > 1:
                wide = count < enclosures and self.fold.random() < 0.6
                apart = "enclosure" if wide and pool.twins else "node"
            word = self.fold.choice(_WORDS)
            yield _Herd(
                name=f"{word}-{pool.name[5:]}.{number}",
                count=count,
                weight=self.fold.choice(_WEIGHTS),
                cores=self.fold.choice((1, 1, 1, 2)),
                apart=apart,
            )

    def _poor(self, rooms: list[_Room], herds: list[_Herd]) -> dict[int, str]:
        """Services that are placed as nobody should, each with the host or the enclosure that it is crowded into."""
        some = self.fold.sample(range(len(herds)), round(len(herds) * _POOR))
        crowded = self.fold.choice(rooms)
        pairs = [room.enclosure for room in rooms if room.name != room.enclosure]
        return {
            number: self.fold.choice(pairs)
            if pairs and herds[number].count > 1 and herds[number].apart == "node"
            else crowded.name
            for number in some
        }

    def _takes(self, pool: Pool) -> Iterator[int]:
        """What the copies that are there in any case take, MiB."""
        for service in self.services:
            if service.pool == pool.name:
                found = re.search(r"takes: \d+ cores? (\d+) GiB", service.text)
                yield _count(service.text) * (int(found[1]) * _GIB if found else 0)

    def _placed(self, rooms: list[_Room], herd: _Herd, size: int, into: str | None) -> list[str]:
        """Hosts for the copies of a service: the emptiest, or first those of a crowd; none where it has no room."""
        found: list[_Room] = []
        full = (1 - _CROWDED) * (self.memory_gib - _KEPT_FREE_GIB) * _GIB
        for _ in range(herd.count):
            held = {room.enclosure if herd.apart == "enclosure" else room.name for room in found}
            free = [
                room
                for room in rooms
                if room.memory >= size
                and room.cores >= herd.cores
                and (room.enclosure if herd.apart == "enclosure" else room.name) not in held
            ]
            crowd = [
                room for room in free if into in (room.name, room.enclosure) and room.memory - size >= full
            ]
            if not free:
                break
            best = crowd[0] if crowd else max(free, key=lambda room: room.memory)
            found.append(best)
        if len(found) < herd.count:
            return []
        for room in found:
            room.memory -= size
            room.cores -= herd.cores
        return [room.name for room in found]


def _count(text: str) -> int:
    found = re.search(r"copies: (\d+)", text)
    return int(found[1]) if found else 0


def _hosts(pool: Pool) -> list[str]:
    racks = range(pool.first, pool.last + 1)
    if pool.twins:
        return [
            f"twin-{rack}.{twin}.{sled}"
            for rack in racks
            for twin in range(1, pool.twins + 1)
            for sled in "ab"
        ]
    return [f"box-{rack}.{box}" for rack in racks for box in range(1, pool.boxes + 1)]


def _cores(count: int) -> str:
    return "1 core" if count == 1 else f"{count} cores"


def _memory(mib: int) -> str:
    return f"{mib // _GIB} GiB" if mib % _GIB == 0 else f"{mib} MiB"
