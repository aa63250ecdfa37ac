"""What is true when nothing fails, and in what order did it become so?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import count
from types import MappingProxyType

import numpy as np

from falsework.engines.bitwise import ask, batch_words
from falsework.engines.gates import GREATEST, BoolArray, GateGraph, Kind, Oracle
from falsework.engines.scenarios import ONES, Words
from falsework.engines.schedule import Layer, Loop, Rows, Step, schedule
from falsework.engines.witness import witnesses


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plan:
    """All that is prepared once for a graph."""

    steps: tuple[Step, ...]
    row: Rows  # (n_gates,) where each gate's value is
    base: Words  # (n_gates, 1) values when nothing fails: 0 or all ones
    witnesses: Mapping[Loop, tuple[Layer, ...]]  # for each inner loop


def plan(graph: GateGraph) -> Plan:
    """The order of work, the values when nothing fails, and the witnesses of the inner loops; worked out once."""
    known = graph.made.get("plan")
    if not isinstance(known, Plan):
        known = graph.made["plan"] = _plan(graph)
    return known


def _plan(graph: GateGraph) -> Plan:
    made = schedule(graph, outer=graph.sign == GREATEST, merge=True)
    baseline = _Baseline(graph)
    baseline.settle(made.steps)
    return Plan(
        steps=made.steps,
        row=made.row,
        base=baseline.values,
        witnesses=MappingProxyType(baseline.witnesses),
    )


class _Baseline:
    """One scenario in one column of words, every gate worked out, loops straight from their definition."""

    def __init__(self, graph: GateGraph) -> None:
        given = (graph.kind == Kind.LEAF) | (graph.kind == Kind.TRUE)
        self.values: Words = np.where(given, ONES, np.uint64(0))[:, np.newaxis]
        self.witnesses: dict[Loop, tuple[Layer, ...]] = {}

    def settle(self, steps: Sequence[Step]) -> None:
        """Work out the steps in order."""
        for step in steps:
            if isinstance(step, Layer):
                self._layer(step)
            elif step.outer:
                self._fall(step)
            else:
                self._rise(step)

    def _fall(self, loop: Loop) -> None:
        self.values[loop.close.rows] = ONES
        while True:
            self.settle(loop.steps)
            if not len(self._close(loop)):
                return

    def _rise(self, loop: Loop) -> None:
        self.values[loop.rows] = 0
        rank = dict.fromkeys(loop.sources[self.values[loop.sources, 0] != 0].tolist(), -1)
        moments = count()
        risen: Rows = loop.rows
        while len(risen):
            for step in loop.steps:
                assert isinstance(step, Layer), "a least loop has no loops inside"
                rank.update(dict.fromkeys(self._layer(step).tolist(), next(moments)))
            risen = self._close(loop)
            rank.update(dict.fromkeys(risen.tolist(), next(moments)))
        self.witnesses[loop] = witnesses(loop, rank)  # in an outer loop the last round's stays

    def _close(self, loop: Loop) -> Rows:
        """Work out the loop's state, each only the way its loop moves, and give the rows that changed."""
        rows = loop.close.rows
        before = self.values[rows]
        self._layer(loop.close)
        after = self.values[rows] & before if loop.outer else self.values[rows] | before
        self.values[rows] = after
        moved: Rows = rows[(after != before)[:, 0]]
        return moved

    def _layer(self, layer: Layer) -> Rows:
        """Work out a layer and give the rows that changed."""
        found: list[Rows] = []
        for batch in layer.batches:
            if batch.oracle is None:
                rows, words = batch.rows, batch_words(self.values, batch, batch.inputs)
            else:
                rows, words = self._box(batch.oracle, batch.inputs[:, 0])
            differs = (words != self.values[rows])[:, 0]
            self.values[rows] = words
            found.append(rows[differs])
        return np.concatenate(found)

    def _box(self, oracle: Oracle, inputs: Rows) -> tuple[Rows, Words]:
        given: BoolArray = self.values[inputs] != 0
        outputs = np.array(oracle.outputs, dtype=np.intp)
        kept = outputs >= 0
        return outputs[kept], np.where(ask(oracle, given)[kept], ONES, np.uint64(0))
