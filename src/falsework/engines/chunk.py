"""What changes, against the baseline, in one chunk of scenarios?

Gates that read nothing changed are not worked out, and where all is as before all stays as it was.
This is sound because losing leaves only ever lowers values:

- a greatest fixed point below an old one is reached by falling from the old one;
- a least one is rebuilt in two moves: first each promise falls whose witness (`falsework.engines.witness`) is
  touched, which is never too high a guess, then what fell rises again as far as the rules allow.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from falsework.engines.baseline import Plan
from falsework.engines.bitwise import batch_words, box_words
from falsework.engines.gates import BoolArray
from falsework.engines.scenarios import Words
from falsework.engines.schedule import Batch, Layer, Loop, Rows, Step

_SMALL = 1 << 12
"""Words that a layer reads, up to which it is worked out whole."""


class Chunk:
    """The values of one chunk, and which rows differ from the baseline."""

    def __init__(self, plan: Plan, n_words: int) -> None:
        """Start at the baseline.

        Args:
            plan: the graph, made ready.
            n_words: words of scenarios.
        """
        self._plan = plan
        self.values: Words = np.repeat(plan.base, n_words, axis=1)
        self.changed: BoolArray = np.zeros(len(plan.base), dtype=np.bool_)

    def solve(self, leaves: Rows) -> None:
        """Bring all gates in line with the leaves, some of which have been changed in `values`."""
        self.changed[leaves] = True
        self._steps(self._plan.steps, self.changed)

    def reset(self) -> None:
        """Back to the baseline."""
        rows = self.changed.nonzero()[0]
        self.values[rows] = self._plan.base[rows]
        self.changed[rows] = False

    def _steps(self, steps: Sequence[Step], fresh: BoolArray) -> None:
        """Work out what reads a fresh row, and mark what that changes, as changed and as fresh."""
        for step in steps:
            if isinstance(step, Layer):
                self._layer(step, fresh, fresh, self.changed)
            elif fresh[step.sources].any():
                if step.outer:
                    self._fall(step)
                else:
                    self._rebuild(step, fresh)

    def _fall(self, loop: Loop) -> None:
        """Lower a greatest loop from where it stood until it has settled; it lies in no other loop."""
        fresh = self.changed
        while True:
            self._steps(loop.steps, fresh)
            latest = self._close(loop, fresh, self.changed)
            if not len(latest):
                return
            fresh = self._marked(latest)

    def _rebuild(self, loop: Loop, fresh: BoolArray) -> None:
        """Solve a least loop afresh: drop each promise whose witness is touched, then raise what can rise."""
        rows, base = loop.rows, self._plan.base
        before = self.values[rows]
        self.values[rows] = base[rows]
        now = self.changed.copy()
        now[rows] = False
        for layer in self._plan.witnesses[loop]:
            self._layer(layer, now, now)
        # A promise may have fallen though its body never did: look at the bodies of all that fell.
        now[loop.close.sources[now[loop.close.rows]]] = True
        while True:
            for step in loop.steps:
                assert isinstance(step, Layer), "a least loop has no loops inside"
                self._layer(step, now, now)
            latest = self._close(loop, now)
            if not len(latest):
                break
            now = self._marked(latest)
        after = self.values[rows]
        self.changed[rows] = (after != base[rows]).any(axis=1)
        fresh[rows] |= (after != before).any(axis=1)

    def _close(self, loop: Loop, fresh: BoolArray, *marks: BoolArray) -> Rows:
        """Work out the loop's state and give the rows that changed, each only the way its loop moves.

        Monotone rules could not move it otherwise; a box that is not monotone must not make us run for ever.
        """
        if not loop.boxes:
            return self._layer(loop.close, fresh, *marks)
        rows = loop.close.rows
        before = self.values[rows]
        self._layer(loop.close, fresh, *marks)
        after = self.values[rows]
        moved = after & before if loop.outer else after | before
        self.values[rows] = moved
        latest: Rows = rows[(moved != before).any(axis=1)]
        return latest

    def _marked(self, rows: Rows) -> BoolArray:
        marks = np.zeros_like(self.changed)
        marks[rows] = True
        return marks

    def _layer(self, layer: Layer, fresh: BoolArray, *marks: BoolArray) -> Rows:
        """Work out the gates of a layer that read a fresh row; mark the rows that changed, and give them."""
        reads = fresh[layer.sources]
        if not reads.any():
            return layer.rows[:0]
        if len(layer.sources) * self.values.shape[1] <= _SMALL:
            found = list(self._whole(layer, fresh))
        else:
            touched = np.logical_or.reduceat(reads, layer.starts)
            found = [
                self._put(*self._batch(batch, chosen))
                for batch in layer.batches
                if len(chosen := touched[batch.first : batch.last].nonzero()[0])
            ]
        moved = found[0] if len(found) == 1 else np.concatenate([layer.rows[:0], *found])
        for mark in marks:
            mark[moved] = True
        return moved

    def _whole(self, layer: Layer, fresh: BoolArray) -> Iterator[Rows]:
        """Work out a small layer, all-of gates in one go and any-of gates in another: choosing would cost more."""
        given = self.values[layer.sources]
        for combine, (first, last) in ((np.bitwise_and, layer.alls), (np.bitwise_or, layer.anys)):
            if first < last:
                starts = layer.starts[first:last]
                end = layer.starts[last] if last < len(layer.rows) else len(given)
                words = combine.reduceat(given[starts[0] : end], starts - starts[0], axis=0)
                yield self._put(layer.rows[first:last], words)
        for batch in layer.batches[layer.n_plain :]:
            if batch.oracle is None or fresh[batch.inputs].any():
                yield self._put(*self._batch(batch, np.arange(len(batch.rows))))

    def _put(self, rows: Rows, words: Words) -> Rows:
        """Set rows, and give those that changed."""
        differs = np.logical_or.reduce(words != self.values[rows], axis=1).nonzero()[0]
        rows = rows[differs]
        self.values[rows] = words[differs]
        return rows

    def _batch(self, batch: Batch, chosen: Rows) -> tuple[Rows, Words]:
        if batch.oracle is not None:
            inputs, outputs = batch.inputs[:, 0], np.array(batch.oracle.outputs, dtype=np.intp)
            base = self._plan.base
            words = box_words(batch.oracle, self.values[inputs], base[inputs], base[outputs])
            return outputs[outputs >= 0], words[outputs >= 0]
        if len(chosen) == len(batch.rows):
            return batch.rows, batch_words(self.values, batch, batch.inputs)
        return batch.rows[chosen], batch_words(self.values, batch, batch.inputs[:, chosen])
