"""Where does each line of a stream of bytes begin and end?

Lines end with a line feed (RFC 6587 section 3.4.2), or say their length before they begin (section 3.4.1); both may
be in one stream. A length that leads nowhere sensible is taken for text.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Protocol

BLOCK = 1 << 18
LONGEST = 1 << 16
"""Bytes of a line that are read; the rest of a longer one is skipped."""
_AHEAD = 16
_RETURN = 13
_COUNTED = re.compile(rb"([1-9]\d{0,4}) (?=<\d{1,3}>)")
_DIGITS = frozenset(b"123456789")
_FOLLOWS = frozenset(b"123456789<\r\n")
"""What a line of a stated length may be followed by: the next one of either sort, or an end of line."""


class Bytes(Protocol):
    """Something to read from."""

    def read(self, size: int, /) -> bytes:
        """Up to so many bytes; none at its end."""


def lines(stream: Bytes, *, offset: int = 0) -> Iterator[tuple[int, bytes]]:
    """Each line with where it begins, without its end; empty ones are left out.

    Args:
        stream: at the beginning of a line.
        offset: where that is.

    Cost:
        Memory for one block and one line, however long the lines are.
    """
    buffer, at, ended = b"", 0, False
    while True:
        # So much is at hand that any line can be seen whole, or all that is left is.
        if not ended and len(buffer) - at <= LONGEST + _AHEAD:
            block = stream.read(BLOCK)
            ended = not block
            buffer, offset, at = buffer[at:] + block, offset + at, 0
            continue
        if at >= len(buffer):
            return
        if buffer[at] in _DIGITS and (counted := _counted(buffer, at, ended=ended)) is not None:
            yield offset + at, buffer[counted[0] : counted[1]].rstrip(b"\r\n")
            at = counted[1]
            continue
        end = buffer.find(b"\n", at, at + LONGEST + 1)
        if end < 0 and ended and len(buffer) - at <= LONGEST:
            end = len(buffer)
        if end >= 0:
            found = buffer[at:end]
            if found and found != b"\r":
                yield offset + at, found[:-1] if found[-1] == _RETURN else found
            at = end + 1
            continue
        yield offset + at, buffer[at : at + LONGEST]
        at += LONGEST
        while (end := buffer.find(b"\n", at)) < 0:
            offset, at, buffer = offset + len(buffer), 0, stream.read(BLOCK)
            if not buffer:
                return
        at = end + 1


def _counted(buffer: bytes, at: int, *, ended: bool) -> tuple[int, int] | None:
    """Where a line that says its length begins and ends; None if what follows it shows that it does not."""
    said = _COUNTED.match(buffer, at, at + _AHEAD)
    if said is None:
        return None
    begin = said.end()
    end = begin + int(said[1])
    if end - begin > LONGEST or end > len(buffer):
        return None
    if end == len(buffer):
        return (begin, end) if ended else None
    following = buffer[end]
    return (begin, end) if following in _FOLLOWS else None
