"""How do several drawings share one sheet, one below the other?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from falsework.faces.report.ink import sheet
from falsework.faces.report.svg import Svg, escape, join, label, number, tag, width_of

APART = 34.0
"""Between two drawings."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel:
    """One drawing, its upper left corner at the origin.

    Attributes:
        svg: its elements.
        height: how much of the sheet it takes.
        says: what it shows, for those who cannot see it.
    """

    svg: Svg
    height: float
    says: str


def stacked(prefix: str, width: float, panels: Sequence[Panel]) -> str:
    """A whole sheet.

    Args:
        prefix: of the sheet's styles; two on one page need two.
        width: of the sheet.
        panels: from top to bottom.
    """
    y, parts = 0.0, []
    for panel in panels:
        parts.append(tag("g", panel.svg, transform=f"translate(0 {number(y)})"))
        y += panel.height + APART
    height = max(y - APART, 40.0) + 18
    return sheet(prefix, width, height, escape("; ".join(panel.says for panel in panels)), join(parts))


def head(title: str, what: str, second: str, width: float) -> Svg:
    """The title of a drawing, what it shows, and a line of counts where it has room; 74 high."""
    size = 25.0 if width >= 700 else 20.0
    start = 20 + width_of(title, size, bold=True) + 18
    parts = [label(20, 42, title, size=size, bold=True, room=width - 40)]
    if start + width_of(what, 16) + 16 <= width and width_of(second, 13) <= width - 40:
        parts.append(label(start, 42, what, size=16, fill="faint", italic=True, room=width - start - 16))
        parts.append(label(20, 66, second, size=13, room=width - 40))
    else:
        parts.append(label(20, 64, what, size=13, fill="faint", italic=True, room=width - 40))
    return join(parts)


def key(
    samples: Sequence[tuple[Svg, str]], y: float, width: float, *, size: float = 10.5
) -> tuple[Svg, float]:
    """Signs and what they mean, in as many rows as they take; the base line of the last comes back.

    Args:
        samples: each sign drawn from (0, -13) to (27, 4), with its words.
        y: base line of the first row.
        width: of the sheet.
        size: of the type.
    """
    x, parts = 20.0, []
    for sign, says in samples:
        step = 34 + width_of(says, size) + 20
        if x + step > width and x > 20:
            x, y = 20.0, y + 20
        words = label(34, 0, says, size=size, fill="faint", room=width - x - 50)
        parts.append(tag("g", sign, words, transform=f"translate({number(x)} {number(y)})"))
        x += step
    return join(parts), y
