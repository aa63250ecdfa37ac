"""At every moment of a build, what would stop a service that serves already?"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np

from falsework.analyses.raising.alone import AT_ONCE, MANY, alone
from falsework.analyses.raising.early import early
from falsework.analyses.raising.result import Fragile, Moment, Single
from falsework.engines.gates import BoolArray
from falsework.support.moments import Stages, stages_of
from falsework.support.standing import Standing

TOGETHER = 256
"""Moments of a large lab that are looked at together."""


def fragile(
    standing: Standing,
    moments: Sequence[Moment],
    *,
    stages: Stages | None = None,
    most: int | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[Fragile, ...]:
    """What serves at each moment, what should stand and does not, and every single point of failure.

    Args:
        standing: the finished lab.
        moments: of an order of work.
        stages: the same lab made ready for moments, if that was done before.
        most: look at no more than so many moments, evenly chosen, the first and the last among them.
        progress: called with how much of how much is done.

    Returns:
        One entry for each moment looked at, in order. A service falls if it does not come back by itself;
        blinking does not count. Stand-ins count as parts.

    Cost:
        That of `alone`; parts that plainly do the same count once.
    """
    ready = stages if stages is not None else stages_of(standing)
    chosen = _evenly(moments, most)
    found: list[Fragile] = []
    for some in _batches(ready, chosen):
        if progress is not None:
            progress(len(found), len(chosen))
        on = ready.ons(some)
        answers = zip(some, ready.missing_of(on), _singles(ready, on), strict=True)
        for moment, lacks, (serving, singles) in answers:
            margin = 0 if not serving else 1 if singles else 2
            excused = early(standing, moment, lacks)
            found.append(
                Fragile(
                    step=moment.step,
                    serving=serving,
                    missing=tuple(name for name in lacks if name not in excused),
                    singles=singles,
                    margin=margin,
                )
            )
    if progress is not None:
        progress(len(chosen), len(chosen))
    return tuple(found)


def single_points(stages: Stages, moments: Sequence[Moment]) -> tuple[tuple[Single, ...], ...]:
    """At each moment each part or stand-in that would stop a service which serves then, worst first."""
    return tuple(
        singles for some in _batches(stages, moments) for _, singles in _singles(stages, stages.ons(some))
    )


def _batches(stages: Stages, moments: Sequence[Moment]) -> Iterator[Sequence[Moment]]:
    """Moments that are asked about together."""
    parts = max(1, len(stages.standing.parts))
    each = TOGETHER if parts >= MANY else max(1, AT_ONCE // parts)
    for first in range(0, len(moments), each):
        yield moments[first : first + each]


def _singles(stages: Stages, on: BoolArray) -> Iterator[tuple[tuple[str, ...], tuple[Single, ...]]]:
    """Who serves at each moment (leaves that are on), and what stops any of them alone, worst first."""
    count = len(stages.services)
    before = stages.service_rows(on)[count : 2 * count]
    there = on[stages.part_rows]
    alike = stages.alike[stages.part_rows]
    asked = [np.unique(alike[there[:, number]]).tolist() for number in range(on.shape[1])]
    for number, falls in enumerate(alone(stages, on, before, asked)):
        hit = np.flatnonzero(there[:, number] & np.isin(alike, list(falls))).tolist()
        singles = [
            Single(part=stages.parts[at], services=_named(stages, falls[int(alike[at])])) for at in hit
        ]
        worst = tuple(sorted(singles, key=lambda single: -len(single.services)))
        yield _named(stages, before[:, number]), worst


def _named(stages: Stages, rows: BoolArray) -> tuple[str, ...]:
    return tuple(stages.services[row] for row in np.flatnonzero(rows).tolist())


def _evenly(moments: Sequence[Moment], most: int | None) -> tuple[Moment, ...]:
    if most is None or len(moments) <= most:
        return tuple(moments)
    if most < 2:
        return tuple(moments[-1:])
    last = len(moments) - 1
    return tuple(moments[round(at * last / (most - 1))] for at in range(most))
