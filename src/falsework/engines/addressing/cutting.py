"""Which prefixes are cut from a few large ones, so that little is lost between them?

Blocks are halved until they fit, and of those that would do the smallest is halved, as in the buddy system
(K. C. Knowlton 1965, "A fast storage allocator", Communications of the ACM 8(10)). The largest are cut first, so
each lies at a multiple of its own size and nothing is lost but what powers of two cost.
"""

from __future__ import annotations

import ipaddress
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from falsework.engines.addressing.prefixes import bits, smallest_around
from falsework.engines.addressing.special import Prefix


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """A prefix to be cut.

    Attributes:
        name: whose.
        length: of the prefix; it gets shorter where `holds` do not lie together.
        holds: addresses that must lie in it, as numbers.
        likes: the place where it should be, as a number, if that is free.
    """

    name: str
    length: int
    holds: tuple[int, ...] = ()
    likes: int | None = None


def cut(
    ranges: Sequence[Prefix], taken: Iterable[Prefix], wanted: Sequence[Wanted], version: int
) -> Mapping[str, Prefix | None]:
    """A prefix for each, or None where there is no room for it.

    Args:
        ranges: from which is cut; those of the other version are left aside.
        taken: what is used already.
        wanted: in the order in which equals are served.
        version: 4 or 6.

    Returns:
        By name. Those that must hold addresses come first, then those that like a place, then the others, the
        largest first; each takes the smallest block that is free, the lowest of equals, from the first range that
        has one.
    """
    stock = _Stock(ranges, taken, version)
    found: dict[str, Prefix | None] = {each.name: None for each in wanted}
    for each in wanted:
        if each.holds:
            length = min(each.length, smallest_around(min(each.holds), max(each.holds), version))
            found[each.name] = stock.take_at(each.holds[0], length)
    for each in wanted:
        if not each.holds and each.likes is not None:
            found[each.name] = stock.take_at(each.likes, each.length)
    for each in sorted(wanted, key=lambda one: one.length):
        if not each.holds and found[each.name] is None:
            found[each.name] = stock.take(each.length)
    return found


class _Stock:
    """The free blocks, each at a multiple of its size: (number of the range, first address, length)."""

    def __init__(self, ranges: Sequence[Prefix], taken: Iterable[Prefix], version: int) -> None:
        self._bits = bits(version)
        self._version = version
        self._free: list[tuple[int, int, int]] = [
            (number, int(each.network_address), each.prefixlen)
            for number, each in enumerate(ranges)
            if each.version == version
        ]
        for each in taken:
            if each.version == version:
                self._drop(int(each.network_address), each.prefixlen)

    def take(self, length: int) -> Prefix | None:
        """A free block of this length, cut from the smallest that is large enough."""
        fits = [each for each in self._free if each[2] <= length]
        if not fits:
            return None
        _, first, _ = min(fits, key=lambda each: (each[0], -each[2], each[1]))
        return self.take_at(first, length)

    def take_at(self, address: int, length: int) -> Prefix | None:
        """The block of this length around an address, if all of it is free."""
        first = self._begin(address, length)
        if not any(
            at <= first and size <= length and self._begin(first, size) == at for _, at, size in self._free
        ):
            return None
        self._drop(first, length)
        return self._prefix(first, length)

    def _drop(self, first: int, length: int) -> None:
        """Take a block out of the free ones; those around it are halved until it is one of them."""
        kept: list[tuple[int, int, int]] = []
        for number, at, size in self._free:
            if size >= length:
                if self._begin(at, length) != first:
                    kept.append((number, at, size))
                continue
            if self._begin(first, size) != at:
                kept.append((number, at, size))
                continue
            for half in range(size + 1, length + 1):
                # The half beside the one in which the block lies stays free.
                beside = self._begin(first, half) ^ (1 << (self._bits - half))
                kept.append((number, beside, half))
        self._free = kept

    def _begin(self, address: int, length: int) -> int:
        return address >> (self._bits - length) << (self._bits - length)

    def _prefix(self, first: int, length: int) -> Prefix:
        made = ipaddress.IPv4Network if self._version == 4 else ipaddress.IPv6Network
        return made((first, length))
