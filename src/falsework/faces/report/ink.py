"""What does every drawing lie on: the sheet, its type, and its colours in the dark?"""

from __future__ import annotations

import re

from falsework.faces.report.svg import DARK, FONT, Svg, tag

_VALUES = re.compile(r' (?:fill|stroke)="#[0-9a-f]{6}"')
"""Text and names can't match: their quotes are escaped."""


def rules(scope: str = "sheet") -> str:
    """The dark variant as a style sheet, for screens that ask for it; in print the paper is the printer's.

    Args:
        scope: class of the drawings that it is for; every drawing has the class `sheet`.
    """
    dark = [
        f".{scope} .{key}-{role}{{{kind}:{value}}}"
        for role, value in DARK.items()
        for key, kind in (("f", "fill"), ("s", "stroke"))
    ]
    return (
        "@media screen and (prefers-color-scheme:dark){" + "".join(dark) + "}"
        f"@media print{{.{scope} .f-paper{{fill:#fff}}.{scope} .s-paper{{stroke:#fff}}}}"
    )


def sheet(
    prefix: str,
    width: float,
    height: float,
    says: str,
    *parts: Svg,
    styled: bool = True,
    role: str = "img",
) -> str:
    """A whole drawing on its paper.

    Args:
        prefix: of its ids.
        width: of the sheet.
        height: of the sheet.
        says: what it shows, for those who cannot see it.
        parts: the drawing.
        styled: whether it brings its own style and the values of its colours; not on a page whose style sheet
            gives both to their classes.
        role: `img`, or `group` where what is inside is to be reached one by one.
    """
    made = tag(
        "svg",
        tag("title", Svg(says)),
        tag("style", Svg(rules(prefix))) if styled else Svg(""),
        tag("rect", x=0, y=0, width=width, height=height, fill="paper"),
        *parts,
        xmlns="http://www.w3.org/2000/svg",
        width=width,
        height=height,
        viewBox=f"0 0 {width:.0f} {height:.0f}",
        font_family=FONT,
        role=role,
        class_=f"sheet {prefix}",
    )
    return made if styled else _VALUES.sub("", made)
