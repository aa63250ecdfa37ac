"""How loud is each room, who makes it so, and how far is it from what the limits allow?

Each room stands on the line of 0 dB, a heavy beam as long as its level; on it, thinner, those who are heard, solid where
they stand in the room and hatched where they come through a wall. All to one scale, on which ten decibels more are twice
as loud to the ear. A post marks what each of the two limits allows for as long as somebody stays.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil, inf

from falsework.analyses.noise.result import Allowed, Heard, Noise, RoomNoise
from falsework.analyses.noise.telling import headline, limits_says, room_says, worth_telling
from falsework.analyses.noise.whole import OSHA
from falsework.engines.acoustics import OSHA_CEILING_DB
from falsework.errors import counted, few
from falsework.faces.report.hatching import box, hatch
from falsework.faces.report.panel import Panel, head, key, stacked
from falsework.faces.report.svg import Svg, join, label, line, thing
from falsework.findings.finding import NOISE_CAUTION
from falsework.model.lab import Lab

THICK, THIN = 17.0, 9.0
SMALL = 10.5
MOST_ROOMS = 12
MOST_HEARD = 6
LEAST_DB = 100.0
"""The scale ends no lower, so that the limits are on it."""


def loudness_panel(lab: Lab, found: Noise, *, width: float = 1000) -> Panel:
    """All rooms, the loudest on top.

    Args:
        lab: the lab.
        found: how loud they are.
        width: of the sheet.
    """
    rooms = found.loudest_first
    scale = _Scale(rooms, width)
    parts = [head(lab.name, "how loud each room is", headline(found), width)]
    top = y = 106.0
    drawn = []
    for room in rooms[:MOST_ROOMS]:
        svg, y = scale.room(room, y)
        drawn.append(svg)
    parts.append(scale.ruled(top - 14, y - 6))
    parts.extend(drawn)
    signs, y = key(tuple(_samples(found)), y + 20, width)
    parts.append(signs)
    if len(rooms) > MOST_ROOMS:
        y += 20
        more = f"{counted(len(rooms) - MOST_ROOMS, 'quieter room')} not drawn"
        parts.append(label(20, y, more, size=SMALL, fill="faint"))
    y += 20
    parts.append(label(20, y, NOISE_CAUTION, size=SMALL, fill="faint", room=width - 40))
    return Panel(svg=join(parts), height=y + 6, says=f"{lab.name}, how loud each room is: {headline(found)}")


def loudness_sheet(lab: Lab, found: Noise, *, width: float = 1000, prefix: str = "loudness") -> str:
    """The same as a drawing of its own."""
    return stacked(prefix, width, [loudness_panel(lab, found, width=width)])


class _Scale:
    """Where levels lie."""

    def __init__(self, rooms: Sequence[RoomNoise], width: float) -> None:
        self.left = min(width * 0.36, 340.0)
        self.right = width - 48
        most = max((_reach(room) for room in rooms), default=LEAST_DB)
        self.high = max(ceil(most / 10) * 10.0, LEAST_DB)

    def x(self, level: float) -> float:
        """Where a level lies; what is below 0 dB lies at 0."""
        return self.left + (self.right - self.left) * max(level, 0.0) / self.high

    def ruled(self, top: float, bottom: float) -> Svg:
        """A dotted line each ten decibels."""
        parts = [line(self.left, top, self.right, top, stroke="ink", stroke_width=1.2)]
        for level in range(0, int(self.high) + 1, 10):
            x = self.x(level)
            parts.append(line(x, top - 4, x, top, stroke="ink", stroke_width=1))
            parts.append(line(x, top, x, bottom, stroke="hair", stroke_width=0.7, stroke_dasharray="1 4"))
            if level % 20 == 0:
                parts.append(label(x, top - 8, f"{level} dB", size=SMALL, fill="faint", anchor="middle"))
        return join(parts)

    def room(self, room: RoomNoise, y: float) -> tuple[Svg, float]:
        """One room and who is heard in it, and where the next one begins."""
        shown = worth_telling(room)[:MOST_HEARD]
        parts = [
            label(20, y + 13, room.room, size=13, bold=True, room=self.left - 90),
            label(
                self.left - 10,
                y + 13,
                f"{room.level_db:.0f} dB",
                size=12,
                bold=True,
                fill="brick" if room.above else "ink",
                anchor="end",
            ),
            self._beam(room, y),
        ]
        at = y + THICK + 6
        for heard in shown:
            parts.append(self._heard(heard, at))
            at += THIN + 6
        for allowed in room.allowed:
            parts.extend(self._post(allowed, y, at))
        says = f"{room_says(room)}. {limits_says(room)}."
        drawn = thing(room.room, *parts, says=says, word="room", state="falls" if room.above else "stands")
        return drawn, at + 18

    def _beam(self, room: RoomNoise, y: float) -> Svg:
        end = self.x(room.level_db)
        over = (
            {"fill": hatch("falls"), "stroke": "brick"} if room.above else {"fill": "stone", "stroke": "ink"}
        )
        parts = [box(self.left, y, end - self.left, THICK, stroke_width=1.2, **over)]
        own = self.x(room.own_db)
        parts.append(
            line(own, y - 3, own, y + THICK + 3, stroke="ink", stroke_width=1, stroke_dasharray="2 2")
        )
        return join(parts)

    def _heard(self, heard: Heard, y: float) -> Svg:
        who = few(heard.things, 3)
        said = f"from {heard.through}: {who}" if heard.through else who
        taken = "" if heard.said else ", level taken"
        fill = hatch("thin") if heard.through else "paper"
        end = max(self.x(heard.all_db), self.left + 1)
        number = self.left - 10
        return join(
            (
                label(
                    number - 44,
                    y + 8,
                    f"{said}{taken}",
                    size=SMALL,
                    fill="faint",
                    anchor="end",
                    room=number - 74,
                ),
                label(number, y + 8, f"{heard.all_db:.0f} dB", size=SMALL, fill="faint", anchor="end"),
                box(self.left, y, end - self.left, THIN, fill=fill, stroke="ink", stroke_width=0.9),
            )
        )

    def _post(self, allowed: Allowed, top: float, bottom: float) -> Iterator[Svg]:
        if allowed.level_db is None or allowed.level_db > self.high:
            return
        stroke = "brick" if allowed.above else "ink"
        yield _limit(allowed, self.x(allowed.level_db), top - 5, bottom - 2, stroke)


def _limit(allowed: Allowed, x: float, top: float, bottom: float, stroke: str) -> Svg:
    """The post of a limit: solid what is permitted, dashed what is recommended."""
    permitted = allowed.by == OSHA
    return line(
        x,
        top,
        x,
        bottom,
        stroke=stroke,
        stroke_width=2.4 if permitted else 1.4,
        stroke_dasharray=None if permitted else "5 3",
    )


def _reach(room: RoomNoise) -> float:
    """The highest level of a room that must be on the sheet: its own, and the limits but for those of no stay at all."""
    limits = [each.level_db for each in room.allowed if (each.level_db or inf) <= OSHA_CEILING_DB]
    return max((room.level_db + 8, *(level for level in limits if level is not None)))


def _samples(found: Noise) -> Iterator[tuple[Svg, str]]:
    yield box(0, -11, 27, 13, fill="stone", stroke="ink", stroke_width=1.2), "the level of a room"
    if any(room.above for room in found.rooms):
        yield box(0, -11, 27, 13, fill=hatch("falls"), stroke="brick", stroke_width=1.2), "above a limit"
    yield (
        line(14, -13, 14, 4, stroke="ink", stroke_width=1, stroke_dasharray="2 2"),
        "its own level, with all off",
    )
    yield box(0, -9, 27, THIN, fill="paper", stroke="ink", stroke_width=0.9), "machines in it"
    if any(heard.through for room in found.rooms for heard in worth_telling(room)):
        yield (
            box(0, -9, 27, THIN, fill=hatch("thin"), stroke="ink", stroke_width=0.9),
            "machines heard through a wall",
        )
    for allowed in found.rooms[0].allowed if found.rooms else ():
        yield _limit(allowed, 14, -14, 4, "ink"), f"{allowed.by} allows for the stay"
