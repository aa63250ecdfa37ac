"""Where does a time lie on an axis, even or by powers of ten, and which times are marked on it?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from falsework.faces.amounts import minutes_said
from falsework.faces.report.svg import Svg, join, label, line, width_of

_H, _D = 60.0, 1440.0
_MARKS = (
    (1 / 60, "1 s"),
    (1 / 6, "10 s"),
    (1.0, "1 min"),
    (10.0, "10 min"),
    (_H, "1 h"),
    (6 * _H, "6 h"),
    (_D, "1 day"),
    (7 * _D, "1 week"),
    (30 * _D, "30 days"),
    (365.25 * _D, "1 year"),
)
"""What is marked by powers of ten: times that people have a feeling for, not round numbers."""
_STEPS = (
    *(each / 60 for each in (1, 2, 5, 10, 20, 30)),
    *(1.0, 2.0, 5.0, 10.0, 20.0, 30.0),
    *(each * _H for each in (1, 2, 3, 6, 12)),
    *(each * _D for each in (1, 2, 5, 10, 20, 50, 100)),
)
_FARTHEST = 3e4
"""An axis by powers of ten spans no more than this; what is smaller lies at its beginning."""
_UNEVEN = 8.0
"""How many times the middle value the largest must be, for an even axis to say nothing of most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """Times from left to right.

    Attributes:
        left, right: its ends on the sheet.
        low, high: the minutes there.
        log: whether equal steps multiply.
        ticks: what is marked, minutes and words.
    """

    left: float
    right: float
    low: float
    high: float
    log: bool
    ticks: tuple[tuple[float, str], ...]

    def x(self, minutes: float) -> float:
        """Where a time lies; what is beyond the ends lies at them."""
        if self.log:
            share = math.log(max(minutes, self.low) / self.low) / math.log(self.high / self.low)
        else:
            share = (minutes - self.low) / (self.high - self.low)
        return self.left + (self.right - self.left) * min(max(share, 0.0), 1.0)


def axis(values: Sequence[float], *, left: float, right: float, log: bool | None = None) -> Axis:
    """An axis on which all values have room, and read well.

    Args:
        values: minutes; nothing and what has no end are passed over.
        left: where it begins on the sheet.
        right: where it ends.
        log: whether equal steps multiply; None for what reads better.
    """
    shown = sorted(each for each in values if 0 < each < math.inf)
    high = shown[-1] if shown else 1.0
    uneven = bool(shown) and high > _UNEVEN * shown[len(shown) // 2]
    if uneven if log is None else log:
        return _by_tens(shown, left, right)
    wanted = max(min((right - left) / 90, 8.0), 2.0)
    step = next((each for each in _STEPS if high / each <= wanted), _STEPS[-1])
    count = max(math.ceil(high / step - 1e-9), 1)
    ticks = tuple(
        (step * number, minutes_said(step * number) if number else "0") for number in range(count + 1)
    )
    return Axis(left=left, right=right, low=0.0, high=step * count, log=False, ticks=ticks)


def _by_tens(shown: Sequence[float], left: float, right: float) -> Axis:
    high = next((mark for mark, _ in _MARKS if mark >= shown[-1]), shown[-1]) if shown else 10.0
    least = max(shown[0] if shown else 1.0, high / _FARTHEST, _MARKS[0][0])
    low = max((mark for mark, _ in _MARKS if mark < least), default=_MARKS[0][0])
    if low >= high:
        high = next((mark for mark, _ in _MARKS if mark > low), low * 10)
    ticks = tuple((mark, says) for mark, says in _MARKS if low <= mark <= high)
    return Axis(left=left, right=right, low=low, high=high, log=True, ticks=ticks)


def drawn(of: Axis, top: float, bottom: float, *, size: float = 10.5) -> Svg:
    """The axis above its rows: a mark and a dotted line down for each tick, the words that have room."""
    parts = [line(of.left, top, of.right, top, stroke="ink", stroke_width=1.2)]
    for minutes, _ in of.ticks:
        x = of.x(minutes)
        parts.append(line(x, top - 4, x, top, stroke="ink", stroke_width=1))
        parts.append(line(x, top, x, bottom, stroke="hair", stroke_width=0.7, stroke_dasharray="1 4"))
    parts.extend(
        label(of.x(minutes), top - 8, says, size=size, fill="faint", anchor="middle")
        for minutes, says in _apart(of, size)
    )
    return join(parts)


def _apart(of: Axis, size: float) -> list[tuple[float, str]]:
    """Ticks whose words do not touch: the last stays, then each that has room before the next."""
    ticks = list(of.ticks)
    kept = ticks[:1]
    for _, following in pairwise(ticks):
        room = (width_of(kept[-1][1], size) + width_of(following[1], size)) / 2 + 8
        if of.x(following[0]) - of.x(kept[-1][0]) >= room:
            kept.append(following)
    return kept
