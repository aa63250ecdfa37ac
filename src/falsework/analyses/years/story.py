"""How did one year go, day by day?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from falsework.analyses.years.block import Chapter
from falsework.units import YEAR_S

BEGINS = datetime(2024, 1, 1)
"""Runs begin on a Monday, so that working hours fall on the right days; this is one. Its year means nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hit:
    """What a mishap did to one service.

    Attributes:
        service: its id.
        at: when it went down, as ISO 8601 without a zone.
        for_s: how long it was down, seconds.
        by_itself: it came back before anything was mended.
        stumbled: it should have come back by itself and did not.
    """

    service: str
    at: str
    for_s: float
    by_itself: bool
    stumbled: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Lost:
    """Data that a mishap destroyed.

    Attributes:
        data: its id.
        work_lost_s: how much work went with it, seconds; None where no backup had survived.
        restored_s: how long the restore took, seconds.
    """

    data: str
    work_lost_s: float | None
    restored_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Mishap:
    """Parts that failed at one moment, and what came of it.

    Attributes:
        parts: their ids.
        at: when, as ISO 8601 without a zone; the year is any.
        known_at, begun_at, whole_at: when the last of them was known, taken in hand, and whole again.
        hits: services that went down for it, in the order in which they did.
        lost: data that went.
    """

    parts: tuple[str, ...]
    at: str
    known_at: str
    begun_at: str
    whole_at: str
    hits: tuple[Hit, ...]
    lost: tuple[Lost, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Story:
    """One year.

    Attributes:
        percent: so many percent of all years had no more time down.
        of: the service by which the year was chosen; "" for all services together.
        down_min: minutes down in that year, of that service or of all together.
        mishaps: what service or data felt, in order of time.
        unfelt: how many more parts failed without any service noticing.
        silenced: how many of these kept an alarm from being told.
    """

    percent: float
    of: str
    down_min: float
    mishaps: tuple[Mishap, ...]
    unfelt: int
    silenced: int


def story(told: Chapter, *, run: int, year: int, percent: float, of: str, down_min: float) -> Story:
    """Tell one year of one run.

    Args:
        told: the block it is in.
        run: which run of the block.
        year: which year of the run, from 0, those left out at the beginning included.
        percent: where it lies among all years.
        of: the service by which it was chosen, or "".
        down_min: minutes down, for the heading.
    """
    return _Teller(told, run, year).story(percent, of, down_min)


class _Teller:
    def __init__(self, told: Chapter, run: int, year: int) -> None:
        self.told, self.run = told, run
        self.low, self.high = year * YEAR_S, (year + 1) * YEAR_S
        outages = told.lived.outages
        self.mine = np.flatnonzero(outages.run == run)
        inside = (outages.down_s[self.mine] >= self.low) & (outages.down_s[self.mine] < self.high)
        self.failed = self.mine[inside]

    def story(self, percent: float, of: str, down_min: float) -> Story:
        outages, known = self.told.lived.outages, self.told.lived.known
        hits: dict[float, list[Hit]] = {}
        for moment, hit in sorted(self._hits(), key=lambda pair: (pair[1].at, pair[1].service)):
            hits.setdefault(moment, []).append(hit)
        lost: dict[float, list[Lost]] = {}
        for loss in self.told.losses:
            if loss.run == self.run and self.low <= loss.at_s < self.high:
                work = None if math.isinf(loss.work_lost_s) else loss.work_lost_s
                lost.setdefault(loss.at_s, []).append(
                    Lost(data=loss.data, work_lost_s=work, restored_s=loss.restored_s)
                )
        alarms = {known.services[number] for number in known.alarms}
        felt = [
            moment
            for moment in sorted({*hits, *lost})
            if moment in lost or any(hit.service not in alarms for hit in hits[moment])
        ]
        mishaps = tuple(
            self._mishap(moment, tuple(hits.get(moment, ())), tuple(lost.get(moment, ()))) for moment in felt
        )
        began = outages.down_s[self.failed]
        return Story(
            percent=percent,
            of=of,
            down_min=down_min,
            mishaps=mishaps,
            unfelt=int((~np.isin(began, felt)).sum()),
            silenced=int(np.isin(began, [moment for moment in hits if moment not in felt]).sum()),
        )

    def _mishap(self, moment: float, hits: tuple[Hit, ...], lost: tuple[Lost, ...]) -> Mishap:
        outages = self.told.lived.outages
        these = self.mine[outages.down_s[self.mine] == moment]
        parts = self.told.lived.known.parts
        return Mishap(
            parts=tuple(parts[unit] for unit in outages.unit[these]),
            at=said(moment),
            known_at=said(float(outages.found_s[these].max())),
            begun_at=said(float(outages.begun_s[these].max())),
            whole_at=said(float(outages.up_s[these].max())),
            hits=hits,
            lost=lost,
        )

    def _hits(self) -> Sequence[tuple[float, Hit]]:
        """Every time a service went down in the year, with the moment of the failure that did it."""
        told, found = self.told, []
        stumbled = told.stumbled
        for number, service in enumerate(told.lived.known.services):
            spans = told.spans(number)
            here = (spans.run == self.run) & (spans.start_s >= self.low) & (spans.start_s < self.high)
            slips = stumbled.start_s[(stumbled.service == number) & (stumbled.run == self.run)]
            for start, end in zip(spans.start_s[here].tolist(), spans.end_s[here].tolist(), strict=True):
                cause = self._cause(number, start)
                if cause is not None:
                    slipped = bool(((slips >= start) & (slips <= end)).any())
                    hit = Hit(
                        service=service,
                        at=said(start),
                        for_s=end - start,
                        by_itself=not slipped and end < float(told.lived.outages.up_s[cause]),
                        stumbled=slipped,
                    )
                    found.append((float(told.lived.outages.down_s[cause]), hit))
        return found

    def _cause(self, service: int, start: float) -> int | None:
        """The outage that took a service down: one that would have done so alone just then, else the latest."""
        outages, known = self.told.lived.outages, self.told.lived.known
        lasting = self.mine[(outages.down_s[self.mine] <= start) & (outages.up_s[self.mine] > start)]
        if not len(lasting):
            return None
        units = outages.unit[lasting]
        due = outages.down_s[lasting] + known.fall_s[service, units]
        alone = lasting[~known.up[service, units] & (np.abs(due - start) < 1.0)]
        return int(alone[0] if len(alone) else lasting[np.argmax(outages.down_s[lasting])])


def said(at_s: float) -> str:
    """A moment of a run as ISO 8601, to the second, without a zone."""
    return (BEGINS + timedelta(seconds=round(at_s))).isoformat()
