"""What does a small fault tree say in each of its states, one after the other?

The plain way, against which the clever ones are held: with n events there are 2^n states, 64 to a word.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from falsework.engines.trees.engine import CutSets, Floats
from falsework.engines.trees.tree import Gate, Op, Tree
from falsework.errors import LimitError

MOST_EVENTS = 20
"""Beyond this the table of states grows past what is quick."""

_BITS = 64
_IN_WORD = 6
_ONES = np.uint64(2**64 - 1)

Words = NDArray[np.uint64]
Table = NDArray[np.bool_]

_JOIN = {Op.AND: np.bitwise_and, Op.OR: np.bitwise_or, Op.XOR: np.bitwise_xor}


class Enumeration:
    """A tree's table of states: see `falsework.engines.trees.engine.TreeEngine`.

    Args:
        tree: any gates, negating ones too.

    Raises:
        LimitError: it has more than `MOST_EVENTS` events.

    Attributes:
        table: (2^n_events,) whether the top event happens; event i happens in the states with bit i set.
    """

    def __init__(self, tree: Tree) -> None:
        self._n = len(tree.events)
        if self._n > MOST_EVENTS:
            raise LimitError(
                f"the tree has {self._n} events, and at most {MOST_EVENTS} can be enumerated",
                "Use a decision diagram instead.",
            )
        self.table = _table(tree)

    def probability(self, q: Floats) -> Floats:
        """Return (n_columns,) the probability of the top event.

        Cost:
            O(2^n_events) for each column.
        """
        return np.array([_mean(self.table, q[:, i]) for i in range(q.shape[1])], dtype=np.float64)

    def given(self, q: Floats) -> tuple[Floats, Floats]:
        """Return P(top | event) and P(top | not event), each (n_events, n_columns)."""
        on, off = np.empty_like(q), np.empty_like(q)
        for event in range(self._n):
            for out, sure in ((on, 1.0), (off, 0.0)):
                fixed = q.copy()
                fixed[event] = sure
                out[event] = self.probability(fixed)
        return on, off

    def cut_sets(self) -> CutSets:
        """Return the minimal cut sets."""
        return frozenset(
            frozenset(event for event in range(self._n) if state >> event & 1)
            for state in self._minimal().tolist()
        )

    def through(self, q: Floats) -> Floats:
        """Return (n_events, n_columns) the probability that a minimal cut set happens that holds the event."""
        out = np.empty_like(q)
        minimal = self._minimal()
        for event in range(self._n):
            union = np.zeros_like(self.table)
            union[minimal[minimal >> event & 1 == 1]] = True
            _close_upwards(union, self._n)
            out[event] = [_mean(union, q[:, i]) for i in range(q.shape[1])]
        return out

    def _minimal(self) -> NDArray[np.int64]:
        reached = self.table.copy()
        _close_upwards(reached, self._n)
        smaller = np.zeros_like(reached)  # whether leaving out one event of the state leaves it reached
        for event in range(self._n):
            pairs, from_pairs = smaller.reshape(-1, 2, 1 << event), reached.reshape(-1, 2, 1 << event)
            pairs[:, 1] |= from_pairs[:, 0]
        return np.flatnonzero(self.table & ~smaller)


def _mean(table: Table, q: Floats) -> float:
    """The probability that the table says yes: states that differ in one event are merged, last event first."""
    value = table.astype(np.float64)
    for chance in q[::-1].tolist():
        half = len(value) // 2
        value = (1.0 - chance) * value[:half] + chance * value[half:]
    return float(value[0])


def _close_upwards(table: Table, n_events: int) -> None:
    """Make every state true that has more events than a true one."""
    for event in range(n_events):
        pairs = table.reshape(-1, 2, 1 << event)
        pairs[:, 1] |= pairs[:, 0]


def _table(tree: Tree) -> Table:
    n = len(tree.events)
    n_words = max(1, (1 << n) // _BITS)
    last_use = {node: i for i, gate in enumerate(tree.gates) for node in gate.inputs}
    value: dict[int, Words] = {event: _event(event, n_words) for event in range(n)}
    for number, gate in enumerate(tree.gates):
        value[n + number] = _gate(gate, [value[node] for node in gate.inputs], n_words)
        for node in gate.inputs:  # so that a tree of very many gates fits
            if last_use[node] == number and node != tree.top:
                value.pop(node, None)
    words = np.ascontiguousarray(value[tree.top], dtype="<u8")
    return np.unpackbits(words.view(np.uint8), bitorder="little")[: 1 << n].astype(np.bool_)


def _event(event: int, n_words: int) -> Words:
    if event < _IN_WORD:
        half = 1 << event
        pattern = sum(1 << bit for bit in range(_BITS) if bit & half)
        return np.full(n_words, pattern, dtype=np.uint64)
    number = np.arange(n_words)
    return np.where(number >> (event - _IN_WORD) & 1 == 1, _ONES, np.uint64(0))


def _gate(gate: Gate, inputs: Sequence[Words], n_words: int) -> Words:
    match gate.op:
        case Op.AND | Op.OR | Op.XOR:
            rows = np.array(inputs, dtype=np.uint64).reshape(-1, n_words)  # shaped even if there are none
            found: Words = _JOIN[gate.op].reduce(rows, axis=0)
            return found
        case Op.NOT:
            return ~inputs[0]
        case Op.SAME:
            return inputs[0]
        case Op.CONSTANT:
            return np.full(n_words, _ONES if gate.k else 0, dtype=np.uint64)
        case Op.AT_LEAST:
            return _at_least(gate.k, inputs, n_words)


def _at_least(k: int, inputs: Sequence[Words], n_words: int) -> Words:
    """reached[j]: at least j of the inputs seen so far."""
    reached = [
        np.full(n_words, _ONES, dtype=np.uint64),
        *(np.zeros(n_words, dtype=np.uint64) for _ in range(k)),
    ]
    for some in inputs:
        for j in range(k, 0, -1):
            reached[j] |= reached[j - 1] & some
    return reached[k]
