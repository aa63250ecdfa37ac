"""How many addresses does a prefix hold, and which prefix holds so many?"""

from __future__ import annotations

import ipaddress
import math

from falsework.engines.addressing.special import Prefix

Address = ipaddress.IPv4Address | ipaddress.IPv6Address

HOST_BITS_6 = 64
"""Bits of an interface in version 6, so the length of every subnet's prefix (RFC 4291, section 2.5.1)."""
GLOBAL_ID_BITS = 40
"""Bits drawn at random in a local prefix: fd, 40 bits, 16 bits of subnet, 64 bits of interface (RFC 4193, section 3)."""
SHORTEST, LONGEST = 8, 30
"""Prefixes of version 4 that are cut: a /31 is for a link between two (RFC 3021), and those are said by hand."""


def bits(version: int) -> int:
    """The length of an address."""
    return 32 if version == 4 else 128


def addresses(prefix: Prefix) -> int:
    """How many addresses a prefix has: 2 to the bits that are left (RFC 4632, section 3.1)."""
    return 1 << (bits(prefix.version) - prefix.prefixlen)


def usable(prefix: Prefix) -> tuple[int, int]:
    """The first and the last address that a host may have, as numbers.

    In version 4 the first names the subnet and the last reaches all of it (RFC 950; RFC 1122, section 3.2.1.3),
    but for a /31, where both are hosts (RFC 3021, section 2.1), and a /32, which is one host.
    In version 6 the first means any router (RFC 4291, section 2.6.1), and nothing is broadcast; the two of a /127
    are both hosts (RFC 6164).
    """
    low = int(prefix.network_address)
    high = low + addresses(prefix) - 1
    if high - low < 2:
        return low, high
    return (low + 1, high - 1) if prefix.version == 4 else (low + 1, high)


def hosts(prefix: Prefix) -> int:
    """How many hosts can have an address in it."""
    low, high = usable(prefix)
    return high - low + 1


def length_for(count: int) -> int:
    """The longest prefix of version 4 in which so many hosts can have an address.

    Args:
        count: of hosts, at least 0.

    Returns:
        `SHORTEST` to `LONGEST`; the two that are no hosts come on top, then the next power of two.

    Raises:
        ValueError: not even the shortest holds so many.
    """
    length = 32 - max(2, (count + 1).bit_length())
    if length < SHORTEST:
        raise ValueError(f"{count:,} addresses are more than a /{SHORTEST} holds")
    return length


def smallest_around(low: int, high: int, version: int) -> int:
    """The length of the longest prefix that holds both of two addresses."""
    return bits(version) - (low ^ high).bit_length()


def collision(networks: int) -> float:
    """The chance that of so many local prefixes, each drawn at random, two are the same.

    1 - exp(-n² / 2^41): the birthday problem on `GLOBAL_ID_BITS` (RFC 4193, section 3.2.3).
    """
    return -math.expm1(-(networks**2) / 2.0 ** (GLOBAL_ID_BITS + 1))


def local_parts(prefix: Prefix) -> tuple[int, int]:
    """The random number and the number of the subnet in a local prefix of version 6.

    Eight bits `fd`, 40 random ones, 16 of the subnet, 64 of the interface (RFC 4193, section 3.1). Bits that are
    not part of the prefix count as zero.

    Raises:
        ValueError: it is no such prefix.
    """
    if prefix.version != 6 or int(prefix.network_address) >> 120 != 0xFD or prefix.prefixlen < 8:
        raise ValueError(f"{prefix} is no local prefix")
    number = int(prefix.network_address)
    return (number >> 80) & ((1 << GLOBAL_ID_BITS) - 1), (number >> 64) & 0xFFFF
