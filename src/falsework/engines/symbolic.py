"""What does each kept gate compute, as a function of the leaves rather than for one scenario?

The rules of the gates are read over any Boolean algebra that can tell when two functions are equal; decision
diagrams are one. Fixed points are found by rounds, as for truth values: the functions form a finite lattice,
so Knaster and Tarski hold here too, and a round that changes nothing ends a loop.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import Generic, Literal, Protocol, TypeVar

import numpy as np

from falsework.engines.bitwise import ask
from falsework.engines.gates import GREATEST, BoolArray, GateGraph, Kind, Oracle
from falsework.engines.schedule import Layer, Loop, Step, schedule

F = TypeVar("F")
Side = Literal["lower", "upper"]

WHOLE = 12
"""A box with so many inputs is asked about every combination of them."""
ASKED = 40_000
"""A wider box is asked about all small sets of false inputs, so many at most."""


class Algebra(Protocol[F]):
    """Functions of the leaves, and how to combine them."""

    def constant(self, value: bool) -> F:
        """The function that is always true, or always false."""
        ...

    def leaf(self, row: int) -> F:
        """The function that is true where the leaf in this row is."""
        ...

    def all_of(self, functions: Sequence[F]) -> F:
        """True where every one is; of nothing, true."""
        ...

    def any_of(self, functions: Sequence[F]) -> F:
        """True where some one is; of nothing, false."""
        ...

    def at_least(self, k: int, functions: Sequence[F]) -> F:
        """True where `k` are, one listed twice counting twice."""
        ...

    def choose(self, condition: F, then: F, otherwise: F) -> F:
        """`then` where the condition is true, `otherwise` elsewhere."""
        ...


def functions(graph: GateGraph, algebra: Algebra[F], *, side: Side = "lower") -> tuple[list[F], bool]:
    """The function of every kept gate, in the order kept.

    Args:
        graph: the gates.
        algebra: the functions. Their `==` must tell whether two are the same function.
        side: what to do with boxes too wide to ask about every combination. "lower": the answer is never true
            where the box's is not (any larger set of false inputs is taken to fail every output); "upper": never
            false where the box's is not (a larger set fails only what a smaller one within it does).

    Returns:
        The functions, and whether they are exact: whether no box was too wide.

    Cost:
        Rounds x gates operations of the algebra; rounds are few.
    """
    reading = _Reading(graph, algebra, side)
    reading.run(schedule(graph, outer=graph.sign == GREATEST, merge=False).steps)
    return [reading.value[gate] for gate in graph.kept.tolist()], reading.exact


class _Reading(Generic[F]):
    def __init__(self, graph: GateGraph, algebra: Algebra[F], side: Side) -> None:
        self._algebra = algebra
        self._graph = graph
        self._side = side
        self.exact = True
        self._known: dict[int, tuple[list[F], F]] = {}  # what each gate read last, and what came of it
        self.value: dict[int, F] = {row: algebra.leaf(row) for row in range(graph.n_leaves)}
        for kind in (Kind.TRUE, Kind.FALSE):
            gates = np.flatnonzero(graph.kind == kind).tolist()
            self.value |= dict.fromkeys(gates, algebra.constant(kind is Kind.TRUE))

    def run(self, steps: Sequence[Step]) -> None:
        for step in steps:
            if isinstance(step, Layer):
                self._layer(step)
            else:
                self._loop(step)

    def _loop(self, loop: Loop) -> None:
        start = self._algebra.constant(loop.outer)
        rows = loop.close.rows.tolist()
        for row in loop.rows.tolist():
            self.value[row] = start
        while True:
            self.run(loop.steps)
            before = [self.value[row] for row in rows]
            self._layer(loop.close)
            if all(self.value[row] == old for row, old in zip(rows, before, strict=True)):
                return

    def _layer(self, layer: Layer) -> None:
        found: dict[int, F] = {}
        for batch in layer.batches:
            if batch.oracle is not None:
                found |= self._box(batch.oracle, batch.inputs[:, 0].tolist())
                continue
            for row, inputs in zip(batch.rows.tolist(), batch.inputs.T.tolist(), strict=True):
                given = [self.value[source] for source in inputs]
                known = self._known.get(row)
                if known is None or known[0] != given:
                    self._known[row] = known = (given, self._rule(batch.kind, batch.k, given))
                found[row] = known[1]
        self.value |= found

    def _rule(self, kind: Kind, k: int, given: Sequence[F]) -> F:
        if kind is Kind.AT_LEAST:
            return self._algebra.at_least(k, given)
        return self._algebra.any_of(given) if kind is Kind.ANY else self._algebra.all_of(given)

    def _box(self, oracle: Oracle, inputs: Sequence[int]) -> dict[int, F]:
        given = [self.value[source] for source in inputs]
        kept = [number for number, output in enumerate(oracle.outputs) if output >= 0]
        if len(given) <= WHOLE:
            table = _table(oracle, len(given))
            answer = [self._shannon(table[number], given) for number in kept]
        else:
            self.exact = False
            answer = self._small_sets(oracle, given, kept)
        return {oracle.outputs[number]: each for number, each in zip(kept, answer, strict=True)}

    def _shannon(self, column: BoolArray, given: Sequence[F]) -> F:
        """The composition of a table of values, bit i of the position being input i, with the inputs."""
        known: dict[bytes, F] = {}

        def made(part: BoolArray, depth: int) -> F:
            if part.all() or not part.any():
                return self._algebra.constant(bool(part[0]))
            key = part.tobytes()
            if key not in known:
                half = len(part) // 2  # the last input is the highest bit
                low, high = made(part[:half], depth - 1), made(part[half:], depth - 1)
                known[key] = self._algebra.choose(given[depth], high, low)
            return known[key]

        return made(column, len(given) - 1)

    def _small_sets(self, oracle: Oracle, given: Sequence[F], kept: Sequence[int]) -> list[F]:
        """Each output by its failing sets of few false inputs."""
        n = len(given)
        sets: list[tuple[int, ...]] = [()]
        largest = 0
        while largest < n:
            further = list(combinations(range(n), largest + 1))
            if len(sets) + len(further) > ASKED:
                break
            sets += further
            largest += 1
        asked = np.ones((n, len(sets)), dtype=np.bool_)
        for column, false in enumerate(sets):
            asked[list(false), column] = False
        answer = ask(oracle, asked)
        found = []
        for number in kept:
            failing = _minimal([sets[column] for column in np.flatnonzero(~answer[number]).tolist()])
            rows = [self._algebra.any_of([given[place] for place in false]) for false in failing]
            if self._side == "lower":
                rows.append(self._algebra.at_least(n - largest, given))
            found.append(self._algebra.all_of(rows))
        return found


def _table(oracle: Oracle, n: int) -> BoolArray:
    """Every answer of a box with n inputs: bool (n_outputs, 2^n), bit i of the column being input i.

    A box should be monotone. Where it is not, it is read carefully: an output that is false with some inputs
    stays false with fewer.
    """
    columns = np.arange(1 << n)
    table = ask(oracle, (columns[np.newaxis, :] >> np.arange(n)[:, np.newaxis] & 1).astype(np.bool_))
    for place in range(n):
        halves = table.reshape(len(table), -1, 2, 1 << place)
        halves[:, :, 0] &= halves[:, :, 1]
    return table


def _minimal(sets: Sequence[tuple[int, ...]]) -> list[frozenset[int]]:
    """Those that hold no other, given in order of size."""
    found: list[frozenset[int]] = []
    for each in map(frozenset, sets):
        if not any(known <= each for known in found):
            found.append(each)
    return found
