"""What is one piece of the report's section on the physical lab: drives, wire, addresses, power, noise, racks?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from falsework.faces.report.chances import Figure
from falsework.support.taken import Taken

MOST_ROWS = 12
"""Of a table, if not said otherwise; the command tells the rest."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A small table; the first column names what a row is about.

    Attributes:
        says: what it shows, a few words; empty where the piece has one table only.
        heads: of its columns.
        rows: as long as `heads` each.
        more: how many rows are not shown.
    """

    says: str = ""
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    more: int = 0


def short_table(
    says: str, heads: tuple[str, ...], rows: Sequence[tuple[str, ...]], most: int = MOST_ROWS
) -> Table:
    """A table of the first rows, with a word on how many there are more."""
    return Table(says=says, heads=heads, rows=tuple(rows[:most]), more=max(len(rows) - most, 0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A piece, ready to be set.

    Attributes:
        name: one word, the name of the command that tells more.
        title: its heading.
        bad: whether something is too much, too little or not safe.
        lead: the short answer, a sentence without its full stop.
        says: what else is to be told, sentences without their full stops; few.
        tables: few, and short.
        taken: figures that were taken where the owner gave none.
        figures: drawings.
        caution: what to mind.
    """

    name: str
    title: str
    bad: bool
    lead: str
    says: tuple[str, ...] = ()
    tables: tuple[Table, ...] = ()
    taken: tuple[Taken, ...] = ()
    figures: tuple[Figure, ...] = ()
    caution: str = ""
