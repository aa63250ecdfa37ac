"""Which blocks of addresses are kept for something, and by whose word?"""

from __future__ import annotations

import ipaddress
from dataclasses import dataclass
from typing import Literal

Prefix = ipaddress.IPv4Network | ipaddress.IPv6Network
Use = Literal["own", "plan", "never"]
"""`own`: anybody may use it inside; `plan`: hosts would answer there, but it is kept for something else;
`never`: no host can have an address there for good."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Special:
    """A block that is kept for something.

    Attributes:
        block: the block.
        called: what it is kept for, in a few words.
        source: the document and section that keeps it.
        use: what may be done with it.
    """

    block: Prefix
    called: str
    source: str
    use: Use


def _of(block: str, called: str, source: str, use: Use = "never") -> Special:
    return Special(block=ipaddress.ip_network(block), called=called, source=source, use=use)


SPECIAL: tuple[Special, ...] = (
    _of("10.0.0.0/8", "private addresses", "RFC 1918, section 3", "own"),
    _of("172.16.0.0/12", "private addresses", "RFC 1918, section 3", "own"),
    _of("192.168.0.0/16", "private addresses", "RFC 1918, section 3", "own"),
    _of("0.0.0.0/8", "hosts that do not know their address yet", "RFC 1122, section 3.2.1.3"),
    _of("100.64.0.0/10", "providers, between them and their customers", "RFC 6598, section 4", "plan"),
    _of("127.0.0.0/8", "loopback", "RFC 1122, section 3.2.1.3"),
    _of("169.254.0.0/16", "addresses that hosts give themselves on a link", "RFC 3927, section 2.1"),
    _of("192.0.0.0/24", "protocols", "RFC 6890, section 2.2.2"),
    _of("192.0.2.0/24", "documentation", "RFC 5737, section 3", "plan"),
    _of("198.51.100.0/24", "documentation", "RFC 5737, section 3", "plan"),
    _of("203.0.113.0/24", "documentation", "RFC 5737, section 3", "plan"),
    _of("192.88.99.0/24", "relays that are given up", "RFC 7526, section 4"),
    _of("198.18.0.0/15", "measuring devices against each other", "RFC 2544, appendix C.2.2", "plan"),
    _of("224.0.0.0/4", "multicast", "RFC 5771, section 3"),
    _of("240.0.0.0/4", "later use, and broadcast", "RFC 1112, section 4"),
    _of("fd00::/8", "local addresses", "RFC 4193, section 3.1", "own"),
    _of("fc00::/8", "local addresses of a kind that is not defined yet", "RFC 4193, section 3.1"),
    _of("::/128", "no address at all", "RFC 4291, section 2.5.2"),
    _of("::1/128", "loopback", "RFC 4291, section 2.5.3"),
    _of("::ffff:0:0/96", "addresses of version 4 in other clothes", "RFC 4291, section 2.5.5.2"),
    _of("64:ff9b::/96", "translation between the versions", "RFC 6052, section 2.1"),
    _of("64:ff9b:1::/48", "translation between the versions", "RFC 8215, section 3"),
    _of("100::/64", "traffic that is thrown away", "RFC 6666, section 2"),
    _of("2001::/23", "protocols", "RFC 2928, section 2"),
    _of("2001:db8::/32", "documentation", "RFC 3849, section 2", "plan"),
    _of("3fff::/20", "documentation", "RFC 9637, section 3", "plan"),
    _of("2002::/16", "tunnels through version 4", "RFC 3056, section 2"),
    _of("fe80::/10", "one link only", "RFC 4291, section 2.5.6"),
    _of("fec0::/10", "sites, and given up", "RFC 3879, section 4"),
    _of("ff00::/8", "multicast", "RFC 4291, section 2.7"),
)
"""The blocks that the documents keep, as far as they matter to somebody who gives addresses.

The blocks of RFC 1918, 4193 and 5737 are held by tests that name their sections; the other sections are from memory.
"""

GLOBAL = ipaddress.ip_network("2000::/3")
"""What is handed out of version 6 (RFC 4291, section 2.4); local addresses come on top."""


def overlap(one: Prefix, other: Prefix) -> bool:
    """Whether two prefixes share an address; those of different versions never do."""
    return one.version == other.version and one.overlaps(other)


def own(prefix: Prefix) -> bool:
    """Whether anybody may use it inside, without asking: private and local addresses."""
    return any(
        each.use == "own" and each.block.version == prefix.version and prefix.subnet_of(each.block)  # type: ignore[arg-type]
        for each in SPECIAL
    )


def kept(prefix: Prefix, *uses: Use) -> Special | None:
    """The block of such a use that a prefix shares addresses with, or None.

    Args:
        prefix: any.
        uses: `never`, `plan` or both.

    Returns:
        The first in the order of `SPECIAL`; for version 6 also what is handed out to nobody.
    """
    if own(prefix):
        return None
    for each in SPECIAL:
        if each.use in uses and overlap(each.block, prefix):
            return each
    if prefix.version == 6 and "never" in uses and not prefix.subnet_of(GLOBAL):  # type: ignore[arg-type]
        return Special(block=prefix, called="nobody, as yet", source="RFC 4291, section 2.4", use="never")
    return None
