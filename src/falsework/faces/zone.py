"""How is a zone written as text (RFC 1035, section 5), and which serial number does it carry?

The serial number comes from no clock: a zone that is written for the first time has 1, one that is written over an
older file of ours keeps its number if nothing else in it changed, and else has the next one. So whoever copies the
zone sees a change exactly where there is one (RFC 1982 tells how such numbers are compared, and that 1 comes after
4294967295 again; 0 is left out).
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from falsework.analyses.addresses.zones import Zone

LIVES_S = 3600
"""How long an answer may be kept, s: an hour, so that a change is known everywhere after one. Assumed."""
REFRESH_S, RETRY_S, EXPIRE_S = 7200, 900, 1_209_600
"""How often a copy asks for news, how soon again if nobody answers, and when it gives up: 2 h, 15 min, 14 days.

Within what RFC 1912, section 2.2 recommends: 20 min to 12 h, a fraction of that, 2 to 4 weeks.
"""
NONE_S = 3600
"""How long it may be remembered that a name does not exist, s: 1 to 3 hours do well (RFC 2308, section 5)."""
MARK = "; Written by falsework; the next time it is written over."
LAST = (1 << 32) - 1
_SERIAL = re.compile(r"^\s+(\d+)\s+; serial$", re.MULTILINE)


def zone_text(zone: Zone, serial: int) -> str:
    """A zone as a file of records, names relative to its own.

    Args:
        zone: the zone.
        serial: 1 to 4294967295.
    """
    return "\n".join((*_head(zone, serial), *_records(zone), ""))


def next_text(zone: Zone, before: str | None) -> str:
    """A zone as text with the serial number that it should have.

    Args:
        zone: the zone.
        before: what its file holds today; None where there is none.
    """
    serial = serial_of(before) if before is not None else None
    if serial is None:
        return zone_text(zone, 1)
    same = zone_text(zone, serial)
    return same if same == before else zone_text(zone, serial % LAST + 1)


def serial_of(text: str) -> int | None:
    """The serial number in a file of ours, or None where it has none that can be read."""
    found = _SERIAL.search(text)
    return int(found[1]) if found is not None and 0 < int(found[1]) <= LAST else None


def is_ours(text: str) -> bool:
    """Whether a file was written by us, so that it may be written over."""
    return text.startswith(MARK)


def _head(zone: Zone, serial: int) -> Iterable[str]:
    yield MARK
    yield from (f"; {note}." for note in zone.notes)
    yield f"$ORIGIN {zone.origin}."
    yield f"$TTL {LIVES_S}"
    yield f"@ IN SOA {zone.primary} {zone.mailbox} ("
    for value, says in (
        (serial, "serial"),
        (REFRESH_S, "refresh"),
        (RETRY_S, "retry"),
        (EXPIRE_S, "expire"),
        (NONE_S, "how long a missing name is remembered"),
    ):
        yield f"        {value:<10} ; {says}"
    yield "        )"


def _records(zone: Zone) -> Iterable[str]:
    rows = [(_relative(each.owner, zone.origin), each.sort, each.value) for each in zone.records]
    width = max((len(owner) for owner, _, _ in rows), default=1)
    for owner, sort, value in rows:
        yield f"{owner:<{width}}  IN {sort:<4}  {value}"


def _relative(name: str, origin: str) -> str:
    """A name as it stands in the zone's own file."""
    return "@" if name == origin else name.removesuffix(f".{origin}")
