"""Where in a system can two losses do together what neither does alone?

All-of gates, promises and wires pass falseness on as it comes: two losses make of them what each makes.
Only these *units* can answer otherwise:

- an any-of or at-least gate, which bears one false input but perhaps not two;
- an oracle;
- a loop of least promises, as a whole: cutting two links of a ring cuts off what lies between, though every
  place on the ring loses one neighbour only.

Loops are those that are left when every greatest promise is taken as given: that is how the proof in
`falsework.engines.pairs` takes them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from falsework.engines.circles import circles
from falsework.engines.gates import GREATEST, BoolArray, GateGraph, Kind, Oracle
from falsework.engines.sparse import Ints, Lists, grouped, lists_of


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Units:
    """The units that a set of watched gates leans on; two losses can only meet at a unit."""

    gates: Ints  # (n,) any-of and at-least gates outside the loops
    inputs: Lists  # of each of these gates, an input as often as it is listed
    boxes: tuple[Oracle, ...]  # outside the loops
    loop_reads: Lists  # of each loop, the gates it reads from outside
    loop_gives: Lists  # of each loop, its gates, and the outputs of its boxes that nothing in it reads


def inputs_of(graph: GateGraph) -> Lists:
    """What each gate reads."""
    return Lists(indptr=graph.indptr.astype(np.int64), items=graph.indices.astype(np.int64))


def cone(graph: GateGraph, watched: Ints) -> BoolArray:
    """Bool (n_gates,): the gates that the watched ones lean on, themselves included."""
    inside = np.zeros(graph.n_gates, dtype=np.bool_)
    inputs = inputs_of(graph)
    fresh = np.unique(watched)
    while len(fresh):
        inside[fresh] = True
        _, below = inputs.expand(fresh)
        fresh = np.unique(below[~inside[below]])
    return inside


def readers(graph: GateGraph, inside: BoolArray) -> Lists:
    """For each gate the gates in the cone that read it; a box's outputs read what the box reads."""
    reader = np.repeat(np.arange(graph.n_gates), np.diff(graph.indptr))
    source = graph.indices.astype(np.int64)
    known = inside[reader]
    reader, source = reader[known], source[known]
    boxed = graph.kind[reader] == Kind.ORACLE
    plain = boxed | (graph.kind[reader] == Kind.OUTPUT)
    outputs = lists_of([[gate for gate in box.outputs if gate >= 0] for box in graph.oracles])
    which, behind = outputs.expand(graph.k[reader[boxed]].astype(np.int64))
    return grouped(
        np.concatenate((source[~plain], source[boxed][which])),
        np.concatenate((reader[~plain], behind)),
        graph.n_gates,
    )


def units(graph: GateGraph, inside: BoolArray) -> Units:
    """The units among the gates of a cone."""
    loops = _least_loops(graph, inside)
    looping = np.zeros(graph.n_gates, dtype=np.bool_)
    looping[[gate for loop in loops for gate in loop]] = True
    gates = np.flatnonzero(inside & ~looping & np.isin(graph.kind, (Kind.ANY, Kind.AT_LEAST)))
    return Units(
        gates=gates,
        inputs=inputs_of(graph).some(gates),
        boxes=tuple(box for box in graph.oracles if inside[box.gate] and not looping[box.gate]),
        loop_reads=lists_of(
            {source for gate in loop for source in graph.inputs(gate)} - set(loop) for loop in loops
        ),
        loop_gives=lists_of(_given(graph, loop) for loop in loops),
    )


def _least_loops(graph: GateGraph, inside: BoolArray) -> list[list[int]]:
    """The circles that are left once greatest promises read nothing."""
    reader = np.repeat(np.arange(graph.n_gates), np.diff(graph.indptr))
    kept = inside[reader] & (graph.sign[reader] != GREATEST)
    found = circles(reader[kept], graph.indices[kept].astype(np.int64), graph.n_gates)
    looping = np.flatnonzero(found.circular)
    loops: dict[int, list[int]] = {}
    for gate, knot in zip(looping.tolist(), found.knot[looping].tolist(), strict=True):
        loops.setdefault(knot, []).append(gate)
    return list(loops.values())


def _given(graph: GateGraph, loop: list[int]) -> set[int]:
    """The gates of a loop and the outputs of its boxes."""
    boxes = [graph.oracles[graph.k[gate]] for gate in loop if graph.kind[gate] == Kind.ORACLE]
    return {*loop, *(output for box in boxes for output in box.outputs if output >= 0)}
