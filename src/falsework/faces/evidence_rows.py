"""How does a point of a time line of evidence stand in a row of a table?"""

from __future__ import annotations

import datetime
import math

from falsework.analyses.evidence.result import Evidence, Point, Sort
from falsework.analyses.evidence.telling import length, near_says, point_says

HEAD = ("time", "after", "is", "what")
MOST_ROWS = 60
"""Points that are shown where not all are asked for."""
MOST_FORETOLD = 16


def chosen(points: tuple[Point, ...], most: int = MOST_ROWS) -> tuple[Point, ...]:
    """The points worth showing where not all can be, in their order."""
    foretold = [each for each in points if each.sort is Sort.FORETOLD][:MOST_FORETOLD]
    others = [each for each in points if each.sort is not Sort.FORETOLD]
    ranked = sorted(others, key=_rank)[: most - len(foretold)]
    kept = {id(each) for each in (*foretold, *ranked)}
    return tuple(each for each in points if id(each) in kept)


def _rank(point: Point) -> tuple[int, float]:
    """What was done and seen first, then lines near the moment, those from before it last."""
    if point.sort is not Sort.SAID:
        return (0, point.at_s if point.at_s >= 0 else math.inf)
    return (1 if point.at_s >= -60 else 2, abs(point.at_s))


def row(found: Evidence, point: Point, zone: datetime.tzinfo) -> tuple[str, str, str, str]:
    """When by the clock on the wall, how long after the moment, why or what it is, and what it tells."""
    extra = []
    if point.count > 1:
        extra.append(f"x {point.count:,}, until {clock(found, point.until_s, zone)}")
    if point.usual >= 0.5:
        extra.append(f"usually {point.usual:,.0f} in that time")
    if near_says(point) and (point.at_s > -5 or point.sort is not Sort.SAID):
        extra.append(near_says(point))
    if point.sort is Sort.SAID and math.isfinite(point.within_s) and point.within_s >= 0.05:
        extra.append(f"to within {length(point.within_s)}")
    if point.file is not None:
        extra.append(
            f"{point.file.name}:{point.line}" if point.line else f"{point.file.name}, byte {point.offset}"
        )
    says = point_says(point)
    sign = "-" if point.at_s < 0 else ""
    return (
        clock(found, point.at_s, zone),
        f"{sign}{length(abs(point.at_s))}",
        point.why if point.sort is Sort.SAID else point.sort.value,
        f"{says} ({'; '.join(extra)})" if extra else says,
    )


def clock(found: Evidence, at_s: float, zone: datetime.tzinfo, *, whole: bool = False) -> str:
    """A moment by the clock on the wall."""
    try:
        at = (found.moment + datetime.timedelta(seconds=at_s)).astimezone(zone)
    except (OverflowError, ValueError):
        return "-"
    tenth = f"{at:%H:%M:%S}.{at.microsecond // 100_000}"
    return f"{at:%Y-%m-%d} {tenth} {at.tzname() or ''}".rstrip() if whole else tenth
