"""Which kept gates are true, in very many scenarios at once?"""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np

from falsework.engines.gates import GREATEST, LEAST, BoolArray, GateGraph, Kind
from falsework.engines.scenarios import BITS, ONES, Failures, Words, failures_of, leaf_words, pack, unpack


class Evaluator:
    """Bit-parallel engine over one graph."""

    def __init__(self, graph: GateGraph, *, memory_bytes: int = 256 << 20) -> None:
        self._graph = graph
        self._memory_bytes = memory_bytes

    def stands(self, failures: Sequence[Collection[int]]) -> BoolArray:
        """Bool (n_kept, n_scenarios): see `falsework.engines.protocol.Engine`."""
        return unpack(self.evaluate_failures(failures), len(failures))

    def evaluate_failures(self, failures: Failures | Sequence[Collection[int]]) -> Words:
        """Words (n_kept, n_words) for scenarios given by the leaves that fail in them."""
        listed = failures if isinstance(failures, Failures) else failures_of(failures)
        return self.evaluate(leaf_words(listed, self._graph.n_leaves))

    def evaluate(self, leaves: Words) -> Words:
        """Words (n_kept, n_words) from the leaves' words (n_leaves, n_words)."""
        graph = self._graph
        greatest = np.flatnonzero(graph.sign == GREATEST)
        least = np.flatnonzero(graph.sign == LEAST)
        value = np.zeros((graph.n_gates, leaves.shape[1]), dtype=np.uint64)
        value[: graph.n_leaves] = leaves
        value[greatest] = ONES
        while True:
            value[least] = 0
            while True:
                self._read(value)
                risen = value[graph.indices[graph.indptr[least]]]
                if np.array_equal(risen, value[least]):
                    break
                value[least] = risen
            fallen = value[graph.indices[graph.indptr[greatest]]]
            if np.array_equal(fallen, value[greatest]):
                return value[graph.kept]
            value[greatest] = fallen

    def _read(self, value: Words) -> None:
        graph = self._graph
        for gate in range(graph.n_leaves, graph.n_gates):
            given = graph.indices[graph.indptr[gate] : graph.indptr[gate + 1]]
            match Kind(graph.kind[gate]):
                case Kind.TRUE:
                    value[gate] = ONES
                case Kind.ALL:
                    value[gate] = np.bitwise_and.reduce(value[given], axis=0)
                case Kind.ANY:
                    value[gate] = np.bitwise_or.reduce(value[given], axis=0)
                case Kind.WIRE:
                    value[gate] = value[given[0]]
                case Kind.AT_LEAST:
                    bits = unpack(value[given], value.shape[1] * BITS)
                    value[gate] = pack((bits.sum(axis=0) >= graph.k[gate])[np.newaxis])[0]
                case Kind.ORACLE:
                    oracle = graph.oracles[graph.k[gate]]
                    answer = oracle.function(unpack(value[given], value.shape[1] * BITS))
                    for number, output in enumerate(oracle.outputs):
                        if output >= 0:
                            value[output] = pack(answer[number : number + 1])[0]
                case _:
                    pass
