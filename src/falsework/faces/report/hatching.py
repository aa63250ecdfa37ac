"""How is a state told without colour: by hatching, crossing, bars and dashes?

Hatchings are drawn as lines, cut to their box. A pattern would be shorter, but many readers of SVG draw it
badly, and a printed page grows to megabytes of it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from falsework.faces.report.svg import Svg, number, path, tag


@dataclass(frozen=True, slots=True, kw_only=True)
class _Hatch:
    """Slants of one kind: `rising` to the right, `sinking`, or both; `apart` square to them."""

    colour: str
    apart: float
    thick: float
    rising: bool = False
    sinking: bool = False


_HATCH = {
    "thin": _Hatch(colour="ink", apart=5, thick=1.1, rising=True),
    "falls": _Hatch(colour="brick", apart=6, thick=2.2, rising=True),
    "lost": _Hatch(colour="brick", apart=5, thick=1.4, rising=True, sinking=True),
    "out": _Hatch(colour="faint", apart=5, thick=1.1, sinking=True),
    "rises": _Hatch(colour="ink", apart=4, thick=0.8, rising=True),
    "stumbles": _Hatch(colour="ink", apart=4.4, thick=1.9, sinking=True),
}
HATCHES = (*_HATCH, "blinks")
"""`thin`: light slants; `falls`: heavy slants; `lost`: crossed; `out`: slants the other way; `blinks`: upright bars;
`rises`: fine slants; `stumbles`: heavy slants the other way."""
_BAR, _PERIOD = 5.5, 9.0


def hatch(name: str) -> str:
    """The fill that `box` draws as a hatching."""
    return f"hatch:{name}"


def look(state: str, *, ground: str = "paper") -> dict[str, str | float | None]:
    """Filling and outline that tell a state of a shape: hatched, crossed, dashed, or plain on `ground`."""
    fill = {
        "stands": ground,
        "waits": ground,
        "back": ground,
        "lost": hatch("lost"),
        "out": hatch("out"),
        "falls": hatch("falls"),
    }
    return {
        "fill": fill.get(state, "paper"),
        "stroke": tint(state),
        "stroke_dasharray": {"stands": None, "back": None, "lost": None, "waits": "8 1.5"}.get(
            state, "4 2.5"
        ),
    }


def tint(state: str) -> str:
    """The colour of a line or word for a state; never the only sign of it."""
    return "ink" if state in ("stands", "waits", "back", "out") else "brick"


def box(x: float, y: float, width: float, height: float, **attributes: str | float | None) -> Svg:
    """A rectangle; a `fill` made by `hatch` lies on paper, cut to the rectangle."""
    width, height = max(width, 0.0), max(height, 0.0)
    fill = str(attributes.get("fill") or "")
    if not fill.startswith("hatch:"):
        return tag("rect", x=x, y=y, width=width, height=height, **attributes)
    ground = tag("rect", x=x, y=y, width=width, height=height, fill="paper")
    lines = _lines(fill.removeprefix("hatch:"), x, y, width, height)
    if attributes.get("stroke") in (None, "none"):
        return Svg(ground + lines)
    outline = tag("rect", x=x, y=y, width=width, height=height, **{**attributes, "fill": "none"})
    return Svg(ground + lines + outline)


def _lines(name: str, x: float, y: float, width: float, height: float) -> Svg:
    if name == "blinks":
        return _bars(x, y, width, height)
    style = _HATCH[name]
    d = ""
    if style.rising:
        d += _rising(x, y, width, height, style.apart)
    if style.sinking:
        d += _sinking(x, y, width, height, style.apart)
    return path(d, stroke=style.colour, stroke_width=style.thick, fill="none") if d else Svg("")


def _rising(x: float, y: float, width: float, height: float, apart: float) -> str:
    """Lines on which the sum of the coordinates is constant."""
    step = apart * math.sqrt(2)
    found = []
    for index in range(math.ceil((x + y) / step), math.floor((x + y + width + height) / step) + 1):
        total = index * step
        start, end = max(x, total - y - height), min(x + width, total - y)
        if end - start > 0.3:
            run = number(end - start)
            found.append(f"M{number(start)} {number(total - start)}l{run} -{run}")
    return "".join(found)


def _sinking(x: float, y: float, width: float, height: float, apart: float) -> str:
    """Lines on which the difference of the coordinates is constant."""
    step = apart * math.sqrt(2)
    found = []
    for index in range(math.ceil((x - y - height) / step), math.floor((x + width - y) / step) + 1):
        shift = index * step
        start, end = max(x, shift + y), min(x + width, shift + y + height)
        if end - start > 0.3:
            run = number(end - start)
            found.append(f"M{number(start)} {number(start - shift)}l{run} {run}")
    return "".join(found)


def _bars(x: float, y: float, width: float, height: float) -> Svg:
    """Upright bars from the left edge, the last one cut."""
    high = number(height)
    found = []
    for index in range(math.ceil(width / _PERIOD)):
        start = x + index * _PERIOD
        wide = min(_BAR, x + width - start)
        if index and wide < 2.5:
            break  # a sliver would read as dirt
        found.append(f"M{number(start)} {number(y)}h{number(wide)}v{high}h-{number(wide)}z")
    return path("".join(found), fill="ink")


def prop(x: float, y: float, high: float) -> Svg:
    """A stand-in: a raking prop, hatched across, its foot at the left."""
    rake, thick = high * 0.56, 12.0
    shape = f"M{number(x)} {number(y + high)}l{number(rake)} -{number(high)}h{number(thick)}l-{number(rake)} {number(high)}z"
    across = ""
    for share in (0.25, 0.5, 0.75, 1.0):
        across += f"M{number(x + rake * share)} {number(y + high * (1 - share))}l{number(thick - rake * 0.2)} {number(high * 0.2)}"
    return Svg(
        path(shape, fill="paper", stroke="faint", stroke_width=1, stroke_dasharray="3 2")
        + path(across, fill="none", stroke="faint", stroke_width=1.1)
    )
