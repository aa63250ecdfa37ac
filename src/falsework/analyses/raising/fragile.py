"""At every moment of a build, what would stop a service that serves already?"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np

from falsework.analyses.raising.result import Fragile, Moment, Single
from falsework.engines.gates import BoolArray
from falsework.support.moments import Stages, stages_of
from falsework.support.standing import Standing

AT_ONCE = 8192
"""Scenarios asked about together."""


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
        One scenario for each moment and part there is then; parts that plainly do the same count once.
    """
    ready = stages if stages is not None else stages_of(standing)
    chosen = _evenly(moments, most)
    found: list[Fragile] = []
    for some in _batches(ready, chosen):
        if progress is not None:
            progress(len(found), len(chosen))
        missing = ready.missing(some)
        for moment, lacks, (serving, singles) in zip(some, missing, _singles(ready, some), strict=True):
            margin = 0 if not serving else 1 if singles else 2
            found.append(
                Fragile(step=moment.step, serving=serving, missing=lacks, singles=singles, margin=margin)
            )
    if progress is not None:
        progress(len(chosen), len(chosen))
    return tuple(found)


def single_points(stages: Stages, moments: Sequence[Moment]) -> tuple[tuple[Single, ...], ...]:
    """At each moment each part or stand-in that would stop a service which serves then, worst first."""
    return tuple(singles for some in _batches(stages, moments) for _, singles in _singles(stages, some))


def _batches(stages: Stages, moments: Sequence[Moment]) -> Iterator[Sequence[Moment]]:
    """Moments that are asked about together."""
    each = max(1, AT_ONCE // max(1, len(stages.standing.parts)))
    for first in range(0, len(moments), each):
        yield moments[first : first + each]


def _singles(
    stages: Stages, moments: Sequence[Moment]
) -> Iterator[tuple[tuple[str, ...], tuple[Single, ...]]]:
    """Who serves at each moment, and what stops any of them alone, worst first."""
    failing = [stages.can_fail(moment) for moment in moments]
    asked = [sorted({stages.alike[stages.leaf_of(part)] for part in parts}) for parts in failing]
    before, after = _backs(stages, moments, asked)
    first = 0
    for number, parts in enumerate(failing):
        serves = before[:, number]
        falls: BoolArray = serves[:, None] & ~after[:, first : first + len(asked[number])]
        first += len(asked[number])
        yield _named(stages, serves), _worst_first(stages, parts, asked[number], falls)


def _worst_first(
    stages: Stages, parts: Sequence[str], asked: Sequence[int], falls: BoolArray
) -> tuple[Single, ...]:
    column = {leaf: at for at, leaf in enumerate(asked)}
    hits: list[bool] = np.any(falls, axis=0).tolist()
    singles = []
    for part in parts:
        at = column[stages.alike[stages.leaf_of(part)]]
        if hits[at]:
            singles.append(Single(part=part, services=_named(stages, falls[:, at])))
    return tuple(sorted(singles, key=lambda single: -len(single.services)))


def _named(stages: Stages, rows: BoolArray) -> tuple[str, ...]:
    return tuple(stages.services[row] for row in np.flatnonzero(rows).tolist())


def _backs(
    stages: Stages, moments: Sequence[Moment], asked: Sequence[Sequence[int]]
) -> tuple[BoolArray, BoolArray]:
    """Whether each service serves: at each moment, (n_services, n_moments), and with each leaf off in turn."""
    count = len(stages.services)
    on = np.stack([stages.on(moment) for moment in moments], axis=1)
    of = np.repeat(np.arange(len(moments)), [len(some) for some in asked])
    off = np.array([leaf for some in asked for leaf in some], dtype=np.intp)
    before = stages.service_rows(on)[count : 2 * count]
    after: list[BoolArray] = [before[:, :0]]
    for first in range(0, len(off), AT_ONCE):
        some = slice(first, first + AT_ONCE)
        columns = on[:, of[some]]
        columns[off[some], np.arange(columns.shape[1])] = False
        after.append(stages.service_rows(columns)[count : 2 * count])
    return before, np.concatenate(after, axis=1)


def _evenly(moments: Sequence[Moment], most: int | None) -> tuple[Moment, ...]:
    if most is None or len(moments) <= most:
        return tuple(moments)
    if most < 2:
        return tuple(moments[-1:])
    last = len(moments) - 1
    return tuple(moments[round(at * last / (most - 1))] for at in range(most))
