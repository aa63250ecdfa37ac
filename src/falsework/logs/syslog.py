"""What does a message say that is written as RFC 5424 or RFC 3164 has it?"""

from __future__ import annotations

import re
from typing import NamedTuple

from falsework.logs.line import UNSAID
from falsework.logs.stamps import Stamps

HIGHEST = 191
"""Of priorities: 23 * 8 + 7 (RFC 5424 section 6.2.1)."""
NIL = "-"
BOM = "\ufeff"
_NEW = re.compile(r"<(\d{1,3})>[1-9]\d{0,2} (\S+) (\S+) (\S+) (\S+) (\S+) ?")
_PRIORITY = re.compile(r"<(\d{1,3})>")
_DATA = re.compile(r'(?:\[[^\s=\]"]{1,64}(?: +[^\s=\]"]{1,64}="(?:[^"\\]|\\.)*")* *\])+', re.DOTALL)
_TAGGED = re.compile(r"([^\s:\[\]<>]{1,64})(?:\[([^\]\s]{0,32})\])?: ?")
_HOST = re.compile(
    r"(?:[A-Za-z0-9](?:[A-Za-z0-9._-]{0,253}[A-Za-z0-9])?|[0-9a-fA-F:.]*:[0-9a-fA-F:.]+)(?= |$)"
)
_NAMED = re.compile(r"[0-9.-]")
"""What names of hosts have and words do not; asked only where nothing else tells."""
LEVELS = {
    "EMERG": 0, "EMERGENCY": 0, "PANIC": 0, "ALERT": 1, "CRIT": 2, "CRITICAL": 2, "FATAL": 2, "ERR": 3, "ERROR": 3,
    "SEVERE": 3, "WARN": 4, "WARNING": 4, "NOTICE": 5, "INFO": 6, "INFORMATION": 6, "DEBUG": 7, "TRACE": 7,
}  # fmt: skip
"""Words that lines say their severity with, written large."""
_LEVEL = re.compile(
    rf"(?<![A-Za-z])({'|'.join(sorted(LEVELS, key=len, reverse=True))})(?![A-Za-z])", re.IGNORECASE
)


class Said(NamedTuple):
    """What a line says, before it is known where it stands; fields as of `Line`."""

    at_us: int
    host: str
    app: str
    severity: int
    text: str
    by: str = ""
    by_us: int = 0


def message(text: str, stamps: Stamps, host: str = "") -> Said | None:
    """What a line says that begins with a priority; None where it has no time.

    Args:
        text: the line.
        stamps: reads its time.
        host: whose line it is if it does not say.
    """
    found = _NEW.match(text)
    if found is None:
        return _old(text, stamps, host)
    value, stamp, name, app, _process, message_id = found.groups()
    number = int(value)
    at = stamps.iso(stamp)
    if at is None or at[1] != len(stamp) or number > HIGHEST:
        return None if stamp == NIL or number > HIGHEST else _old(text, stamps, host)
    rest, begin = text, found.end()
    data = ""
    if rest.startswith("[", begin):
        sd = _DATA.match(rest, begin)
        if sd is not None:
            data, begin = sd[0], sd.end()
    elif rest.startswith(NIL, begin):
        begin += 1
    says = rest[begin:].lstrip(" ").removeprefix(BOM)
    if not says:
        says = data or ("" if message_id == NIL else message_id)
    return Said(at[0], host if name == NIL else name, "" if app == NIL else app, number & 7, says)


def _old(text: str, stamps: Stamps, host: str) -> Said | None:
    """A message as RFC 3164 has it; newer writers put an ISO time into the same place."""
    found = _PRIORITY.match(text)
    if found is None or int(found[1]) > HIGHEST:
        return None
    return after_stamp(text, found.end(), stamps, host, int(found[1]) & 7)


def after_stamp(text: str, start: int, stamps: Stamps, host: str, severity: int = UNSAID) -> Said | None:
    """What a line says whose time stands at a place: `time host tag[number]: text`, or less of that."""
    at = stamps.at(text, start)
    if at is None:
        return None
    begin = at[1]
    if text.startswith(" ", begin):
        begin += 1
    name = _HOST.match(text, begin)
    if name is not None and name[0].upper() not in LEVELS:
        tag = _TAGGED.match(text, name.end() + 1)
        # Lines that programs write for themselves may begin `time Starting backup: ...`: that is no host.
        sure = severity != UNSAID or not text[start].isdigit() or _NAMED.search(name[0])
        if tag is not None and (sure or tag[2] is not None or tag[1] == "kernel"):
            says = text[tag.end() :]
            return Said(at[0], name[0], tag[1], severity if severity != UNSAID else level(says), says)
        if text.startswith("<", name.end() + 1) and (
            inner := message(text[name.end() + 1 :], stamps, name[0])
        ):
            return inner._replace(by=name[0], by_us=at[0])
    tag = _TAGGED.match(text, begin)
    app = tag[1] if tag is not None and tag[1].upper() not in LEVELS else ""
    says = text[tag.end() :] if tag is not None and app else text[begin:]
    return Said(at[0], host, app, severity if severity != UNSAID else level(text[begin:]), says)


def level(text: str) -> int:
    """The severity that a text begins to say in words; `UNSAID` where it does not."""
    found = _LEVEL.search(text, 0, 48)
    return LEVELS[found[1].upper()] if found is not None else UNSAID
