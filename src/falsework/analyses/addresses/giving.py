"""Which address does everybody on a network get?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from falsework.analyses.addresses.members import Member, holds
from falsework.analyses.addresses.result import Block, Trouble
from falsework.engines.addressing.prefixes import addresses, usable
from falsework.engines.addressing.spans import Span, count, highest_run, inside, numbers, without
from falsework.engines.addressing.special import Prefix
from falsework.errors import counted, few
from falsework.model.lab import Lab
from falsework.model.parts import Network, ThingId
from falsework.model.rules import address_range

KEEPS_ONE = 6
"""Hosts that a subnet must have before one is kept for a way out of which nobody says anything."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Handed:
    """What was given on one network.

    Attributes:
        blocks: of version 4, in the order of their addresses.
        way_out: the address that leads out, as (number, version); None if there is none.
        troubles: who got none.
    """

    blocks: tuple[Block, ...]
    way_out: tuple[int, int] | None
    troubles: tuple[Trouble, ...]


def hand_out(
    lab: Lab,
    network: Network,
    there: dict[str, Member],
    services: Mapping[int, Mapping[int, str]],
    four: Prefix | None,
    six: Prefix | None,
) -> Handed:
    """Give addresses to everybody who lacks one, and note them at the members.

    What is there already is never changed. What is new takes the lowest address of the fixed block that nobody has,
    in lab order.

    Args:
        lab: the lab.
        network: of which.
        there: who is on it; new addresses are added to them, and a member for a way out that has none.
        services: by version the addresses on it that are said at services, with whose they are.
        four: its subnet of version 4.
        six: its subnet of version 6.
    """
    hand = _Hand(lab, network, there, services, four, six)
    hand.give()
    return Handed(blocks=hand.blocks(), way_out=hand.way_out, troubles=tuple(hand.troubles))


class _Hand:
    """The addresses of one network while they are given."""

    def __init__(
        self,
        lab: Lab,
        network: Network,
        there: dict[str, Member],
        services: Mapping[int, Mapping[int, str]],
        four: Prefix | None,
        six: Prefix | None,
    ) -> None:
        self.troubles: list[Trouble] = []
        self.way_out: tuple[int, int] | None = None
        self._lab, self._network, self._there = lab, network, there
        self._four, self._six = four, six
        self._used: dict[int, dict[int, str]] = {
            version: dict(services.get(version, {})) for version in (4, 6)
        }
        for member in there.values():
            for number, version, _, _ in member.has:
                self._used[version][number] = member.thing
        self._span: Span | None = usable(four) if four is not None else None
        self._reserved = self._range("reserved")
        self._pool = self._range("pool")
        self._said = self._range("fixed")
        self._first: str | None = None
        self._find_way_out(services)
        self._make_pool()
        self._fixed: tuple[Span, ...] = self._fixed_spans()

    # -- blocks ---------------------------------------------------------------------------------------

    def _range(self, key: str) -> Span | None:
        text = getattr(self._network, key)
        if not text or self._four is None:
            return None
        low, high = address_range(text, str(self._four))
        return int(low), int(high)

    def _find_way_out(self, services: Mapping[int, Mapping[int, str]]) -> None:
        """The address that leads out: what the named one has, or gets, else the first, kept for one."""
        out = self._network.way_out
        name = out.ids[0] if out is not None and out.ids else None
        if name is not None:
            for version in (4, 6):
                at = [number for number, of in self._used[version].items() if of == name]
                if at:
                    self.way_out = (min(at), version)
                    return
            if name not in self._there:
                thing = self._lab.things[ThingId(name)]
                self._there[name] = Member(thing=name, what="way out", where=thing.where)
            self._first = name
        if self._span is None:
            return
        low, high = self._span
        kept = [each for each in (self._reserved, self._pool) if each is not None]
        roomy = high - low + 1 >= KEEPS_ONE and self._said is None
        if low not in self._used[4] and not inside(low, kept) and (name is not None or roomy):
            self.way_out = (low, 4)

    def _make_pool(self) -> None:
        """Where nobody says which addresses are given out on request, those at the upper end are."""
        wanted = self._network.pool_for
        if self._pool is not None or not wanted or self._span is None:
            return
        taken: list[Span] = [(number, number) for number in self._used[4]]
        taken.extend(each for each in (self._reserved, self._said) if each is not None)
        self._pool = highest_run(without([self._span], (*taken, *self._out())), wanted)
        if self._pool is None:
            self.troubles.append(
                Trouble(
                    things=(self._network.id,),
                    network=self._network.id,
                    says=f"{self._network.id} has no {wanted:,} addresses in a row left for its pool",
                    mend="give it a larger subnet, lower `pool for`, or say `pool` yourself",
                    where=self._network.place("pool_for"),
                )
            )

    def _fixed_spans(self) -> tuple[Span, ...]:
        if self._span is None:
            return ()
        taken = [each for each in (self._reserved, self._pool) if each is not None]
        return without([self._said or self._span], (*taken, *self._out()))

    def _out(self) -> tuple[Span, ...]:
        """The address of version 4 that leads out, as a span; nothing where there is none."""
        if self.way_out is None or self.way_out[1] != 4:
            return ()
        return ((self.way_out[0], self.way_out[0]),)

    def blocks(self) -> tuple[Block, ...]:
        """The blocks of version 4 as they are now; the address that leads out parts the one in which it lies."""
        out = self._out()
        kinds: list[tuple[str, Sequence[Span], bool]] = [("fixed", self._fixed, self._said is not None)]
        if self._pool is not None:
            kinds.append(("pool", (self._pool,), bool(self._network.pool)))
        if self._reserved is not None:
            kinds.append(("reserved", (self._reserved,), True))
        found = [
            self._block(kind, span, said=said) for kind, spans, said in kinds for span in without(spans, out)
        ]
        found.extend(self._block("way out", span, said=span[0] in self._used[4]) for span in out)
        return tuple(sorted(found, key=lambda each: each.first))

    def _block(self, kind: str, span: Span, *, said: bool) -> Block:
        used = sum(1 for number in self._used[4] if span[0] <= number <= span[1])
        return Block(kind=kind, first=span[0], last=span[1], said=said, used=used)  # type: ignore[arg-type]

    # -- giving ---------------------------------------------------------------------------------------

    def give(self) -> None:
        """Give everybody what is lacking, the way out first."""
        fresh = self._fresh()
        without_any: list[str] = []
        without_six: list[str] = []
        waiting = list(self._there.values())
        if self._first is not None:
            waiting.sort(key=lambda each: each.thing != self._first)
        lowest = iter(range(1, addresses(self._six))) if self._six is not None else iter(())
        for member in waiting:
            if self._four is not None and member.lacks(4):
                number = self._next_for(member, fresh)
                if number is None:
                    without_any.append(member.thing)
                    continue
                self._note(member, number, 4)
            if self._six is not None and member.lacks(6):
                number = self._six_of(member, lowest)
                if number is not None:
                    self._note(member, number, 6)
                else:
                    without_six.append(member.thing)
        if self._first is not None and self._first in self._there:
            has = self._there[self._first].has
            if has:
                self.way_out = min(((each[0], each[1]) for each in has), key=lambda each: each[1])
        if without_any:
            self._tell(without_any)
        if without_six:
            self.troubles.append(
                Trouble(
                    things=tuple(without_six),
                    network=self._network.id,
                    says=f"{self._network.id} has no address of version 6 left for {few(without_six)}: {self._six} has "
                    f"{counted(addresses(self._six) if self._six is not None else 0, 'address', 'addresses')}",
                    mend="give it a /64, as every subnet of version 6 should have (RFC 4291, section 2.5.1)",
                    where=self._network.place("subnet6"),
                )
            )

    def _next_for(self, member: Member, fresh: Iterator[int]) -> int | None:
        if member.thing == self._first and self.way_out is not None and self.way_out[0] not in self._used[4]:
            return self.way_out[0]
        return next(fresh, None)

    def _fresh(self) -> Iterator[int]:
        """Fixed addresses that nobody has, the lowest first, whose twin of version 6 is free too."""
        for number in numbers(self._fixed):
            if number in self._used[4]:
                continue
            twin = self._twin(number)
            if twin is None or twin not in self._used[6]:
                yield number

    def _twin(self, number: int) -> int | None:
        if self._four is None or self._six is None:
            return None
        return twin(number, self._four, self._six)

    def _six_of(self, member: Member, lowest: Iterable[int]) -> int | None:
        """The address of version 6 that reads like its address of version 4; without one, the lowest free."""
        assert self._six is not None
        four = next((number for number, version, _, _ in member.has if version == 4), None)
        like = self._twin(four) if four is not None and holds(self._four, four, 4) else None
        if like is not None and like not in self._used[6]:
            return like
        base, size = int(self._six.network_address), addresses(self._six)
        for host in lowest:
            digits = int(str(host), 16)
            number = base + (digits if digits < size else host)
            if number not in self._used[6]:
                return number
        return None

    def _note(self, member: Member, number: int, version: int) -> None:
        self._used[version][number] = member.thing
        member.has.append((number, version, "new", member.where))

    def _tell(self, things: list[str]) -> None:
        block = "its fixed block" if self._said is not None else f"its subnet {self._four}"
        self.troubles.append(
            Trouble(
                things=tuple(things),
                network=self._network.id,
                says=f"{self._network.id} has no address left for {few(things)}: all of {block} "
                f"({counted(count(without(self._fixed, self._out())), 'address', 'addresses')}) is given",
                mend="widen `fixed`" if self._said is not None else "give it a larger subnet",
                where=self._network.place("fixed" if self._said is not None else "subnet"),
            )
        )


def twin(number: int, four: Prefix, six: Prefix) -> int | None:
    """The address of version 6 that reads like one of version 4.

    The pieces of the address that the subnet leaves free are written with the same digits: in a /24 host .51 is
    ::51, in a /16 host .4.51 is ::4:51. Where that is more than the subnet of version 6 holds, the number of the
    host is taken; where that does not go either, there is none.
    """
    base, size = int(six.network_address), addresses(six)
    pieces = 1 if four.prefixlen >= 24 else 2 if four.prefixlen >= 16 else 3 if four.prefixlen >= 8 else 4
    digits = 0
    for place in range(pieces - 1, -1, -1):
        digits = digits << 16 | int(str((number >> (8 * place)) & 0xFF), 16)
    for host in (digits, number - int(four.network_address)):
        if 0 < host < size:
            return base + host
    return None
