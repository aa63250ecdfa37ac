"""What is one line of a log, once it has been read?"""

from __future__ import annotations

from typing import NamedTuple

UNSAID = 8
"""The severity of a line that does not say its own."""
SEVERITIES = ("emergency", "alert", "critical", "error", "warning", "notice", "info", "debug")
"""By number, as RFC 5424 section 6.2.1 numbers them; 0 is the worst."""
LONGEST = 8_192
"""Letters of a line that are kept."""
LONGEST_NAME = 255
"""Letters of the name of a host or a program that are kept; a host has no longer one (RFC 5424 section 6.2.4)."""
SIGN = "\ufffd"
"""Stands for a sign that is not shown."""


class Line(NamedTuple):
    """One line; a named tuple, since millions are made, and in this order, since so they are sorted.

    Attributes:
        at_us: when, by the clock of `host`, microseconds since 1970 in UTC.
        file: the number of its file, from 0.
        offset: where it begins in the file's text, bytes; the text is what is left when the file is unpacked.
        host: whose line it is, as it says itself; or as its file is called.
        app: what wrote it; empty if it does not say.
        severity: 0 to 7, the worst first, or `UNSAID`.
        text: what it says; no control signs are in it.
        by: who took it in and stamped it too; empty if nobody did.
        by_us: when, by the clock of `by`.
        kind: the number of its kind, where it has been told; else -1.
    """

    at_us: int
    file: int
    offset: int
    host: str
    app: str
    severity: int
    text: str
    by: str = ""
    by_us: int = 0
    kind: int = -1


def clean(text: str) -> str:
    """Text that can be shown anywhere: tabs become blanks, other signs that move, turn or hide text become visible."""
    if text.isprintable():
        return text
    return "".join(sign if sign.isprintable() else " " if sign in "\t\n\r" else SIGN for sign in text)
