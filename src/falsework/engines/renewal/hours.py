"""When does the next open hour of a week begin?"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from falsework.units import WEEK_S

Floats = NDArray[np.float64]


class Hours:
    """Windows that repeat every week, counted from the start of time.

    Args:
        windows: (start, end) in seconds since the week began, within it; overlapping ones are joined. None for always open.

    Raises:
        ValueError: no window, or one that is empty or outside the week.
    """

    def __init__(self, windows: Iterable[tuple[float, float]] | None = None) -> None:
        pairs = [(0.0, WEEK_S)] if windows is None else sorted(windows)
        if not pairs:
            raise ValueError("no open hour in the whole week")
        joined: list[tuple[float, float]] = []
        for start, end in pairs:
            if not 0.0 <= start < end <= WEEK_S:
                raise ValueError(f"the window {start} to {end} s is empty or outside the week")
            if joined and start <= joined[-1][1]:
                joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
            else:
                joined.append((start, end))
        self.windows: tuple[tuple[float, float], ...] = tuple(joined)
        # The first window once more at the end: after the last one closes, the next week's first is next.
        self._starts = np.array([start for start, _ in joined] + [joined[0][0] + WEEK_S])
        self._ends = np.array([end for _, end in joined])
        self._always = joined == [(0.0, WEEK_S)]

    def opens(self, moments: Floats) -> Floats:
        """The first open moment not before each moment, seconds; a closing moment counts as closed."""
        if self._always:
            return moments
        week = np.floor(moments / WEEK_S) * WEEK_S
        phase = moments - week
        window = np.searchsorted(self._ends, phase, side="right")
        return np.asarray(week + np.maximum(phase, self._starts[window]))
