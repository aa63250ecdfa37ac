"""How long, how often and in which year is something down?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from falsework.engines.renewal.hours import Floats
from falsework.engines.renewal.plan import Ints
from falsework.units import YEAR_S


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spans:
    """Stretches of being down, apart from each other, in order of run, then time.

    Attributes:
        run: (n,) in whose life.
        start_s, end_s: (n,) from when to when.
    """

    run: Ints
    start_s: Floats
    end_s: Floats

    @property
    def length_s(self) -> Floats:
        """(n,) how long each is, seconds."""
        return self.end_s - self.start_s


def joined(run: Ints, start_s: Floats, end_s: Floats) -> Spans:
    """Stretches joined where they touch or overlap; empty ones left out.

    Args:
        run: (n,) in whose life.
        start_s: (n,) in any order, not negative.
        end_s: (n,).
    """
    real = end_s > start_s
    run, start_s, end_s = run[real], start_s[real], end_s[real]
    if not len(run):
        return Spans(run=run, start_s=start_s, end_s=end_s)
    order = np.lexsort((start_s, run))
    run, start_s, end_s = run[order], start_s[order], end_s[order]
    # The latest end so far, run by run: lives are laid one after the other, by rank so that nothing is rounded.
    ranks = np.argsort(np.argsort(end_s, kind="stable"), kind="stable") + run * len(run)
    latest = np.maximum.accumulate(ranks)
    by_rank = np.empty(len(run))
    by_rank[ranks - run * len(run)] = end_s
    reach = by_rank[latest % len(run)]
    opens = np.ones(len(run), dtype=bool)
    opens[1:] = (run[1:] != run[:-1]) | (start_s[1:] > reach[:-1])
    last = np.append(np.flatnonzero(opens)[1:] - 1, len(run) - 1)
    return Spans(run=run[opens], start_s=start_s[opens], end_s=reach[last])


def by_year(spans: Spans, *, runs: int, skip: int, years: int) -> Floats:
    """Seconds down in each year of each run.

    Args:
        spans: stretches.
        runs: how many runs.
        skip: years left out at the beginning of each run.
        years: years counted after them.

    Returns:
        (runs, years).
    """
    first = np.floor(spans.start_s / YEAR_S).astype(np.int64)
    last = np.floor(spans.end_s / YEAR_S).astype(np.int64)
    count = last - first + 1
    run = np.repeat(spans.run, count)
    year = np.repeat(first, count) + np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
    start = np.maximum(np.repeat(spans.start_s, count), year * YEAR_S)
    end = np.minimum(np.repeat(spans.end_s, count), (year + 1) * YEAR_S)
    inside = (year >= skip) & (year < skip + years)
    place = run[inside] * years + year[inside] - skip
    sums = np.bincount(place, (end - start)[inside], minlength=runs * years)
    return np.asarray(sums.reshape(runs, years))


def begun_by_year(spans: Spans, *, runs: int, skip: int, years: int) -> Ints:
    """How many stretches begin in each year of each run: (runs, years)."""
    year = np.floor(spans.start_s / YEAR_S).astype(np.int64) - skip
    inside = (year >= 0) & (year < years)
    counts = np.bincount(spans.run[inside] * years + year[inside], minlength=runs * years)
    return counts.reshape(runs, years)
