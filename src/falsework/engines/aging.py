"""What must have been false for how long? A graph with delays as a graph without.

A gate with a delay falls that long after what it reads, and stands again with it. If nothing rises and falls
again within the delay, it is false now just where its source has been false since before: so a delay can be
pushed down to the leaves, and a leaf with an age asks "has this been false for so long?".
Delays along a path add up.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from falsework.engines.gates import GREATEST, GateBuilder, GateGraph, GateId, Kind, Sign


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Aged:
    """A graph whose leaves have ages.

    Attributes:
        graph: the gates, without delays.
        leaf: which leaf of the first graph each leaf is.
        age: how long that one must have been false for this one to be false, in the unit of the delays.
    """

    graph: GateGraph
    leaf: NDArray[np.int32]
    age: NDArray[np.float64]


def aged(graph: GateGraph, delays: Mapping[int, float], *, steps: Sequence[float]) -> Aged:
    """Push delays down to the leaves.

    Args:
        graph: the gates.
        delays: of gates that are wires; positive.
        steps: the ages that are told apart, rising from 0. What asks for another age is answered for the next
            smaller one, which is false at least as often: the answer errs on the safe side. Few steps keep the
            graph small, and a last one bounds loops through delays, which would go on for ever.

    Cost:
        O(gates x distinct ages that reach them).
    """
    wanted, kept = _wanted(graph, delays, steps)
    builder = GateBuilder()
    made: dict[tuple[int, float], GateId] = {}
    leaves: list[tuple[int, float]] = []
    promises: list[tuple[int, float]] = []
    for gate, age in sorted(wanted):
        here = (gate, age)
        kind = Kind(graph.kind[gate])
        if kind is Kind.PROMISE:
            sign: Sign = "greatest" if graph.sign[gate] == GREATEST else "least"
            made[here] = builder.promise(graph.labels.get(gate, ""), sign)
            promises.append(here)
    for gate, age in sorted(wanted):
        here, kind = (gate, age), Kind(graph.kind[gate])
        given = [made.get((source, _older(gate, age, delays, steps))) for source in graph.inputs(gate)]
        inputs = [each for each in given if each is not None]
        match kind:
            case Kind.LEAF:
                made[here] = builder.leaf(f"{graph.leaf_names[gate]} for {age:.3f}")
                leaves.append(here)
            case Kind.TRUE | Kind.FALSE:
                made[here] = builder.true if kind is Kind.TRUE else builder.false
            case Kind.ALL:
                made[here] = builder.all_of(inputs)
            case Kind.ANY:
                made[here] = builder.any_of(inputs)
            case Kind.AT_LEAST:
                made[here] = builder.at_least(int(graph.k[gate]), inputs)
            case Kind.WIRE:
                made[here] = inputs[0]
            case Kind.ORACLE:
                oracle = graph.oracles[graph.k[gate]]
                outputs = builder.oracle(inputs, len(oracle.outputs), oracle.function, oracle.label)
                for output, new in zip(oracle.outputs, outputs, strict=True):
                    if output >= 0:
                        made[output, age] = new
            case Kind.PROMISE | Kind.OUTPUT:
                pass
    for gate, age in promises:
        builder.define(made[gate, age], made[graph.inputs(gate)[0], age])
    return Aged(
        graph=builder.freeze([made[gate, 0.0] for gate in kept]),
        leaf=np.array([leaf for leaf, _ in leaves], dtype=np.int32),
        age=np.array([age for _, age in leaves]),
    )


def _older(gate: int, age: float, delays: Mapping[int, float], steps: Sequence[float]) -> float:
    if gate not in delays:
        return age
    return steps[bisect_right(steps, round(age + delays[gate], 3)) - 1]


def _wanted(
    graph: GateGraph, delays: Mapping[int, float], steps: Sequence[float]
) -> tuple[set[tuple[int, float]], list[int]]:
    """Every gate with every age at which it is read, and the kept gates."""
    kept: list[int] = graph.kept.tolist()
    wanted: set[tuple[int, float]] = set()
    waiting = [(gate, 0.0) for gate in kept]
    while waiting:
        here = waiting.pop()
        if here in wanted:
            continue
        wanted.add(here)
        gate, age = here
        older = _older(gate, age, delays, steps)
        waiting.extend((source, older) for source in graph.inputs(gate))
    return wanted, kept
