"""What does the definition of the gates say, word for word, about one scenario?"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

import numpy as np

from falsework.engines.gates import GREATEST, LEAST, BoolArray, GateGraph, Kind


def judge(graph: GateGraph, failed: Collection[int]) -> tuple[bool, ...]:
    """The value of each kept gate when the leaves in the rows `failed` are false and all others true.

    Cost:
        Up to (greatest promises + 1) x (least promises + 1) passes over all gates.
    """
    greatest = [gate for gate in range(graph.n_gates) if graph.sign[gate] == GREATEST]
    least = [gate for gate in range(graph.n_gates) if graph.sign[gate] == LEAST]
    outer = dict.fromkeys(greatest, True)
    while True:
        inner = dict.fromkeys(least, False)
        while True:
            value = _read(graph, failed, outer | inner)
            risen = {gate: value[graph.inputs(gate)[0]] for gate in least}
            if risen == inner:
                break
            inner = risen
        fallen = {gate: value[graph.inputs(gate)[0]] for gate in greatest}
        if fallen == outer:
            return tuple(value[gate] for gate in graph.kept.tolist())
        outer = fallen


def _read(graph: GateGraph, failed: Collection[int], promised: Mapping[int, bool]) -> list[bool]:
    """Every gate's value when the promises are as given; inputs come before the gates that use them."""
    value: list[bool] = []
    for gate in range(graph.n_gates):
        given = graph.inputs(gate)
        match Kind(graph.kind[gate]):
            case Kind.LEAF:
                value.append(gate not in failed)
            case Kind.TRUE:
                value.append(True)
            case Kind.FALSE:
                value.append(False)
            case Kind.ALL:
                value.append(all(value[source] for source in given))
            case Kind.ANY:
                value.append(any(value[source] for source in given))
            case Kind.AT_LEAST:
                value.append(sum(value[source] for source in given) >= graph.k[gate])
            case Kind.PROMISE:
                value.append(promised[gate])
            case Kind.WIRE:
                value.append(value[given[0]])
            case Kind.ORACLE:
                value.append(False)  # a box has outputs, not a value
            case Kind.OUTPUT:
                oracle = graph.oracles[graph.k[given[0]]]
                column = np.array([[value[source]] for source in graph.inputs(oracle.gate)], dtype=np.bool_)
                answer = oracle.function(column.reshape(-1, 1))
                value.append(bool(answer[graph.k[gate], 0]))
    return value


class Judge:
    """The judge as an engine: one scenario after another."""

    def __init__(self, graph: GateGraph) -> None:
        """Keep the graph; there is nothing to prepare."""
        self._graph = graph

    def stands(self, failures: Sequence[Collection[int]]) -> BoolArray:
        """Bool (n_kept, n_scenarios): see `falsework.engines.protocol.Engine`."""
        columns = [judge(self._graph, frozenset(failed)) for failed in failures]
        return np.array(columns, dtype=np.bool_).reshape(len(failures), len(self._graph.kept)).T
