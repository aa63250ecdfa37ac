"""Which kept gates are true, in very many scenarios at once?

The answer when nothing fails is worked out once, the baseline.
A scenario then costs only what differs from it: of each layer those gates are worked out that read something
changed, for a chunk of words at a time.
This is sound because losing leaves only ever lowers values:

- a greatest fixed point below an old one is reached by falling from the old one;
- a least one is rebuilt in two moves: first everything falls whose witness (`falsework.engines.witness`) is
  touched, which is never too high a guess, then what fell rises again as far as the rules allow.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

import numpy as np

from falsework.engines.baseline import Plan, plan
from falsework.engines.bitwise import batch_words, box_words
from falsework.engines.gates import BoolArray, GateGraph
from falsework.engines.scenarios import BITS, ONES, Failures, Words, fail, failures_of, n_words, unpack
from falsework.engines.schedule import Batch, Layer, Loop, Rows, Step

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
        rows = len(self._plan.base)
        self._width = int(np.clip(memory_bytes // (rows * 8 * 3), 1, _WORDS))

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
        """
        listed = failures if isinstance(failures, Failures) else failures_of(failures)
        result = self._blank(n_words(len(listed)))
        for first, changed, words in self._chunks(listed):
            result[changed, first : first + words.shape[1]] = words
        return result

    def stream(self, failures: Failures) -> Iterator[tuple[int, Words]]:
        """The same, a chunk at a time: first scenario (a multiple of 64) and words (n_kept, up to 64)."""
        for first, changed, words in self._chunks(failures):
            result = self._blank(words.shape[1])
            result[changed] = words
            yield first * BITS, result

    def evaluate(self, leaves: Words) -> Words:
        """Words (n_kept, n_words) from the leaves' words (n_leaves, n_words)."""
        result = self._blank(leaves.shape[1])
        for first in range(0, leaves.shape[1], self._width):
            run = _Run(self._plan, min(self._width, leaves.shape[1] - first))
            given = leaves[:, first : first + self._width]
            touched = np.flatnonzero((given != ONES).any(axis=1))
            run.values[touched] = given[touched]
            changed, words = self._answer(run, touched)
            result[changed, first : first + self._width] = words
        return result

    def _chunks(self, failures: Failures) -> Iterator[tuple[int, Rows, Words]]:
        """For each chunk its first word, the kept rows that differ from the baseline, and their words."""
        total = n_words(len(failures))
        run: _Run | None = None
        for first in range(0, total, self._width):
            width = min(self._width, total - first)
            if run is None or run.values.shape[1] != width:
                run = _Run(self._plan, width)
            yield first, *self._answer(run, fail(failures, run.values, first))

    def _answer(self, run: _Run, touched: Rows) -> tuple[Rows, Words]:
        run.changed[touched] = True
        run.steps(self._plan.steps, run.changed)
        kept = np.flatnonzero(run.changed[self._kept])
        words = run.values[self._kept[kept]]
        run.reset()
        return kept, words

    def _blank(self, width: int) -> Words:
        return np.repeat(self._plan.base[self._kept], width, axis=1)


class _Run:
    """The values of one chunk, and which rows differ from the baseline."""

    def __init__(self, made: Plan, width: int) -> None:
        self._plan = made
        self.values: Words = np.repeat(made.base, width, axis=1)
        self.changed: BoolArray = np.zeros(len(made.base), dtype=np.bool_)

    def reset(self) -> None:
        """Back to the baseline."""
        rows = np.flatnonzero(self.changed)
        self.values[rows] = self._plan.base[rows]
        self.changed[rows] = False

    def steps(self, steps: Sequence[Step], fresh: BoolArray) -> None:
        """Work out what reads a fresh row, and mark what that changes, as changed and as fresh."""
        for step in steps:
            if isinstance(step, Layer):
                self._layer(step, _touched(step, fresh), fresh, self.changed)
            elif fresh[step.sources].any():
                if step.outer:
                    self._fall(step)
                else:
                    self._rebuild(step, fresh)

    def _fall(self, loop: Loop) -> None:
        """Lower a greatest loop from where it stood until it has settled; it lies in no other loop."""
        fresh = self.changed
        while True:
            self.steps(loop.steps, fresh)
            latest = self._close(loop, fresh, self.changed)
            if not len(latest):
                return
            fresh = _marked(len(self.changed), latest)

    def _rebuild(self, loop: Loop, fresh: BoolArray) -> None:
        """Solve a least loop afresh: drop each promise whose witness is touched, then raise what can rise."""
        rows, base = loop.rows, self._plan.base
        before = self.values[rows]
        self.values[rows] = base[rows]
        now = self.changed.copy()
        now[rows] = False
        for layer in self._plan.witnesses[loop]:
            self._layer(layer, _touched(layer, now), now)
        # A promise may have fallen though its body never did: look at the bodies of all that fell.
        now[loop.close.sources[now[loop.close.rows]]] = True
        while True:
            for step in loop.steps:
                assert isinstance(step, Layer), "a least loop has no loops inside"
                self._layer(step, _touched(step, now), now)
            latest = self._close(loop, now)
            if not len(latest):
                break
            now = _marked(len(now), latest)
        after = self.values[rows]
        self.changed[rows] = (after != base[rows]).any(axis=1)
        fresh[rows] |= (after != before).any(axis=1)

    def _close(self, loop: Loop, fresh: BoolArray, *marks: BoolArray) -> Rows:
        """Work out the loop's state and give the rows that changed, each only the way its loop moves.

        Monotone rules could not move it otherwise; a box that is not monotone must not make us run for ever.
        """
        close = loop.close
        before = self.values[close.rows] if loop.boxes else None
        latest = self._layer(close, _touched(close, fresh), *marks)
        if before is not None:
            after = self.values[close.rows]
            moved = after & before if loop.outer else after | before
            self.values[close.rows] = moved
            latest = close.rows[(moved != before).any(axis=1)]
        return latest

    def _layer(self, layer: Layer, active: BoolArray, *marks: BoolArray) -> Rows:
        """Work out the active gates of a layer, mark the rows that changed, and give those rows."""
        found: list[Rows] = []
        if not active.any():
            return np.zeros(0, dtype=np.intp)
        for batch in layer.batches:
            chosen = active[batch.first : batch.last].nonzero()[0]
            if not len(chosen):
                continue
            rows, words = self._batch(batch, chosen)
            differs = (words != self.values[rows]).any(axis=1).nonzero()[0]
            rows = rows[differs]
            self.values[rows] = words[differs]
            for mark in marks:
                mark[rows] = True
            found.append(rows)
        return np.concatenate(found)

    def _batch(self, batch: Batch, chosen: Rows) -> tuple[Rows, Words]:
        if batch.oracle is not None:
            words = box_words(self.values, self._plan.base, batch.oracle, batch.inputs[:, 0])
            outputs = np.array(batch.oracle.outputs, dtype=np.intp)
            return outputs[outputs >= 0], words[outputs >= 0]
        if len(chosen) == len(batch.rows):
            return batch.rows, batch_words(self.values, batch, None)
        return batch.rows[chosen], batch_words(self.values, batch, chosen)


def _touched(layer: Layer, fresh: BoolArray) -> BoolArray:
    """Which of the layer's gates read a fresh row."""
    touched: BoolArray = np.logical_or.reduceat(fresh[layer.sources], layer.starts)
    return touched


def _marked(n_rows: int, rows: Rows) -> BoolArray:
    marks = np.zeros(n_rows, dtype=np.bool_)
    marks[rows] = True
    return marks
