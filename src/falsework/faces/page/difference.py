"""How is the difference of two texts shown, line under line?"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from markupsafe import Markup

from falsework.faces.page.page import templates
from falsework.lab.save import difference

MOST_LINES = 30_000
"""Lines of two texts together that are compared; telling more apart takes longer than anybody waits."""

_BLOCK = re.compile(r"@@ -(\d+)(?:,(\d+))? \+(\d+)(?:,(\d+))? @@")


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line of a difference.

    Attributes:
        sign: "+" comes, "-" goes, " " stays; "…" where lines are left out, "" where a file begins.
        old: its number before, None where it was not there.
        new: its number after, None where it is not there any more.
        text: the line; the file's name where one begins.
    """

    sign: str
    old: int | None = None
    new: int | None = None
    text: str = ""


def compared(old: str, new: str, name: str) -> str | None:
    """The difference of two texts as a unified diff; None where they are too long to be told apart."""
    if old.count("\n") + new.count("\n") > MOST_LINES:
        return None
    return difference(old, new, name)


def shown(unified: str | None) -> Markup:
    """A unified diff as the page shows it."""
    found = () if unified is None else rows(unified)
    return Markup(templates().get_template("difference.html.j2").render(rows=found, told=unified is not None))


def rows(unified: str) -> tuple[Row, ...]:
    """The lines of a unified diff of one file or several."""
    return tuple(_rows(unified.split("\n")))


def _rows(lines: Iterable[str]) -> Iterator[Row]:
    old = new = old_left = new_left = blocks = 0
    for line in lines:
        sign, text = line[:1], line[1:]
        # Only the counts tell a line that goes and begins with two dashes from the head of the next file.
        if sign == " " and old_left and new_left:
            yield Row(sign=" ", old=old, new=new, text=text)
            old, new, old_left, new_left = old + 1, new + 1, old_left - 1, new_left - 1
        elif sign == "-" and old_left:
            yield Row(sign="-", old=old, text=text)
            old, old_left = old + 1, old_left - 1
        elif sign == "+" and new_left:
            yield Row(sign="+", new=new, text=text)
            new, new_left = new + 1, new_left - 1
        elif line.startswith("+++ "):
            yield Row(sign="", text=line[4:])
            blocks = 0
        elif block := _BLOCK.match(line):
            if blocks:
                yield Row(sign="…")
            blocks += 1
            old, new = int(block[1]), int(block[3])
            old_left, new_left = int(block[2] or 1), int(block[4] or 1)
        elif sign == "\\":
            yield Row(sign="…", text="no line break at the end")
