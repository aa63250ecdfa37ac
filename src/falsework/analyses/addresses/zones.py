"""Which zones, forward and reverse, hold these names and addresses?"""

from __future__ import annotations

import ipaddress
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from falsework.analyses.addresses.naming import full
from falsework.analyses.addresses.result import Addresses, Given
from falsework.engines.addressing.labels import LONGEST_NAME
from falsework.engines.addressing.special import Prefix, own
from falsework.model.lab import Lab

Sort = Literal["A", "AAAA", "PTR", "NS"]
PRIMARY = "localhost."
"""Who answers for the zones where the lab does not say: a name that resolves on every host (RFC 6761, section 6.3)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """One record.

    Attributes:
        owner: whose, as a full name without its last dot.
        sort: of which type.
        value: an address, or a full name with its last dot.
    """

    owner: str
    sort: Sort
    value: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """One zone.

    Attributes:
        origin: its name, without its last dot.
        primary: the first of its servers, with its last dot.
        mailbox: who answers for it, as a name with its last dot (RFC 2142, section 7).
        records: the servers first, then in the order of the plan.
        notes: what to know, sentences without their full stop.
    """

    origin: str
    primary: str
    mailbox: str
    records: tuple[Record, ...]
    notes: tuple[str, ...] = ()

    @property
    def file(self) -> str:
        """What its file is called."""
        return f"{self.origin}.zone"


def zones(lab: Lab, plan: Addresses) -> tuple[Zone, ...]:
    """The zone of the lab's names, then those of its addresses, in the order of the plan.

    An address that two have points back to the machine.
    """
    found = [_forward(plan)]
    by: dict[str, list[Record]] = {}
    notes: dict[str, dict[str, None]] = {}
    ranges = tuple(ipaddress.ip_network(each.subnet) for each in lab.ranges)
    prefixes: dict[tuple[str, int], Prefix] = {
        (net.name, subnet.prefix.version): subnet.prefix
        for net in plan.nets
        for subnet in (net.four, net.six)
        if subnet is not None
    }
    met: set[str] = set()
    for row in sorted(plan.given, key=lambda each: each.what != "machine"):
        if row.address in met:
            continue
        met.add(row.address)
        prefix = prefixes.get((row.network, row.version)) or _around(row)
        origin = _origin(row, prefix, ranges)
        by.setdefault(origin, []).append(
            Record(owner=_owner(row, origin, prefix, ranges), sort="PTR", value=f"{row.name}.")
        )
        notes.setdefault(origin, {}).update(dict.fromkeys(_says(prefix, origin)))
    found.extend(_zone(plan, origin, records, notes[origin]) for origin, records in by.items())
    return tuple(found)


def _forward(plan: Addresses) -> Zone:
    records = [
        Record(owner=each.name, sort="AAAA" if ":" in address else "A", value=address)
        for each in plan.called
        if not each.outside and len(each.name) <= LONGEST_NAME
        for address in each.addresses
    ]
    left = [each.name for each in plan.called if each.outside]
    notes = [f"{name} lies outside {plan.domain} and is not in this zone" for name in left]
    return _zone(plan, plan.domain, records, tuple(notes))


def _zone(plan: Addresses, origin: str, records: Sequence[Record], notes: Iterable[str]) -> Zone:
    servers = tuple(f"{name}." for name in plan.servers) or (PRIMARY,)
    more = [] if plan.servers else [f"nothing says who answers for names, so {PRIMARY} stands for the server"]
    return Zone(
        origin=origin,
        primary=servers[0],
        mailbox=f"{full('hostmaster', plan.domain)}.",
        records=(*(Record(owner=origin, sort="NS", value=each) for each in servers), *records),
        notes=(*notes, *more),
    )


def _around(row: Given) -> Prefix:
    """Where an address lies whose network has no subnet."""
    return ipaddress.ip_network(f"{row.address}/{24 if row.version == 4 else 64}", strict=False)


def _origin(row: Given, prefix: Prefix, ranges: Sequence[Prefix]) -> str:
    """The reverse zone of an address: its /24, or its /64 or so; part of a /24 where the rest is somebody else's."""
    if row.version == 4 and prefix.prefixlen < 24:
        return _named(ipaddress.ip_network(f"{row.address}/24", strict=False), ranges)
    return _named(prefix, ranges)


def _named(prefix: Prefix, ranges: Sequence[Prefix]) -> str:
    """The name of the reverse zone of a prefix (RFC 1035, section 3.5; RFC 3596, section 2.5)."""
    if prefix.version == 6:
        nibbles = f"{int(prefix.network_address):032x}"[: prefix.prefixlen // 4]
        return ".".join((*reversed(nibbles), "ip6", "arpa"))
    pieces = str(prefix.network_address).split(".")
    around = ".".join((*reversed(pieces[:3]), "in-addr", "arpa"))
    if prefix.prefixlen <= 24 or _whole(prefix, ranges):
        return around
    return f"{pieces[3]}-{prefix.prefixlen}.{around}"


def _whole(prefix: Prefix, ranges: Sequence[Prefix]) -> bool:
    """Whether the /24 around a smaller prefix is the owner's, so that one zone can answer for all of it."""
    assert isinstance(prefix, ipaddress.IPv4Network)
    around = prefix.supernet(new_prefix=24)
    return own(around) or any(
        isinstance(each, ipaddress.IPv4Network) and around.subnet_of(each) for each in ranges
    )


def _owner(row: Given, origin: str, prefix: Prefix, ranges: Sequence[Prefix]) -> str:
    """The name in the reverse zone that an address is asked for."""
    plain = ipaddress.ip_address(row.address).reverse_pointer
    if row.version == 4 and prefix.prefixlen > 24 and not _whole(prefix, ranges):
        return f"{row.address.rpartition('.')[2]}.{origin}"
    return plain


def _says(prefix: Prefix, origin: str) -> Iterator[str]:
    if prefix.version == 4 and prefix.prefixlen > 24:
        if "-" in origin.split(".", 1)[0]:
            around = origin.split(".", 1)[1]
            yield (
                f"{prefix} is part of a /24 that is somebody else's: whoever answers for {around} must point to "
                "this zone, with an NS for it and a CNAME for each address (RFC 2317, section 4)"
            )
        else:
            yield f"{prefix} is part of a /24, and this zone answers for all of it"
    if prefix.version == 6 and prefix.prefixlen % 4:
        yield f"{prefix} does not end between two digits, so this zone answers for what is around it too"
