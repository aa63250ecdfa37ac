"""How many more copies of a kind can a pool take so that after every loss there is still room for all?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain, combinations_with_replacement, islice

from falsework.support.graph import Room
from falsework.support.room import ANY_DOMAIN
from falsework.support.settling import SLACK, Packer, Vector

MOST_MORE = 100
"""Nobody wants to know of more copies than this."""
MOST_PACKINGS = 4_000
"""Packings that are tried for one count before it is left open."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Adding:
    """What is added to a room.

    Attributes:
        takes: of one copy.
        like: a copy (position) of the service of which it is one; -1 for something of its own that may share all.
    """

    takes: Vector
    like: int = -1


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted:
    """How many fit.

    Attributes:
        least: so many do, on these hosts (positions).
        hosts: one for each.
        most: more than so many do not; None where that was not found out.
    """

    least: int
    hosts: tuple[int, ...]
    most: int | None


def count_more(
    room: Room, adding: Adding, losses: Sequence[frozenset[int]], *, out: frozenset[int] = frozenset()
) -> Counted:
    """How many copies can be added, those that are there staying where they are.

    After each loss every copy that may not be left out must find room, as `Packer.settle` finds it; what may be
    left out may be. If some number can be added, any smaller can: take away new copies, and what was placed still is.

    Args:
        room: with all its copies.
        adding: what is added.
        losses: of hosts (positions), those that are out already among them.
        out: hosts that are out already; new copies go elsewhere.

    Cost:
        Placed evenly, then doubled and halved; that no more fit is shown by one loss with the new copies set
        free, or by trying all ways to place one more, up to `MOST_PACKINGS`.
    """
    counting = _Counting(room, adding, losses, out)
    if not counting.keeps(()):
        return Counted(least=0, hosts=(), most=0)
    low, high, hosts = 0, 1, tuple[int, ...]()
    while high <= MOST_MORE and (found := counting.evenly(high)) is not None:
        low, hosts, high = high, found, high * 2
    high = min(high, MOST_MORE + 1)
    while high - low > 1:
        middle = (low + high) // 2
        found = counting.evenly(middle)
        if found is None:
            high = middle
        else:
            low, hosts = middle, found
    while low < MOST_MORE:
        if counting.too_many(low + 1):
            return Counted(least=low, hosts=hosts, most=low)
        better = counting.somehow(low + 1, hosts)
        if better is None:
            return Counted(least=low, hosts=hosts, most=low if counting.exhausted else counting.bound(low))
        low, hosts = low + 1, better
    return Counted(least=low, hosts=hosts, most=None)


class _Counting:
    """One room, one kind of copy."""

    def __init__(
        self, room: Room, adding: Adding, losses: Sequence[frozenset[int]], out: frozenset[int]
    ) -> None:
        self.room, self.adding, self.out = room, adding, out
        self.losses = sorted({out, *losses}, key=lambda lost: (-len(lost), sorted(lost)))
        self.sheds = adding.like >= 0 and room.sheds[adding.like]
        self.hosts = [
            host
            for host in range(len(room.hosts))
            if host not in out and (adding.like < 0 or not room.may or host in room.may[adding.like])
        ]
        self.exhausted, self.sure = False, True

    def with_(self, hosts: Sequence[int]) -> Room:
        """The room with new copies on these hosts."""
        room, like = self.room, self.adding.like
        n, more = len(room.copies), len(hosts)
        new = range(n, n + more)
        group = room.apart[like] if like >= 0 else max(room.apart, default=-1) + 1
        domain = room.domain_of[like] if like >= 0 else (ANY_DOMAIN,) * len(room.hosts)
        may = (room.may[like] if like >= 0 else frozenset(range(len(room.hosts))),) if room.may else ()
        pairs = [each for each in room.away if like in each[:2]] if like >= 0 else []
        return replace(
            room,
            copies=(*room.copies, *(f"new {number}" for number in new)),
            host_of=(*room.host_of, *hosts),
            takes=(*room.takes, *((self.adding.takes,) * more)),
            apart=(*room.apart, *((group,) * more)),
            domain_of=(*room.domain_of, *((domain,) * more)),
            sheds=(*room.sheds, *((self.sheds,) * more)),
            may=(*room.may, *(may * more)),
            away=(
                *room.away,
                *(
                    (number if one == like else one, number if two == like else two, far)
                    for one, two, far in pairs
                    for number in new
                ),
            ),
        )

    def keeps(self, hosts: Sequence[int]) -> bool:
        """Whether with new copies on these hosts nothing is broken today, and all find room after every loss."""
        whole = self.with_(hosts)
        packer = Packer(whole)
        new = range(len(self.room.copies), len(whole.copies))
        if new and not self._lawful(packer, new):
            return False
        return all(self._settles(packer, lost) for lost in self.losses)

    def _lawful(self, packer: Packer, new: Sequence[int]) -> bool:
        """Whether the new copies fit where they are put while nothing is lost."""
        room, where = packer.room, dict(enumerate(packer.room.host_of))
        for number in new:
            host = room.host_of[number]
            if any(
                left < -SLACK
                for left, take in zip(packer.left[host], room.takes[number], strict=True)
                if take
            ):
                return False
            if packer.clashes(number, host, where):
                return False
        return True

    def _settles(self, packer: Packer, lost: frozenset[int]) -> bool:
        """Whether all that may not be left out find room."""
        room = packer.room
        needed = [
            number for number, host in enumerate(room.host_of) if host in lost and not room.sheds[number]
        ]
        if not needed:
            return True
        packed = packer.fit(needed, lost)
        running = [
            number for number, host in enumerate(room.host_of) if host not in lost and room.sheds[number]
        ]
        if packed.homeless and running:
            packed = packer.fit(needed, lost, without=running)
        self.sure = self.sure and (not packed.homeless or packed.least > 0)
        return not packed.homeless

    def evenly(self, count: int) -> tuple[int, ...] | None:
        """Hosts for so many, each on the one with most memory left that may; None where that breaks something."""
        whole = self.with_([])
        hosts: list[int] = []
        left = [list(each) for each in Packer(whole).left]
        may = _Company(self)
        for _ in range(count):
            host = max(
                (
                    host
                    for host in self.hosts
                    if may(host, hosts)
                    and all(take <= have for take, have in zip(self.adding.takes, left[host], strict=True))
                ),
                key=lambda host: (left[host][1], left[host][0], -host),
                default=None,
            )
            if host is None:
                return None
            hosts.append(host)
            for resource, take in enumerate(self.adding.takes):
                left[host][resource] -= take
        return tuple(hosts) if self.keeps(hosts) else None

    def too_many(self, count: int) -> bool:
        """Whether one loss shows that so many do not fit, wherever they are put: they are set free after it."""
        whole = self.with_([self.hosts[0]] * count) if self.hosts else None
        if whole is None:
            return True
        packer = Packer(whole)
        new = list(range(len(self.room.copies), len(whole.copies)))
        for lost in self.losses:
            if lost != self.out and self.sheds:
                continue
            needed = [
                number
                for number, host in enumerate(self.room.host_of)
                if host in lost and not whole.sheds[number]
            ]
            running = (
                [n for n, host in enumerate(self.room.host_of) if host not in lost and whole.sheds[n]]
                if lost
                else []
            )
            if packer.fit([*needed, *new], lost, without=[*new, *running]).least > 0:
                return True
        return False

    def somehow(self, count: int, hosts: Sequence[int]) -> tuple[int, ...] | None:
        """Hosts for so many, one more than on `hosts`: that first, then all ways, as far as they are tried."""
        one_more: Iterator[tuple[int, ...]] = ((*hosts, host) for host in self.hosts)
        every = combinations_with_replacement(self.hosts, count)
        most = MOST_PACKINGS // len(self.losses)
        ways = islice(chain(one_more, every), most)
        tried, self.sure = 0, True
        for chosen in ways:
            if self.keeps(chosen):
                return chosen
            tried += 1
        self.exhausted = self.sure and tried < most
        return None

    def bound(self, low: int) -> int | None:
        """A number that is shown to be as many as fit at most."""
        for count in range(low + 2, MOST_MORE + 1):
            if self.too_many(count):
                return count - 1
        return None


class _Company:
    """Whether a host may take one new copy more, by what is to be kept apart."""

    def __init__(self, counting: _Counting) -> None:
        self.packer = Packer(counting.with_(counting.hosts[:1]))
        self.new = len(counting.room.copies)

    def __call__(self, host: int, hosts: Sequence[int]) -> bool:
        """With other new copies on these hosts."""
        packer, room = self.packer, self.packer.room
        for rule in packer.rules[self.new]:
            domain = packer.domain[rule]
            held = [room.host_of[other] for other in packer.under[rule] if other != self.new]
            if rule == room.apart[self.new]:
                held.extend(hosts)
            if domain[host] != ANY_DOMAIN and any(domain[each] == domain[host] for each in held):
                return False
        return True
