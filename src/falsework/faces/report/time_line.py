"""How do lines of logs, probes, actions and predictions lie in time, seen at a glance?

Time runs from left to right, the moment on a post of its own; the farther from it, the closer together, so that the first
seconds have as much room as the minutes after them. Above, a course for each thing that was foretold to fall or was seen
to: the prediction hatched on top, what the probes saw solid below. Under it, a course for each host: a stroke for lines, a
beam for those that go on, a cross where it fell silent.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator, Sequence

from falsework.analyses.evidence.result import Evidence, Point, Sort
from falsework.analyses.evidence.telling import headline, length, point_says, since
from falsework.faces.evidence_rows import chosen
from falsework.faces.report.hatching import box, hatch
from falsework.faces.report.panel import Panel, head, key, stacked
from falsework.faces.report.svg import Svg, join, label, line, number, path, thing, width_of
from falsework.logs.thinning import SEVERE

TOP = 112.0
PITCH, SMALL = 25.0, 10.5
MOST_THINGS = 24
MOST_HOSTS = 30
MOST_STROKES = 120
"""Points of one course, those about the moment; the rest are counted."""
_LEAST_S = 0.5
"""Seconds around the moment within which the axis is even."""
_TICKS = (1, 10, 60, 600, 3_600, 21_600, 86_400, 604_800)


def time_line(lab: str, found: Evidence, zone: datetime.tzinfo, *, width: float = 1200) -> str:
    """The whole sheet.

    Args:
        lab: its name.
        found: what to draw.
        zone: that moments are shown in.
        width: of the sheet.
    """
    return stacked("evidence", width, [_panel(lab, found, zone, width)])


class _Axis:
    """Where a moment lies; logarithms on both sides of an even middle, as an area sine gives them."""

    def __init__(self, left: float, right: float, before_s: float, after_s: float) -> None:
        self.left, self.right = left, right
        self._low, self._high = -math.asinh(before_s / _LEAST_S), math.asinh(after_s / _LEAST_S)
        if self._high - self._low < 1e-9:
            self._high = self._low + 1.0
        self.ticks = [
            *(-each for each in reversed(_TICKS) if each <= before_s),
            0,
            *(each for each in _TICKS if each <= after_s),
        ]

    def x(self, seconds: float) -> float:
        """Where a moment lies; what is beyond the ends lies at them."""
        at = math.copysign(math.asinh(min(abs(seconds), 1e12) / _LEAST_S), seconds)
        share = (at - self._low) / (self._high - self._low)
        return self.left + (self.right - self.left) * min(max(share, 0.0), 1.0)


def _panel(lab: str, found: Evidence, zone: datetime.tzinfo, width: float) -> Panel:
    things, hosts = _things(found.points), _hosts(found.points)
    rows = (*things[:MOST_THINGS], *hosts[:MOST_HOSTS])
    names = min(max([width_of(name, 12.5) for name in rows] + [70.0]), width * 0.22)
    of = _Axis(20 + names + 14, width - 26, found.before_s, found.after_s)
    moment = found.moment.astimezone(zone)
    second = f"around {moment:%Y-%m-%d %H:%M:%S} {moment.tzname() or ''}".rstrip()
    parts = [head(lab, headline(found), second, width)]
    y = TOP
    drawn = []
    hidden = 0
    for name in things[:MOST_THINGS]:
        mine = tuple(each for each in found.points if _about(each) == name)
        shown = chosen(mine, MOST_STROKES)
        hidden += len(mine) - len(shown)
        drawn.append(_thing(of, name, shown, y, names))
        y += PITCH
    if things and hosts:
        y += 10
        drawn.append(line(20, y - 5, width - 26, y - 5, stroke="hair", stroke_width=0.8))
    for name in hosts[:MOST_HOSTS]:
        mine = tuple(each for each in found.points if each.sort in _HOSTLY and each.whose == name)
        shown = chosen(mine, MOST_STROKES)
        hidden += len(mine) - len(shown)
        drawn.append(_host(of, name, shown, y, names))
        y += PITCH
    parts.extend(_ticks(of, y))
    parts.extend(drawn)
    parts.extend(_marks(of, found.points, y))
    signs, y = key(tuple(_samples(found.points)), y + 42, width)
    parts.append(signs)
    left = max(len(things) - MOST_THINGS, 0) + max(len(hosts) - MOST_HOSTS, 0)
    for many, says in ((left, "have no course"), (hidden, "points are not drawn")):
        if many:
            y += 20
            parts.append(label(20, y, f"{many:,} more {says}.", size=SMALL, italic=True, fill="faint"))
    return Panel(svg=join(parts), height=y + 6, says=f"{lab}, a time line: {headline(found)}")


_HOSTLY = (Sort.SAID, Sort.SILENT, Sort.SET)


def _about(point: Point) -> str:
    """The thing whose course a prediction or an outage is on; a probe that sees nothing known has its own."""
    if point.sort is Sort.FORETOLD:
        return point.whose
    return (point.thing or point.whose) if point.sort is Sort.SEEN else ""


def _things(points: Sequence[Point]) -> list[str]:
    """Things in order of what comes first; those that a probe saw before those that are only foretold."""
    seen: dict[str, None] = {}
    for point in (*(each for each in points if each.sort is Sort.SEEN), *points):
        if name := _about(point):
            seen.setdefault(name)
    return list(seen)


def _hosts(points: Sequence[Point]) -> list[str]:
    """Hosts in the order in which they speak after the moment, then those that spoke before it only."""
    lines = [each for each in points if each.sort in _HOSTLY]
    later = [each for each in lines if each.at_s >= 0 or each.sort is Sort.SILENT]
    return list(dict.fromkeys(each.whose for each in (*later, *lines)))


def _ticks(of: _Axis, bottom: float) -> Iterator[Svg]:
    yield line(of.left, TOP - 10, of.right, TOP - 10, stroke="ink", stroke_width=1.2)
    free = -1e9
    for tick in of.ticks:
        x = of.x(tick)
        yield line(
            x, TOP - 14, x, bottom, stroke="hair" if tick else "ink", stroke_width=0.7 if tick else 1.4,
            stroke_dasharray="1 4" if tick else None,
        )  # fmt: skip
        words = f"{'-' if tick < 0 else ''}{length(abs(tick))}" if tick else "it"
        half = width_of(words, SMALL) / 2
        if x - half > free:
            yield label(x, TOP - 19, words, size=SMALL, fill="faint" if tick else "ink", anchor="middle")
            free = x + half + 6


def _thing(of: _Axis, name: str, points: Sequence[Point], y: float, room: float) -> Svg:
    parts = [_name(of, name, y, room)]
    for point in points:
        start, end = of.x(point.at_s), of.x(point.until_s)
        wide = max(end - start, 3.0)
        if point.sort is Sort.FORETOLD:
            fill = hatch("falls" if math.isinf(point.until_s) else "blinks")
            shape = box(start, y + 2, wide, 9, fill=fill, stroke="ink", stroke_width=1)
        else:
            shape = box(start, y + 13, wide, 7, fill="brick")
        parts.append(
            thing(
                point.whose,
                shape,
                says=f"{_is(point)}{point_says(point)}, {since(point.at_s)}",
                word=point.sort.value,
                state="falls",
            )
        )
    return join(parts)


def _is(point: Point) -> str:
    return "by the plan " if point.sort is Sort.FORETOLD else ""


def _host(of: _Axis, name: str, points: Sequence[Point], y: float, room: float) -> Svg:
    parts = [_name(of, name, y, room)]
    parts.append(line(of.left, y + 16, of.right, y + 16, stroke="hair", stroke_width=0.8))
    parts.extend(
        thing(
            name,
            _stroke(of, each, y),
            says=f"{point_says(each)}, {since(each.at_s)}",
            word="host",
            state="stands",
        )
        for each in points
    )
    return join(parts)


def _stroke(of: _Axis, point: Point, y: float) -> Svg:
    x = of.x(point.at_s)
    if point.sort is Sort.SILENT:
        d = f"M{number(x - 4)} {number(y + 12)}l8 8m-8 0l8 -8"
        return path(d, fill="none", stroke="brick", stroke_width=2.2)
    if point.sort is Sort.SET:
        return path(
            f"M{number(x)} {number(y + 11)}l5 5l-5 5l-5 -5z", fill="paper", stroke="ink", stroke_width=1.3
        )
    bad = point.severity <= SEVERE
    shade = "brick" if bad else "ink"
    high = 14.0 if bad or point.why == "new" else 8.0
    parts = [line(x, y + 16 - high / 2, x, y + 16 + high / 2, stroke=shade, stroke_width=2.4 if bad else 1.6)]
    end = of.x(point.until_s)
    if point.count > 1 and end - x > 2:
        parts.append(line(x, y + 16, end, y + 16, stroke=shade, stroke_width=3.4))
    if math.isfinite(point.within_s):
        low, high_x = of.x(point.at_s - point.within_s), of.x(point.at_s + point.within_s)
        if high_x - low > 5:
            d = f"M{number(low)} {number(y + 21)}v3h{number(high_x - low)}v-3"
            parts.append(path(d, fill="none", stroke="faint", stroke_width=0.9))
    return join(parts)


def _marks(of: _Axis, points: Sequence[Point], bottom: float) -> Iterator[Svg]:
    free = -1e9
    for point in points:
        if point.sort is not Sort.DONE:
            continue
        x = of.x(point.at_s)
        yield line(x, TOP - 10, x, bottom + 4, stroke="brick", stroke_width=1.6)
        if x >= free:
            says = point.says if len(point.says) < 30 else f"{point.says[:27]}..."
            half = width_of(says, SMALL) / 2
            middle = min(max(x, of.left + half), of.right - half)
            yield label(middle, bottom + 16, says, size=SMALL, fill="brick", anchor="middle")
            free = x + 2 * half + 8


def _name(of: _Axis, name: str, y: float, room: float) -> Svg:
    return label(of.left - 12, y + 18, name, size=12.5, anchor="end", room=room)


def _samples(points: Sequence[Point]) -> Iterator[tuple[Svg, str]]:
    sorts = {each.sort for each in points}
    plans = [each for each in points if each.sort is Sort.FORETOLD]
    if any(math.isinf(each.until_s) for each in plans):
        yield box(0, -10, 27, 9, fill=hatch("falls"), stroke="ink", stroke_width=1), "falls by the plan"
    if any(math.isfinite(each.until_s) for each in plans):
        yield (
            box(0, -10, 27, 9, fill=hatch("blinks"), stroke="ink", stroke_width=1),
            "is interrupted by the plan",
        )
    if Sort.SEEN in sorts:
        yield box(0, -8, 27, 7, fill="brick"), "a probe was not answered"
    lines = [each for each in points if each.sort is Sort.SAID]
    if any(each.severity > SEVERE and each.why == "new" for each in lines):
        yield line(13, -12, 13, 2, stroke="ink", stroke_width=1.6), "lines that are new"
    if any(each.severity > SEVERE and each.why != "new" for each in lines):
        yield line(13, -9, 13, -1, stroke="ink", stroke_width=1.6), "other lines that are told"
    if any(each.severity <= SEVERE for each in lines):
        yield line(13, -12, 13, 2, stroke="brick", stroke_width=2.4), "an error or worse"
    if any(math.isfinite(each.within_s) and each.within_s > 0 for each in lines):
        yield (
            path("M2 -4v3h23v-3", fill="none", stroke="faint", stroke_width=0.9),
            "where it may lie, by its clock",
        )
    if Sort.SILENT in sorts:
        yield path("M9 -9l8 8m-8 0l8 -8", fill="none", stroke="brick", stroke_width=2.2), "fell silent"
    if Sort.SET in sorts:
        yield path("M13 -10l5 5l-5 5l-5 -5z", fill="paper", stroke="ink", stroke_width=1.3), "set its clock"
    if Sort.DONE in sorts:
        yield line(13, -13, 13, 4, stroke="brick", stroke_width=1.6), "was done"
