"""Which kept gates are true, in very many scenarios at once?

The answer when nothing fails is worked out once, the baseline.
A scenario then costs only what differs from it (`falsework.engines.chunk`), many scenarios at a time.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

import numpy as np

from falsework.engines.baseline import plan
from falsework.engines.chunk import Chunk
from falsework.engines.gates import BoolArray, GateGraph
from falsework.engines.scenarios import (
    BITS,
    ONES,
    Failures,
    Words,
    checked,
    fail,
    failures_of,
    n_words,
    unpack,
)
from falsework.engines.schedule import Rows

_WORDS = 1024  # of a chunk at most; beyond that the calls no longer weigh


class Evaluator:
    """Bit-parallel engine over one graph."""

    def __init__(self, graph: GateGraph, *, memory_bytes: int = 256 << 20) -> None:
        """Work out the order of work and the baseline.

        Args:
            graph: the gates.
            memory_bytes: about how much working memory to take, results apart.
        """
        self._graph = graph
        self._plan = plan(graph)
        self._kept: Rows = self._plan.row[graph.kept]
        rows = len(self._plan.base)  # a chunk's values take half the memory, what is at work the other
        self._width = int(np.clip(memory_bytes // (rows * 8 * 2), 1, _WORDS))

    @property
    def n_kept(self) -> int:
        """How many rows an answer has."""
        return len(self._kept)

    def stands(self, failures: Failures | Sequence[Collection[int]]) -> BoolArray:
        """Bool (n_kept, n_scenarios): see `falsework.engines.protocol.Engine`."""
        return unpack(self.evaluate_failures(failures), len(failures))

    def evaluate_failures(self, failures: Failures | Sequence[Collection[int]]) -> Words:
        """Words (n_kept, n_words) for scenarios given by the leaves that fail in them.

        Bits past the last scenario are as if nothing had failed.

        Raises:
            ValueError: a scenario names a leaf row that is not there.
        """
        listed = failures if isinstance(failures, Failures) else failures_of(failures)
        result = self._blank(n_words(len(listed)))
        for first, changed, words in self._chunks(listed):
            result[changed, first : first + words.shape[1]] = words
        return result

    def stream(self, failures: Failures) -> Iterator[tuple[int, Words]]:
        """The same, a chunk at a time: first scenario (a multiple of 64), and words (n_kept, some)."""
        for first, changed, words in self._chunks(failures):
            result = self._blank(words.shape[1])
            result[changed] = words
            yield first * BITS, result

    def evaluate(self, leaves: Words) -> Words:
        """Words (n_kept, n_words) from the leaves' words (n_leaves, n_words)."""
        result = self._blank(leaves.shape[1])
        for first in range(0, leaves.shape[1], self._width):
            chunk = Chunk(self._plan, min(self._width, leaves.shape[1] - first))
            given = leaves[:, first : first + self._width]
            touched = np.flatnonzero((given != ONES).any(axis=1))
            chunk.values[touched] = given[touched]
            changed, words = self._answer(chunk, touched)
            result[changed, first : first + self._width] = words
        return result

    def _chunks(self, failures: Failures) -> Iterator[tuple[int, Rows, Words]]:
        """For each chunk its first word, the kept rows that differ from the baseline, and their words."""
        total = n_words(len(checked(failures, self._graph.n_leaves)))
        chunk: Chunk | None = None
        for first in range(0, total, self._width):
            width = min(self._width, total - first)
            if chunk is None or chunk.values.shape[1] != width:
                chunk = Chunk(self._plan, width)
            yield first, *self._answer(chunk, fail(failures, chunk.values, first))

    def _answer(self, chunk: Chunk, touched: Rows) -> tuple[Rows, Words]:
        chunk.solve(touched)
        kept = np.flatnonzero(chunk.changed[self._kept])
        words = chunk.values[self._kept[kept]]
        chunk.reset()
        return kept, words

    def _blank(self, width: int) -> Words:
        return np.repeat(self._plan.base[self._kept], width, axis=1)
