"""What stands in each rack, from the front, from behind and from the side, to scale?

All racks are drawn to one scale. A block is a machine, with its name, weight and busy draw; a hatched one has no place
in the lab file and was given one. The quartered disc is the centre of gravity, and the line from it to the edge of the
base is the one that stands upright at the moment when the rack tips.
"""

from __future__ import annotations

from collections.abc import Iterator

from falsework.analyses.rack import Racks, RackSheet
from falsework.analyses.rack.telling import faults, name_says
from falsework.engines.mechanics import TILT_DEG, UNIT_M
from falsework.faces.report.footing import ground
from falsework.faces.report.hatching import box, hatch
from falsework.faces.report.panel import Panel, head, key, stacked
from falsework.faces.report.rack_frame import SMALL, TOP, RackFrame, disc
from falsework.faces.report.svg import Svg, join, label, line
from falsework.findings.finding import WEIGHT_CAUTION
from falsework.model.lab import Lab

SCALE = 340.0
"""Of the sheet for one metre."""
APART = 74.0
"""Between two views."""


def racks_sheet(lab: Lab, found: Racks, *, width: float = 1000, prefix: str = "racks") -> str:
    """Every rack, one below the other."""
    panels = [rack_panel(lab, sheet, width=width, prefix=prefix) for sheet in found.racks]
    if not panels:
        panels = [
            Panel(svg=head(lab.name, "no rack", "the lab file has none", width), height=80, says="no rack")
        ]
    return stacked(prefix, width, panels)


def rack_panel(lab: Lab, sheet: RackSheet, *, width: float = 1000, prefix: str = "") -> Panel:
    """One rack: front, back and side.

    Args:
        lab: the lab.
        sheet: what was found out about the rack.
        width: of the drawing; views that find no room beside each other are drawn smaller.
        prefix: of the ids of its machines; none if not said.
    """
    wrong = faults(sheet)
    second = (
        "; ".join(wrong)
        if wrong
        else f"{sheet.whole.mass_kg:.0f} kg in all; tips at {sheet.sideways_deg:.1f}° sideways, "
        f"{sheet.forwards_deg:.1f}° over its front or back"
    )
    name = name_says(sheet)
    wide = 2 * sheet.width_m + max([sheet.depth_m, *(each.depth_m for each in sheet.mounted)])
    scale = min(SCALE, (width - 120 - 2 * APART) / wide)
    frame = RackFrame(
        sheet=sheet,
        scale=scale,
        floor=TOP + sheet.top_m * scale,
        prefix=prefix,
        text=min(SMALL, UNIT_M * scale * 0.72),
    )
    x = 64.0
    parts = [head(lab.name, name, second, width)]
    parts.append(frame.view(x, "front", back=False))
    x += sheet.width_m * scale + APART
    parts.append(frame.view(x, "back", back=True))
    x += sheet.width_m * scale + APART
    parts.append(frame.side(x))
    parts.append(ground(20, width - 20, frame.floor))
    signs, y = key(tuple(_samples(sheet)), frame.floor + 44, width)
    parts.append(signs)
    y += 20
    parts.append(label(20, y, WEIGHT_CAUTION, size=SMALL, fill="faint", room=width - 40))
    return Panel(svg=join(parts), height=y + 6, says=f"{lab.name}, {name}: {second}")


def _samples(sheet: RackSheet) -> Iterator[tuple[Svg, str]]:
    yield box(0, -11, 26, 13, fill="stone", stroke="ink", stroke_width=1.1), "mounted here"
    if any(each.proposed for each in sheet.mounted):
        yield (
            box(0, -11, 26, 13, fill=hatch("rises"), stroke="ink", stroke_dasharray="4 2.5"),
            "no place in the lab file: proposed, as low as can be"
            if sheet.lowest
            else "no place in the lab file: proposed",
        )
    yield (
        box(0, -11, 26, 13, fill="paper", stroke="faint"),
        "the other end of what is mounted from the other side",
    )
    if any(each.depth_m > sheet.depth_m for each in sheet.mounted):
        yield box(0, -11, 26, 13, fill=hatch("falls"), stroke="brick"), "deeper than the rack"
    yield disc(13, -5, 8), f"centre of gravity, {sheet.whole.height_m * 100:.0f} cm above the floor"
    yield (
        line(0, -5, 27, -5, stroke="ink", stroke_width=1.2, stroke_dasharray="7 4"),
        f"upright when it tips; the published test asks {TILT_DEG:.0f}°",
    )
