"""How is one rack drawn from the front, from behind and from the side?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from falsework.analyses.rack import Mounted, RackSheet
from falsework.engines.mechanics import PANEL_M, TILT_DEG, UNIT_M
from falsework.faces.report.hatching import box, hatch
from falsework.faces.report.svg import Svg, join, label, line, number, path, tag, thing, width_of

SMALL = 10.5
TOP = 118.0
"""The upper edge of a rack on the sheet."""
STRIP_M = 0.05
"""How wide a strip that stands upright is drawn."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RackFrame:
    """One rack on the sheet.

    Attributes:
        sheet: the rack.
        scale: of the sheet for one metre.
        floor: where the floor is on the sheet.
        prefix: of ids.
        text: size of the type in a unit.
    """

    sheet: RackSheet
    scale: float
    floor: float
    prefix: str
    text: float

    def y(self, height_m: float) -> float:
        """Where a height above the floor is on the sheet."""
        return self.floor - height_m * self.scale

    def unit(self, unit: float) -> float:
        """Where the lower edge of a unit is, 1 the lowest."""
        return self.y(self.sheet.foot_m + (unit - 1) * UNIT_M)

    def view(self, x: float, says: str, *, back: bool) -> Svg:
        """The rack from the front, or from behind."""
        sheet, wide = self.sheet, self.sheet.width_m * self.scale
        panel = PANEL_M * self.scale
        left = x + (wide - panel) / 2
        parts = [label(x + wide / 2, TOP - 10, says, size=12, fill="faint", anchor="middle", italic=True)]
        parts.append(self._outline(x, wide))
        parts.extend(self._feet(x, wide))
        parts.extend(self._units(x, left, panel, numbered=not back))
        for each in sheet.mounted:
            if each.upright:
                if back:
                    parts.append(self._upright(each, x, wide))
            elif each.back == back:
                share = self._beside(each)
                wide_one = panel / len(share)
                parts.append(self._machine(each, left + wide_one * share.index(each.thing), wide_one))
            elif each.depth_m > 0.4 * sheet.depth_m:
                parts.append(self._behind(each, left, panel))
        if back:  # where its lines cross the fewest words
            middle = x + wide / 2
            parts.extend(self._gravity(middle, x + wide, sheet.sideways_deg))
        return join(parts)

    def side(self, x: float) -> Svg:
        """The rack from its right side: the front is at the left."""
        sheet, deep = self.sheet, self.sheet.depth_m * self.scale
        parts = [
            label(x + deep / 2, TOP - 10, "side", size=12, fill="faint", anchor="middle", italic=True),
            label(x, self.floor + 16, "front", size=SMALL, fill="faint"),
            label(x + deep, self.floor + 16, "back", size=SMALL, fill="faint", anchor="end"),
        ]
        parts.append(self._outline(x, deep))
        parts.extend(self._feet(x, deep))
        for each in sheet.mounted:
            parts.append(self._from_side(each, x + deep - each.depth_m * self.scale if each.back else x))
            beyond = each.depth_m - sheet.depth_m
            if beyond > 0 and not each.upright:
                at = x - beyond * self.scale if each.back else x + deep
                parts.append(self._block(each, at, beyond * self.scale, fill=hatch("falls"), stroke="brick"))
        middle = x + deep / 2 - sheet.whole.forward_m * self.scale
        edge = x if sheet.whole.forward_m >= 0 else x + deep
        parts.extend(self._gravity(middle, edge, sheet.forwards_deg))
        return join(parts)

    def _outline(self, x: float, wide: float) -> Svg:
        top, foot = self.y(self.sheet.top_m), self.y(self.sheet.foot_m)
        post = 5.0
        return join(
            (
                box(x, top, wide, foot - top, fill="paper", stroke="ink", stroke_width=1.6),
                *(
                    box(at, top, post, foot - top, fill="stone", stroke="ink", stroke_width=0.7)
                    for at in (x, x + wide - post)
                ),
            )
        )

    def _feet(self, x: float, wide: float) -> Iterator[Svg]:
        high = self.sheet.foot_m * self.scale
        for at in (x + 16, x + wide - 16):
            if self.sheet.rolling is not None:
                radius = min(high / 2, 12.0)
                yield line(
                    at, self.floor - 2 * radius, at, self.y(self.sheet.foot_m), stroke="ink", stroke_width=3
                )
                yield tag(
                    "circle",
                    cx=at,
                    cy=self.floor - radius,
                    r=radius,
                    fill="stone",
                    stroke="ink",
                    stroke_width=1.4,
                )
                yield tag("circle", cx=at, cy=self.floor - radius, r=1.5, fill="ink")
            else:
                yield path(
                    f"M{number(at - 5)} {number(self.floor)}h10l-3 -{number(high)}h-4z",
                    fill="stone",
                    stroke="ink",
                )

    def _units(self, x: float, left: float, panel: float, *, numbered: bool) -> Iterator[Svg]:
        units = math.floor(self.sheet.units)
        d = "".join(
            f"M{number(left)} {number(self.unit(unit))}h{number(panel)}" for unit in range(1, units + 2)
        )
        yield path(d, stroke="hair", stroke_width=0.5, fill="none")
        if numbered:
            for unit in range(1, units + 1):
                y = (self.unit(unit) + self.unit(unit + 1)) / 2 + self.text * 0.35
                yield label(x - 5, y, str(unit), size=self.text * 0.85, fill="faint", anchor="end")

    def _stretch(self, each: Mounted) -> tuple[float, float]:
        """The upper edge of what is mounted, and how tall it is: its neighbours stand a little apart from it."""
        low, high = self.unit(each.at), self.unit(each.at + each.height)
        return high + 1, low - high - 2

    def _line(self, each: Mounted) -> float:
        """Where the words in what is mounted stand."""
        low, high = self.unit(each.at), self.unit(each.at + each.height)
        return (low + high) / 2 + self.text * 0.35

    def _block(self, each: Mounted, x: float, wide: float, **attributes: str | float | None) -> Svg:
        """A rectangle in its units."""
        top, tall = self._stretch(each)
        return box(x, top, wide, tall, **attributes)

    def _body(self, each: Mounted, x: float, wide: float) -> Svg:
        """What is mounted, by itself: hatched and dashed where its place is proposed."""
        fill, dashes = (hatch("rises"), "4 2.5") if each.proposed else ("stone", None)
        return self._block(each, x, wide, fill=fill, stroke="ink", stroke_width=1.1, stroke_dasharray=dashes)

    def _strip(self, x: float, wide: float, thick: float) -> Svg:
        """What stands upright beside the units."""
        top, foot = self._upright_ends()
        return box(x, top, wide, foot - top, fill="stone", stroke="ink", stroke_width=thick)

    def _upright_ends(self) -> tuple[float, float]:
        return self.y(self.sheet.top_m) + 14, self.y(self.sheet.foot_m) - 14

    def _beside(self, each: Mounted) -> list[str]:
        """Those that stand in the same units on the same side, itself among them: beside each other on a shelf."""
        place = (each.at, each.height, each.back)
        return [other.thing for other in self.sheet.mounted if (other.at, other.height, other.back) == place]

    def _machine(self, each: Mounted, left: float, panel: float) -> Svg:
        y, (top, tall) = self._line(each), self._stretch(each)
        says = _short(each)
        room = panel - 12
        beside = width_of(says, self.text)
        if self.text < 7 or width_of(each.thing, self.text, bold=True) + beside + 6 > room:
            says, beside = "", 0.0
        plate = Svg("")
        if each.proposed:
            plate = box(left + 3, top + 2, panel - 6, max(tall - 4, 1), fill="paper", opacity=0.85)
        ears = join(self._block(each, at, 4, fill="ink", opacity=0.8) for at in (left - 4, left + panel))
        return thing(
            each.thing,
            self._body(each, left, panel),
            ears,
            plate,
            label(left + 6, y, each.thing, size=self.text, bold=True, room=room - beside - 6, told=False),
            label(left + panel - 6, y, says, size=self.text, anchor="end", told=False),
            says=_long(each),
            word=each.word,
            state="proposed" if each.proposed else "mounted",
            prefix=self.prefix,
        )

    def _behind(self, each: Mounted, left: float, panel: float) -> Svg:
        """The back of what is mounted from the other side and reaches this far."""
        return join(
            (
                self._block(each, left + 6, panel - 12, fill="paper", stroke="faint", stroke_width=0.9),
                label(left + 12, self._line(each), each.thing, size=self.text, fill="faint", room=panel - 20),
            )
        )

    def _upright(self, each: Mounted, x: float, wide: float) -> Svg:
        """A strip behind the units: those that there are stand on either side in turn."""
        strips = [other.thing for other in self.sheet.mounted if other.upright]
        number_ = strips.index(each.thing)
        thick = STRIP_M * self.scale
        shift = 8 + (number_ // 2) * (thick + 3)
        at = x + shift if number_ % 2 == 0 else x + wide - shift - thick
        top, foot = self._upright_ends()
        return thing(
            each.thing,
            self._strip(at, thick, 1.1),
            label(
                at + thick / 2 + 4,
                (top + foot) / 2,
                each.thing,
                size=SMALL,
                bold=True,
                anchor="middle",
                turned=True,
                told=False,
            ),
            says=_long(each),
            word=each.word,
            state="mounted",
            prefix=self.prefix,
        )

    def _from_side(self, each: Mounted, x: float) -> Svg:
        wide = each.depth_m * self.scale
        if each.upright:
            return self._strip(x, wide, 0.8)
        return join(
            (
                self._body(each, x, wide),
                label(
                    x + wide - 6,
                    self._line(each),
                    each.thing if not each.proposed else "",
                    size=self.text,
                    fill="faint",
                    anchor="end",
                    room=wide - 12,
                ),
            )
        )

    def _gravity(self, x: float, edge: float, angle: float) -> Iterator[Svg]:
        """The centre of gravity, and the line to the edge of the base over which the rack would tip."""
        sheet = self.sheet
        y = self.y(sheet.whole.height_m)
        colour = "ink" if angle >= TILT_DEG else "brick"
        yield line(x, y, edge, self.floor, stroke=colour, stroke_width=1.2, stroke_dasharray="7 4")
        yield line(x, y, x, self.floor, stroke=colour, stroke_width=0.8, stroke_dasharray="2 3")
        yield disc(x, y, 8, colour)
        says = f"{angle:.1f}°"
        wide = width_of(says, 12, bold=True) + 8
        at = x - wide / 2
        low = self.floor - 5
        yield box(at, low - 13, wide, 17, fill="paper", stroke=colour, stroke_width=0.9)
        yield label(x, low, says, size=12, bold=True, fill=colour, anchor="middle")


def disc(x: float, y: float, radius: float, colour: str = "ink") -> Svg:
    """The usual sign of a centre of gravity: a disc in quarters."""
    r, cx, cy = number(radius), number(x), number(y)
    quarters = f"M{cx} {cy}h{r}a{r} {r} 0 0 0 -{r} -{r}zM{cx} {cy}h-{r}a{r} {r} 0 0 0 {r} {r}z"
    return join(
        (
            tag("circle", cx=x, cy=y, r=radius, fill="paper", stroke=colour, stroke_width=1.3),
            path(quarters, fill=colour),
        )
    )


def _short(each: Mounted) -> str:
    draw = "" if each.busy_w is None else f" · {each.busy_w:.0f} W"
    return f"{each.mass_kg:.0f} kg{draw}"


def _long(each: Mounted) -> str:
    says = f"{each.word} {each.thing}: {each.mass_kg:g} kg, {each.depth_m * 1000:.0f} mm deep"
    if not each.upright:
        says += f", from unit {each.at:g}"
    if each.busy_w is not None:
        says += f", {each.busy_w:.0f} W when busy"
    return says + (", a proposed place" if each.proposed else "")
