"""Which hatchings and colours does every drawing share?

State is never told by colour alone: each has its own hatching, dash or break as well, and a word beside it.
"""

from __future__ import annotations

from falsework.faces.report.svg import DARK, FONT, Svg, box, line, path, tag

HATCHES = ("thin", "falls", "lost", "blinks", "prop", "out")
"""`thin`: light slants; `falls`: heavy slants; `lost`: crossed; `blinks`: upright bars; `prop`: steep and wide;
`out`: slants the other way."""


def hatch(prefix: str, name: str) -> str:
    """The fill that refers to a hatching of this drawing."""
    return f"url(#{prefix}-{name})"


def defs(prefix: str, *names: str) -> Svg:
    """The hatchings of a drawing; ids start with `prefix`, so that drawings can share a page."""
    return tag("defs", *(_HATCH[name](f"{prefix}-{name}") for name in names or HATCHES))


def look(prefix: str, state: str, *, ground: str = "paper") -> dict[str, str | float | None]:
    """Filling and outline that tell a state of a shape: hatched, crossed, dashed, or plain on `ground`."""
    fill = {
        "stands": ground,
        "lost": hatch(prefix, "lost"),
        "out": hatch(prefix, "out"),
        "falls": hatch(prefix, "falls"),
    }
    return {
        "fill": fill.get(state, "paper"),
        "stroke": tint(state),
        "stroke_dasharray": None if state in ("stands", "lost") else "4 2.5",
    }


def tint(state: str) -> str:
    """The colour of a line or word for a state; never the only sign of it."""
    return "ink" if state in ("stands", "out") else "brick"


def _pattern(name: str, size: float, turn: int, *strokes: Svg, ground: str = "paper") -> Svg:
    return tag(
        "pattern",
        box(0, 0, size, size, fill=ground),
        *strokes,
        id=name,
        width=size,
        height=size,
        patternUnits="userSpaceOnUse",
        patternTransform=f"rotate({turn})",
    )


def _upright(size: float, width: float, colour: str) -> Svg:
    return line(size / 2, 0, size / 2, size, stroke=colour, stroke_width=width)


_HATCH = {
    "thin": lambda name: _pattern(name, 5, 45, _upright(5, 1.1, "ink")),
    "falls": lambda name: _pattern(name, 6, 45, _upright(6, 2.2, "brick")),
    "lost": lambda name: _pattern(
        name, 5, 45, path("M0 2.5H5M2.5 0V5", stroke="brick", stroke_width=1.5, fill="none")
    ),
    "blinks": lambda name: _pattern(name, 9, 0, box(0, 0, 5.5, 9, fill="ink")),
    "prop": lambda name: _pattern(name, 7, 60, _upright(7, 1.2, "faint")),
    "out": lambda name: _pattern(name, 5, -45, _upright(5, 1.1, "faint")),
}


def style(prefix: str) -> Svg:
    """The dark variant, for screens that ask for it; print stays ink on paper."""
    rules = [
        f".{prefix} .{key}-{role}{{{kind}:{value}}}"
        for role, value in DARK.items()
        for key, kind in (("f", "fill"), ("s", "stroke"))
    ]
    return tag(
        "style",
        Svg("@media screen and (prefers-color-scheme:dark){" + "".join(rules) + "}"),
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
        defs(prefix),
        box(0, 0, width, height, fill="paper"),
        *parts,
        xmlns="http://www.w3.org/2000/svg",
        width=width,
        height=height,
        viewBox=f"0 0 {width:.0f} {height:.0f}",
        font_family=FONT,
        role="img",
        class_=f"sheet {prefix}",
    )
