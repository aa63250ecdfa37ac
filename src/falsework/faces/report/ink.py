"""What does every drawing lie on: the sheet, its type, and its colours in the dark?"""

from __future__ import annotations

from falsework.faces.report.svg import DARK, FONT, Svg, tag


def style(prefix: str) -> Svg:
    """The dark variant, for screens that ask for it; in print the paper is the printer's."""
    rules = [
        f".{prefix} .{key}-{role}{{{kind}:{value}}}"
        for role, value in DARK.items()
        for key, kind in (("f", "fill"), ("s", "stroke"))
    ]
    return tag(
        "style",
        Svg(
            "@media screen and (prefers-color-scheme:dark){" + "".join(rules) + "}"
            f"@media print{{.{prefix} .f-paper{{fill:#fff}}.{prefix} .s-paper{{stroke:#fff}}}}"
        ),
    )


def sheet(prefix: str, width: float, height: float, says: str, *parts: Svg) -> str:
    """A whole drawing on its paper.

    Args:
        prefix: of its ids.
        width: of the sheet.
        height: of the sheet.
        says: what it shows, for those who cannot see it.
        parts: the drawing.
    """
    return tag(
        "svg",
        tag("title", Svg(says)),
        style(prefix),
        tag("rect", x=0, y=0, width=width, height=height, fill="paper"),
        *parts,
        xmlns="http://www.w3.org/2000/svg",
        width=width,
        height=height,
        viewBox=f"0 0 {width:.0f} {height:.0f}",
        font_family=FONT,
        role="img",
        class_=f"sheet {prefix}",
    )
