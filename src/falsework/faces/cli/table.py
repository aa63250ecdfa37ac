"""How do columns of figures stand under their heads?"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from falsework.faces.cli.lines import Line

APART = 2
"""Blanks between two columns, and before the first."""


def table(
    head: Sequence[str], rows: Sequence[Sequence[str]], *, right: Collection[int] = ()
) -> Iterator[Line]:
    """Rows under a head; the last column may be folded, the others never.

    Args:
        head: what stands over each column.
        rows: cells, as many as the head has.
        right: numbers of the columns that end alike, as figures do.
    """
    last = len(head) - 1
    widths = [max(len(row[column]) for row in (head, *rows)) for column in range(last)]

    def label(row: Sequence[str]) -> str:
        cells = (
            f"{cell:>{width}}" if column in right else f"{cell:<{width}}"
            for column, (cell, width) in enumerate(zip(row, widths, strict=False))
        )
        return "".join(f"{' ' * APART}{cell}" for cell in cells) + " " * APART

    yield Line(head[last], label(head), "quiet")
    for row in rows:
        yield Line(row[last], label(row))
