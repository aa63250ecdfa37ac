"""How soon does a thing fall at a moment of a build, and for how long?"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from falsework.engines.gates import BoolArray
from falsework.support import times
from falsework.support.graph import Load, SupportGraph
from falsework.support.moments import Stage, Stages

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MomentTimes:
    """Falls and returns at one moment.

    Attributes:
        falls_s: seconds until each service falls or is interrupted, (n_services, n_losses); infinity for never.
        out_s: for how long it is out; 0 where it was not interrupted, infinity where it stays down.
    """

    falls_s: Floats
    out_s: Floats


def moment_times(stages: Stages, stage: Stage, losses: Sequence[Collection[str]]) -> MomentTimes:
    """What losses do to services at a moment, with times, services as in `Stages.services`.

    Args:
        stages: the lab ready for moments.
        stage: the moment.
        losses: parts and stand-ins that are lost together.

    Cost:
        The support graph is read anew, with only what is there drawing power: for a few moments, not for all.
    """
    graph = _present(stages, stage)
    on = np.repeat(stages.on(stage)[:, None], len(losses), axis=1)
    for column, lost in enumerate(losses):
        on[[stages.leaf_of(part) for part in lost], column] = False
    rows = stages.rows(on)
    off = [_off(stages, on[:, column]) for column in range(on.shape[1])]
    gates, out = stages.gates, stages.standing.out
    clock = times.falling(graph, out=out)

    def lean_holds(column: int, name: str, at: int, *, later: bool = False) -> bool:
        row = gates.leans[name][at][1 if later else 0]
        return True if row < 0 else bool(rows[row, column])

    falls = times.fall_times(clock, off, lean_holds)
    up, back = (rows[[of[name] for name in graph.things]] for of in (gates.up, gates.back))
    outs = times.out_times(
        clock,
        times.rising(graph, out=out),
        times.waits(graph),
        off,
        up=up,
        back=back,
        holds=lean_holds,
        holds_again=lambda column, name, at: lean_holds(column, name, at, later=True),
        falls=falls,
    )
    order = list(graph.things)
    services = [order.index(name) for name in graph.services]
    return MomentTimes(falls_s=falls[services], out_s=outs[services])


def _off(stages: Stages, on: BoolArray) -> frozenset[str]:
    return frozenset(stages.leaves[row] for row in np.flatnonzero(~on).tolist())


def _present(stages: Stages, stage: Stage) -> SupportGraph:
    """The staged graph with only those consumers drawing power that are there."""
    here = stages.there(stage)
    loads = []
    for load in stages.staged.graph.loads:
        consumers = stages.staged.draws[load.source]
        draws = tuple(draw for name, draw in zip(consumers, load.draws, strict=True) if name in here)
        loads.append(Load(source=load.source, limit_w=load.limit_w, draws=draws))
    return replace(stages.staged.graph, loads=tuple(loads))
