"""After one loss: which copies restart where, which find no room and by how much, and what is left out for others?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from falsework.analyses.room.result import Amounts, Hole, Homeless, PoolLeft, Restart
from falsework.model.lab import Lab
from falsework.model.parts import ThingId
from falsework.model.services import Copy, Service
from falsework.support.graph import Room
from falsework.support.settling import SLACK, Packer, Settled
from falsework.where import Where

NOTHING: Amounts = (0.0, 0.0, 0.0, 0.0)


class Leaver:
    """One pool, ready to be asked about losses."""

    def __init__(self, lab: Lab, room: Room) -> None:
        self.lab, self.room, self.packer = lab, room, Packer(room)

    def after(self, lost: frozenset[int]) -> PoolLeft:
        """What happens when these hosts (positions) are gone."""
        room = self.room
        settled = self.packer.settle(lost)
        host_of = self.packer.calm(settled, lost)
        holes = self.packer.holes(without=settled.gave_way, placed=host_of)
        standing = [host for host in range(len(room.hosts)) if host not in lost]
        by_size = sorted(standing, key=lambda host: (-holes[host][1], -holes[host][0], host))
        return PoolLeft(
            pool=room.pool,
            gone=tuple(room.hosts[host] for host in sorted(lost)),
            restarts=tuple(
                Restart(
                    copy=room.copies[number],
                    start=room.hosts[room.host_of[number]],
                    end=room.hosts[host_of[number]],
                )
                for number in sorted(host_of)
                if host_of[number] != room.host_of[number]
            ),
            left_out=tuple(room.copies[number] for number in sorted(settled.homeless) if room.sheds[number]),
            homeless=tuple(self._homeless(lost, settled, host_of)),
            holes=tuple(Hole(host=room.hosts[host], left=holes[host]) for host in by_size),
            sure=settled.sure,
        )

    def overfull(self, lost: frozenset[int]) -> Iterator[Hole]:
        """Hosts on which more runs than they have, those that are gone left out."""
        for host, left in enumerate(self.packer.holes()):
            if host not in lost and min(left) < -SLACK:
                yield Hole(host=self.room.hosts[host], left=left)

    def _homeless(
        self, lost: frozenset[int], settled: Settled, host_of: Mapping[int, int]
    ) -> Iterator[Homeless]:
        """Why each copy that may not be left out finds no room."""
        room = self.room
        numbers = [number for number in sorted(settled.homeless) if not room.sheds[number]]
        if not numbers:
            return
        firm = {number: host for number, host in host_of.items() if not room.sheds[number]}
        left = self.packer.holes(without=settled.gave_way, placed=firm)
        helped = self._helped(lost)
        for number in numbers:
            hosts = [
                host
                for host in range(len(room.hosts))
                if host not in lost and (not room.may or host in room.may[number])
            ]
            takes = room.takes[number]
            largest = _largest([left[host] for host in hosts])
            free = _together([left[host] for host in hosts])
            give = self._give(number, hosts, left, self._where_firm(lost, settled, firm))
            yield Homeless(
                copy=room.copies[number],
                service=self._service(number),
                takes=takes,
                largest=largest,
                missing=_less(takes, largest),
                free=free,
                reason=_reason(takes, [left[host] for host in hosts], largest, free),
                helped=helped,
                alone=any(_fits(takes, room.free[host]) for host in hosts),
                give=room.hosts[give] if give is not None else "",
                lacks=_less(takes, left[give]) if give is not None else NOTHING,
                where=self._where(number),
            )

    def _where_firm(
        self, lost: frozenset[int], settled: Settled, firm: Mapping[int, int]
    ) -> Mapping[int, int]:
        """Where everything is that neither gave way nor found no room, those left out that came back left out."""
        running = {
            number: host
            for number, host in enumerate(self.room.host_of)
            if host not in lost and number not in settled.gave_way
        }
        return {**running, **firm}

    def _give(
        self, number: int, hosts: Sequence[int], left: Sequence[Amounts], where: Mapping[int, int]
    ) -> int | None:
        """The host that lacks least for a copy, of those where nothing runs that it must be apart from."""
        takes, packer = self.room.takes[number], self.packer
        best: tuple[float, int] | None = None
        for host in hosts:
            if packer.clashes(number, host, where):
                continue
            lacks = _less(takes, left[host])
            share = sum(lack / take for lack, take in zip(lacks, takes, strict=True) if take)
            if best is None or (share, host) < best:
                best = (share, host)
        return best[1] if best is not None else None

    def _helped(self, lost: frozenset[int]) -> bool | None:
        """Whether all that may not be left out would fit if everything were packed anew."""
        firm = [number for number, sheds in enumerate(self.room.sheds) if not sheds]
        running = [number for number, host in enumerate(self.room.host_of) if host not in lost]
        packed = self.packer.fit(firm, lost, without=running)
        if not packed.homeless:
            return True
        return False if packed.least > 0 else None

    def _service(self, number: int) -> str:
        copy = self.lab.things.get(ThingId(self.room.copies[number]))
        return copy.service if isinstance(copy, Copy) else ""

    def _where(self, number: int) -> Where | None:
        service = self.lab.things.get(ThingId(self._service(number)))
        return service.place("takes") if isinstance(service, Service) else None


def _largest(left: Sequence[Amounts]) -> Amounts:
    """Of each resource the most that any one host has left; nothing where there is no host."""
    cores, memory, disk, cards = (max(each[at] for each in (*left, NOTHING)) for at in range(4))
    return cores, memory, disk, cards


def _together(left: Sequence[Amounts]) -> Amounts:
    """Of each resource what the hosts have left together."""
    cores, memory, disk, cards = (sum(max(each[at], 0.0) for each in left) for at in range(4))
    return cores, memory, disk, cards


def _less(takes: Amounts, has: Amounts) -> Amounts:
    cores, memory, disk, cards = (max(take - have, 0.0) for take, have in zip(takes, has, strict=True))
    return cores, memory, disk, cards


def _reason(takes: Amounts, left: Sequence[Amounts], largest: Amounts, free: Amounts) -> str:
    if not left:
        return "nowhere"
    if any(_fits(takes, each) for each in left):
        return "apart"
    if any(_less(takes, free)):
        return "short"
    return "pieces" if any(_less(takes, largest)) else "mixed"


def _fits(takes: Amounts, has: Amounts) -> bool:
    return all(take <= have + SLACK for take, have in zip(takes, has, strict=True))
