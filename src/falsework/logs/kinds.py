"""Which lines say the same, but for numbers, addresses and names of this one time?"""

from __future__ import annotations

import re
from typing import NamedTuple

from falsework.logs.line import Line

GAP = "#"
"""Stands for what differs from line to line."""
MOST_LETTERS = 240
_LOOKED_AT = 400
"""Letters of a text that count."""
_MOST_KEPT = 50_000
_DIGITS = re.compile(r"[0-9]+")
# What follows is looked for where numbers are gaps already, so that nearly all lines are known by then.
_UNIQUE = re.compile(
    r"(?<![0-9a-zA-Z#])(?:[0-9a-fA-F#]{1,8}[:-]){5,7}[0-9a-fA-F#]{1,8}(?![0-9a-zA-Z#])"  # of a network card
    r"|(?<![0-9a-zA-Z#])[0-9a-fA-F#]{0,8}(?::[0-9a-fA-F#]{0,8}){2,7}(?![0-9a-zA-Z#])"  # of IPv6
    r"|(?<![0-9a-zA-Z#-])[0-9a-fA-F#]{1,16}(?:-[0-9a-fA-F#]{1,16}){4}(?![0-9a-zA-Z#-])"  # universally unique
    r"|(?<![0-9a-zA-Z#])#x[0-9a-fA-F#]+"  # to the base of sixteen
    r"|(?<![0-9a-zA-Z#])[a-zA-Z]*#[a-zA-Z]+#[0-9a-zA-Z#]*"  # letters between digits
    r"|(?<![0-9a-zA-Z#])(?:[a-fA-F]+#[a-fA-F]*|#[a-fA-F]+)(?![0-9a-zA-Z#])"
    r"|(?<![0-9a-zA-Z#])[a-fA-F]{16,}(?![0-9a-zA-Z#])"
)
_RUN = re.compile(r"#(?:[.:,/+-]?#)+")


class Kind(NamedTuple):
    """Lines of one host and one writer that say the same."""

    host: str
    app: str
    says: str


class Kinds:
    """Tells of lines of which kind they are; remembers, so that most lines cost little."""

    def __init__(self) -> None:
        self._known: dict[str, str] = {}

    def of(self, line: Line) -> Kind:
        """The kind of a line."""
        return Kind(line.host, line.app, self.says(line.text))

    def says(self, text: str) -> str:
        """What a text says, with what differs from time to time left out; a long one counts by its beginning."""
        bare = _DIGITS.sub(GAP, text[:_LOOKED_AT])
        says = self._known.get(bare)
        if says is None:
            if len(self._known) >= _MOST_KEPT:
                self._known.clear()
            masked = _RUN.sub(GAP, _UNIQUE.sub(GAP, bare))
            says = self._known[bare] = " ".join(masked.split())[:MOST_LETTERS]
        return says
