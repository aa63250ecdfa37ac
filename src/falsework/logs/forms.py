"""In which form is a line written, and what does it say?"""

from __future__ import annotations

import re

from falsework.logs.journal import record
from falsework.logs.line import LONGEST
from falsework.logs.stamps import Stamps
from falsework.logs.syslog import BOM, Said, after_stamp, level, message

_NAMED_TIME = re.compile(r't(?:ime|s|imestamp)?="?')


def said(raw: bytes, stamps: Stamps, host: str = "") -> Said | None:
    """What a line says, whichever form it has: found from its first sign, line by line.

    Args:
        raw: the line without its end.
        stamps: reads its time.
        host: whose line it is if it does not say.

    Returns:
        None where it has no time of its own: it goes on with what the line before it says, or is no line of a log.
    """
    text = raw.decode("utf-8", "replace")
    first = text[:1]
    if first == BOM:
        text = text[1:]
        first = text[:1]
    if first == "<":
        return message(text, stamps, host)
    if first == "{":
        return record(text, stamps, host)
    if first == "[":
        return _bracketed(text, stamps, host)
    if first == "t" and (named := _NAMED_TIME.match(text)):
        return _keyed(text, named.end(), stamps, host)
    found = after_stamp(text, 0, stamps, host)
    if found is None and "[" in text[:128]:
        return _served(text, stamps, host)
    return found


def time_of(raw: bytes, stamps: Stamps) -> int | None:
    """The time of a line, microseconds since 1970; None where it has none."""
    found = said(raw, stamps)
    return None if found is None else found.at_us


def _bracketed(text: str, stamps: Stamps, host: str) -> Said | None:
    at = stamps.at(text, 1)
    if at is None or not text.startswith("]", at[1]):
        return None
    says = text[at[1] + 1 :].strip(" :")
    return Said(at[0], host, "", level(says), says)


def _keyed(text: str, begin: int, stamps: Stamps, host: str) -> Said | None:
    """A line of `key=value`, the time first."""
    at = stamps.at(text, begin)
    return (
        None
        if at is None
        else Said(at[0], host, "", level(text[at[1] :]), text[at[1] :].lstrip('" ').rstrip())
    )


def _served(text: str, stamps: Stamps, host: str) -> Said | None:
    """A line of a server of pages: the time stands in brackets behind who asked."""
    begin = text.index("[")
    at = stamps.common(text, begin + 1)
    if at is None:
        return None
    says = f"{text[:begin].split(' ')[0]}{text[at[1] + 1 : LONGEST]}"
    return Said(at[0], host, "", level(""), says)
