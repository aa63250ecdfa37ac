"""How do counted names, patterns and references expand?

`desk-1..3` is desk-1, desk-2 and desk-3; `twin-1..2.a..b` is four names. In a reference `*` stands for
any run of characters but the dot, and in the values of a counted entry `#` stands for that entry's own
first counter, `##` for its second.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import lru_cache

from falsework.errors import LimitError

MOST = 200_000
"""The most names that one entry may stand for, and the most things in a lab."""

_RANGE = re.compile(r"(\d+|[a-z])\.\.(\d+|[a-z])")
_ALLOWED = re.compile(r"[^\s,:*#\[\]{}&!|>'\"%@`](?:[^,:*#\[\]{}]*[^\s,:*#\[\]{}])?\Z")


def sound(name: str) -> bool:
    """Whether `name` may be the name of a thing: no blanks at its ends, none of the signs we use."""
    return len(name) <= 200 and " -- " not in name and ".." not in name and bool(_ALLOWED.match(name))


@lru_cache(maxsize=4096)
def spread(name: str) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Every name that a counted name stands for, each with the values of its counters.

    Raises:
        ValueError: a range runs backwards or mixes a number with a letter.
        LimitError: it stands for more than `MOST` names.
    """
    pieces: list[str | Sequence[str]] = []
    end = 0
    total = 1
    for match in _RANGE.finditer(name):
        pieces.append(name[end : match.start()])
        steps = _steps(match.group(1), match.group(2))
        total *= len(steps)
        if total > MOST:
            raise LimitError(
                what=f"{name!r} stands for more than {MOST:,} things",
                mend="shorten the range, or split the lab",
            )
        pieces.append(steps)
        end = match.end()
    pieces.append(name[end:])
    return tuple(_product(pieces))


def _steps(first: str, last: str) -> Sequence[str]:
    if first.isdigit() != last.isdigit():
        raise ValueError(f"the range {first}..{last} mixes a number with a letter")
    if first.isdigit():
        low, high = int(first), int(last)
        if high < low:
            raise ValueError(f"the range {first}..{last} runs backwards")
        if high - low >= MOST:
            raise LimitError(
                what=f"the range {first}..{last} stands for more than {MOST:,} things",
                mend="shorten the range, or split the lab",
            )
        width = len(first) if first.startswith("0") else 0
        return [str(number).zfill(width) for number in range(low, high + 1)]
    if last < first:
        raise ValueError(f"the range {first}..{last} runs backwards")
    return [chr(code) for code in range(ord(first), ord(last) + 1)]


def _product(pieces: list[str | Sequence[str]]) -> Iterator[tuple[str, tuple[str, ...]]]:
    found: list[tuple[str, tuple[str, ...]]] = [("", ())]
    for piece in pieces:
        if isinstance(piece, str):
            found = [(name + piece, counters) for name, counters in found]
        else:
            found = [(name + step, (*counters, step)) for name, counters in found for step in piece]
    yield from found


def counted(text: str, counters: Sequence[str]) -> str:
    """`text` with `#` and `##` replaced by the first and second counter."""
    if "#" not in text:
        return text
    for position in range(len(counters), 0, -1):
        text = text.replace("#" * position, counters[position - 1])
    return text


@lru_cache(maxsize=16384)
def pattern(reference: str) -> re.Pattern[str]:
    """A reference with `*` as a regular expression over whole names."""
    return re.compile(
        "".join("[^.]+" if piece == "*" else re.escape(piece) for piece in re.split(r"(\*)", reference))
    )
