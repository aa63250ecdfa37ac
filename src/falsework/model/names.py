"""How do counted names, patterns and references expand?

`desk-1..3` is desk-1, desk-2 and desk-3; `twin-1..2.a..b` is four names, and `d1..d3` is the same as `d1..3`.
In a reference `*` stands for one or more characters but the dot, and in the values of a counted entry `#`
stands for that entry's own first counter, `##` for its second.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from functools import lru_cache

from falsework.errors import LimitError, shortened

MOST = 400_000
"""The most names that one entry may stand for, and the most things in a lab."""

LONGEST = 200
"""Characters in a name or a reference."""

_RANGE = re.compile(r"(\d+|(?<![A-Za-z])[a-z])\.\.(\d+|[a-z](?![A-Za-z]))", re.ASCII)
_SAID_TWICE = re.compile(r"([A-Za-z][A-Za-z_-]*)(\d+)\.\.\1(\d+)", re.ASCII)
_NAME = r"""[^\s,:*#\[\]{}&!|>'"%@`]([^,:*#\[\]{}]*[^\s,:*#\[\]{}])?"""
_ALLOWED = re.compile(rf"{_NAME}\Z")
_SIGNS = re.compile("#+")

NAME_PATTERN = f"^{_NAME}$"
"""What a name or a counted name looks like, as the schema says it."""

Counted = tuple[tuple[str, tuple[str, ...]], ...]
"""Names, each with the values of its counters."""


def sound(name: str) -> bool:
    """Whether `name` may be the name of a thing: no blanks at its ends, none of the signs we use."""
    return len(name) <= LONGEST and " -- " not in name and ".." not in name and bool(_ALLOWED.match(name))


def spread(name: str) -> Counted:
    """Every name that a counted name stands for, each with the values of its counters.

    Raises:
        ValueError: a range runs backwards or mixes a number with a letter.
        LimitError: it stands for more than `MOST` names, or it is too long to be a name.
    """
    if ".." not in name:
        return ((name, ()),)
    if len(name) > LONGEST:
        raise LimitError(f"{shortened(name)!r} has {len(name)} characters", f"Names have at most {LONGEST}.")
    name = _SAID_TWICE.sub(r"\1\2..\3", name)
    pieces: list[str | Sequence[str]] = []
    end, total = 0, 1
    for match in _RANGE.finditer(name):
        steps = _steps(match.group(1), match.group(2))
        total *= len(steps)
        if total > MOST:
            raise LimitError(
                f"{name!r} stands for more than {MOST:,} things", "Shorten the range, or split the lab."
            )
        pieces += (name[end : match.start()], steps)
        end = match.end()
    found: list[tuple[str, tuple[str, ...]]] = [("", ())]
    for piece in (*pieces, name[end:]):
        if isinstance(piece, str):
            found = [(before + piece, counters) for before, counters in found]
        else:
            found = [(before + step, (*counters, step)) for before, counters in found for step in piece]
    return tuple(found)


def _steps(first: str, last: str) -> Sequence[str]:
    if first.isdigit() != last.isdigit():
        raise ValueError(f"the range {first}..{last} mixes a number with a letter")
    if not first.isdigit():
        if last < first:
            raise ValueError(f"the range {first}..{last} runs backwards")
        return [chr(code) for code in range(ord(first), ord(last) + 1)]
    low, high = int(first), int(last)
    if high < low:
        raise ValueError(f"the range {first}..{last} runs backwards")
    if high - low >= MOST:
        raise LimitError(
            f"the range {first}..{last} stands for more than {MOST:,} things",
            "Shorten the range, or split the lab.",
        )
    width = len(first) if first.startswith("0") else 0
    return [str(number).zfill(width) for number in range(low, high + 1)]


def counted(text: str, counters: Sequence[str]) -> str:
    """`text` with `#` and `##` replaced by the first and second counter.

    Raises:
        ValueError: there is no such counter.
    """
    if "#" not in text:
        return text

    def counter(signs: re.Match[str]) -> str:
        if len(signs[0]) > len(counters):
            has = f"only {len(counters)}" if counters else "none"
            raise ValueError(f"{signs[0]} stands for counter {len(signs[0])} of the name, which has {has}")
        return counters[len(signs[0]) - 1]

    return _SIGNS.sub(counter, text)


def matcher(reference: str) -> Callable[[str], object]:
    """Whether a whole name is meant by a reference with `*`."""
    head, star, tail = reference.partition("*")
    if not star or "*" in tail:
        return pattern(reference).fullmatch
    least = len(head) + len(
        tail
    )  # most have one star, and a lab may have thousands: no expression is compiled

    def fits(name: str) -> bool:
        return (
            len(name) > least
            and name.startswith(head)
            and name.endswith(tail)
            and "." not in name[len(head) : len(name) - len(tail)]
        )

    return fits


@lru_cache(maxsize=1024)
def pattern(reference: str) -> re.Pattern[str]:
    """A reference with `*` as a regular expression over whole names.

    Cost:
        Matching is linear in the length of a name for each `*`: all but the last of a dotted piece stop at
        the first place that fits and are never tried again.
    """
    return re.compile(r"\.".join(_piece(piece) for piece in reference.split(".")))


def _piece(text: str) -> str:
    first, *rest = text.split("*")
    if not rest:
        return re.escape(first)
    middle = "".join(f"(?>[^.]+?{re.escape(fixed)})" for fixed in rest[:-1])
    return f"{re.escape(first)}{middle}[^.]+{re.escape(rest[-1])}"
