"""At every moment of a build, what would stop a service that serves already?"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np

from falsework.analyses.raising.result import Fragile, Moment, Single
from falsework.engines.gates import BoolArray, Kind
from falsework.engines.units import cone, readers
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
    missing = ready.missing(chosen)
    failing = [ready.can_fail(moment) for moment in chosen]
    alike = _alike(ready)
    found = []
    for number, moment in enumerate(chosen):
        if progress is not None:
            progress(number, len(chosen))
        serving, singles = _singles(ready, moment, failing[number], alike)
        found.append(
            Fragile(
                step=moment.step,
                serving=serving,
                missing=missing[number],
                singles=singles,
                margin=0 if not serving else 1 if singles else 2,
            )
        )
    if progress is not None:
        progress(len(chosen), len(chosen))
    return tuple(found)


def single_points(stages: Stages, moment: Moment) -> tuple[Single, ...]:
    """Each part or stand-in that would stop a service which serves at a moment, worst first."""
    _, singles = _singles(stages, moment, stages.can_fail(moment), range(len(stages.leaves)))
    return singles


def _singles(
    stages: Stages, moment: Moment, failing: Sequence[str], alike: Sequence[int]
) -> tuple[tuple[str, ...], tuple[Single, ...]]:
    """Who serves at a moment, and what stops any of them alone, worst first."""
    on = stages.on(moment)
    services = np.array(stages.services, dtype=object)
    leaves = [stages.leaf_of(part) for part in failing]
    asked = sorted({alike[leaf] for leaf in leaves})
    column = {leaf: at for at, leaf in enumerate(asked)}
    backs = list(_backs(stages, on, asked))
    before = backs[0][:, 0]
    after = np.concatenate([backs[0][:, 1:], *backs[1:]], axis=1)
    falls = before[:, None] & ~after
    singles = []
    for order, (part, leaf) in enumerate(zip(failing, leaves, strict=True)):
        hit = falls[:, column[alike[leaf]]]
        if hit.any():
            names = tuple(str(name) for name in services[hit])
            singles.append((-len(names), order, Single(part=part, services=names)))
    serving = tuple(str(name) for name in services[before])
    return serving, tuple(single for _, _, single in sorted(singles, key=lambda each: each[:2]))


def _backs(stages: Stages, on: BoolArray, asked: Sequence[int]) -> Iterator[BoolArray]:
    """Whether each service serves, (n_services, ...): as things are, then with each leaf off in turn."""
    count = len(stages.services)
    for first in range(0, max(len(asked), 1), AT_ONCE):
        some = asked[first : first + AT_ONCE]
        lead = 1 if first == 0 else 0
        columns = np.repeat(on[:, None], len(some) + lead, axis=1)
        columns[some, np.arange(len(some)) + lead] = False
        yield stages.service_rows(columns)[count : 2 * count]


def _alike(stages: Stages) -> Sequence[int]:
    """For each leaf the first of those that are as good as it is, whatever else is on or off.

    A leaf that is read by one gate alone, an all-of, does what that gate does when it is false, and nothing
    else; so does a leaf that reaches that gate over others of the kind. No rule about boxes is needed: they
    see the gate that both make false.
    """
    graph = stages.gates.services
    count = len(stages.services)
    watched = set(graph.kept[count : 2 * count].tolist())
    inside = cone(graph, np.array(sorted(watched), dtype=np.int64))
    read_by = readers(graph, inside)
    passes = (graph.kind == Kind.ALL) | (graph.kind == Kind.PROMISE) | (graph.kind == Kind.WIRE)
    bounds, items = read_by.indptr.tolist(), read_by.items.tolist()
    first: dict[int, int] = {}
    found = []
    for leaf in range(graph.n_leaves):
        gate = leaf
        seen = {gate}
        while gate not in watched and bounds[gate + 1] - bounds[gate] == 1:
            above = items[bounds[gate]]
            if not passes[above] or above in seen:
                break
            gate = above
            seen.add(gate)
        found.append(first.setdefault(gate, leaf))
    return found


def _evenly(moments: Sequence[Moment], most: int | None) -> tuple[Moment, ...]:
    if most is None or len(moments) <= most:
        return tuple(moments)
    if most < 2:
        return tuple(moments[-1:])
    last = len(moments) - 1
    return tuple(moments[round(at * last / (most - 1))] for at in range(most))
