"""How does every probe stand at this moment?"""

from __future__ import annotations

import math
import statistics
from collections import deque
from collections.abc import Sequence

from falsework.record.live import LiveProbe
from falsework.record.seen import Seen, Told

_MOST = 15
"""The usual time is the median of this many good answers."""


class Tally:
    """The last that is known of each probe, kept as answers come.

    Args:
        number: how many probes there are.
    """

    def __init__(self, number: int) -> None:
        self._told = [Told.UNKNOWN] * number
        self._since_s = [0.0] * number
        self._asked_s = [-math.inf] * number
        self._says = [""] * number
        self._took_s: list[deque[float]] = [deque(maxlen=_MOST) for _ in range(number)]

    def take(self, batch: Sequence[Seen]) -> None:
        """Count answers in; one that was asked before another that is known already changes nothing but times."""
        asked_s = self._asked_s
        for seen in batch:
            probe = seen.probe
            if seen.told is Told.YES:
                self._took_s[probe].append(seen.told_s - seen.asked_s)
            if seen.asked_s > asked_s[probe]:
                asked_s[probe] = seen.asked_s
                self._says[probe] = seen.says
                if seen.told is not self._told[probe]:
                    self._told[probe] = seen.told
                    self._since_s[probe] = seen.asked_s

    def live(self) -> tuple[LiveProbe, ...]:
        """Every probe, in order."""
        return tuple(
            LiveProbe(
                told=self._told[probe],
                since_s=self._since_s[probe],
                asked_s=self._asked_s[probe],
                usual_s=statistics.median(tuple(took_s)) if took_s else math.nan,
                says=self._says[probe],
            )
            for probe, took_s in enumerate(self._took_s)
        )
