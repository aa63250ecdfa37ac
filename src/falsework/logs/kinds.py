"""Which lines say the same, but for numbers, addresses and names of this one time?"""

from __future__ import annotations

import re
from typing import NamedTuple

GAP = "#"
"""Stands for what differs from line to line."""
MOST_LETTERS = 240
_LOOKED_AT = 400
"""Letters of a text that count."""
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


def bared(text: str) -> str:
    """A text with its numbers left out; a long one counts by its beginning."""
    return _DIGITS.sub(GAP, text[:_LOOKED_AT])


def said(bare: str) -> str:
    """What a text says, with all that differs from time to time left out; it is to be `bared` already."""
    masked = _RUN.sub(GAP, _UNIQUE.sub(GAP, bare))
    return " ".join(masked.split())[:MOST_LETTERS]
