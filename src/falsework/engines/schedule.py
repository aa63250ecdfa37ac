"""In which order are gates worked out, whole layers at a time, and what has to be repeated until it settles?

A layer holds gates that do not lean on each other; a loop holds steps to be repeated.
Loops are the circles of the graph (`falsework.engines.circles`), those of equal depth run together.
A loop is cut open at its state gates and its inside scheduled the same way: first at the gates of the outer
fixed point, and what still loops then at the promises of the inner one.
That components may be solved one after another, inputs first, is Bekic's principle (H. Bekic 1984, "Definable
operations in general algebras", Lecture Notes in Computer Science 177).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from falsework.engines.circles import circles
from falsework.engines.gates import BoolArray, GateGraph, Kind, Oracle
from falsework.engines.sparse import Ints, Lists

Rows = NDArray[np.intp]
_KINDS = tuple(Kind)
_WIDTHS = (1, 2, 3, 4, 6, 8, 12, 16, 24, 32, 48, 64, 96, 128, 192, 256, 384, 512)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One gate to be worked out: ALL, ANY, AT_LEAST `k`, or a box with its oracle."""

    row: int
    kind: Kind
    inputs: tuple[int, ...]
    k: int = 0
    oracle: Oracle | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Batch:
    """Gates of one kind and width, side by side in their layer."""

    kind: Kind
    k: int
    oracle: Oracle | None  # then the batch is this one box
    rows: Rows  # (n,) where results go; for a box its own row, which holds nothing
    inputs: Rows  # (width, n); all-of and any-of repeat their first input to fill up
    first: int  # the batch is rows first .. last-1 of its layer
    last: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layer:
    """Gates that do not lean on each other."""

    batches: tuple[Batch, ...]
    rows: Rows  # (n,)
    sources: Rows  # (n_edges,) inputs of rows[i] are sources[starts[i]:starts[i + 1]], never none
    starts: Rows  # (n,)
    n_plain: int  # batches of all-of gates, then those of any-of gates, come before others
    alls: tuple[int, int]  # rows of all-of gates are rows[first:last]
    anys: tuple[int, int]  # and those of any-of gates


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Loop:
    """Steps that read their own results through the state gates; `close` works those out after each round."""

    outer: bool  # the outer fixed point, with at most inner ones inside; else the inner
    steps: tuple[Layer | Loop, ...]
    close: Layer
    boxes: tuple[Oracle, ...]
    rows: Rows  # every row the loop writes, boxes and their outputs included
    sources: Rows  # every row it reads and does not write


Step = Layer | Loop


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Schedule:
    """Steps to run in order; `row[g]` says where gate g's value is, for it may only pass on another's."""

    steps: tuple[Step, ...]
    row: Rows  # (n_gates,)


def schedule(graph: GateGraph, *, outer: BoolArray, merge: bool) -> Schedule:
    """Layers and loops that work out every gate but leaves and constants.

    Args:
        graph: the gates.
        outer: bool (n_gates,), the gates at which loops are cut first. Loops without any are cut at promises.
        merge: leave out gates that only pass a value on, but for those that close a loop.

    Cost:
        O(gates + edges) in whole arrays, once.
    """
    return _Scheduler(graph, outer, merge=merge).run()


def layer(rules: Iterable[Rule]) -> Layer:
    """Put independent rules into one layer."""
    alike: defaultdict[tuple[Kind, int, int, int], list[Rule]] = defaultdict(list)
    for rule in rules:
        alike[_shape(rule)].append(rule)
    batches: list[Batch] = []
    ordered: list[Rule] = []
    for (kind, width, k, _), some in sorted(alike.items(), key=lambda item: item[0]):
        filled = [rule.inputs + rule.inputs[:1] * (width - len(rule.inputs)) for rule in some]
        batches.append(
            Batch(
                kind=kind,
                k=k,
                oracle=some[0].oracle,
                rows=np.array([rule.row for rule in some], dtype=np.intp),
                inputs=np.array(filled, dtype=np.intp).reshape(len(some), width).T.copy(),
                first=len(ordered),
                last=len(ordered) + len(some),
            )
        )
        ordered += some
    sources = [rule.inputs or (rule.row,) for rule in ordered]  # a box may have no inputs
    return _layer(
        batches,
        rows=np.array([rule.row for rule in ordered], dtype=np.intp),
        sources=np.array([source for some in sources for source in some], dtype=np.intp),
        starts=np.cumsum([0, *map(len, sources)][:-1], dtype=np.intp),
    )


def _layer(batches: Sequence[Batch], *, rows: Rows, sources: Rows, starts: Rows) -> Layer:
    alls, anys = (
        (min(batch.first for batch in some), max(batch.last for batch in some)) if some else (0, 0)
        for kind in (Kind.ALL, Kind.ANY)
        for some in ([batch for batch in batches if batch.kind is kind],)
    )
    n_plain = sum(batch.kind in (Kind.ALL, Kind.ANY) for batch in batches)
    return Layer(
        batches=tuple(batches),
        rows=rows,
        sources=sources,
        starts=starts,
        n_plain=n_plain,
        alls=alls,
        anys=anys,
    )


def _shape(rule: Rule) -> tuple[Kind, int, int, int]:
    """What rules of one batch have in common: kind, width, k, and for a box its row."""
    width = len(rule.inputs)
    if rule.kind is Kind.ORACLE:
        return rule.kind, width, 0, rule.row
    if rule.kind is Kind.AT_LEAST:
        return rule.kind, width, rule.k, 0
    return rule.kind, next((some for some in _WIDTHS if some >= width), width), 0, 0


class _Scheduler:
    def __init__(self, graph: GateGraph, outer: BoolArray, *, merge: bool) -> None:
        self._graph = graph
        self._outer = outer
        self._merge = merge
        self._row: Rows = np.arange(graph.n_gates)
        self._inputs = Lists(indptr=graph.indptr.astype(np.int64), items=graph.indices.astype(np.int64))
        self._width = self._inputs.sizes

    def run(self) -> Schedule:
        gates = np.arange(self._graph.n_gates)
        if self._merge:
            self._merge_passing(circles(*self._inputs.expand(gates), len(gates)).circular)
        self._sort()
        return Schedule(steps=self._steps(gates, *self._inputs.expand(gates)), row=self._row)

    def _merge_passing(self, circular: BoolArray) -> None:
        """Let what reads a passing gate read where the value comes from."""
        kind = self._graph.kind
        passing = np.flatnonzero((kind == Kind.WIRE) | ((kind == Kind.PROMISE) & ~circular))
        self._row[passing] = self._inputs.items[self._inputs.indptr[passing]]
        while ((further := self._row[self._row]) != self._row).any():
            self._row = further
        self._inputs = Lists(indptr=self._inputs.indptr, items=self._row[self._inputs.items])

    def _steps(self, gates: Ints, reader: Ints, source: Ints) -> tuple[Step, ...]:
        """Layers and loops for gates, where the reader[i]-th reads the source[i]-th; the one after the last is given."""
        n = len(gates)
        found = circles(reader, source, n + 1)
        knot, circular, depth = found.knot[:n], found.circular[:n], found.depth[:n]
        outer = np.zeros(n, dtype=np.bool_)
        outer[knot[self._outer[gates]]] = True
        loops = np.where(circular, np.where(outer[knot], 1, 2), 0)
        reads = np.bincount(reader, minlength=n)[:n] > 0
        boxed = (self._graph.kind[gates] == Kind.ORACLE) & (self._width[gates] == 0)
        worked_out = np.flatnonzero(reads | boxed)
        order = worked_out[np.lexsort((loops[worked_out], depth[worked_out]))]
        alike = np.stack((depth[order], loops[order]))
        starts = np.flatnonzero((np.diff(alike, axis=1) != 0).any(axis=0)) + 1
        steps: list[Step] = []
        for some in np.split(order, starts):
            if not len(some):
                continue
            if loops[some[0]]:
                steps.append(self._loop(gates[some], outer=bool(outer[knot[some[0]]])))
            elif len((made := self._layer(gates[some])).rows):
                steps.append(made)
        return tuple(steps)

    def _loop(self, gates: Ints, *, outer: bool) -> Loop:
        state = self._outer[gates] if outer else self._graph.kind[gates] == Kind.PROMISE
        reader, source = self._inputs.expand(gates)
        inside = np.full(self._graph.n_gates, len(gates))
        inside[gates] = np.arange(len(gates))
        opened = ~state[reader]
        boxes = [
            self._graph.oracles[number]
            for number in self._graph.k[gates[self._graph.kind[gates] == Kind.ORACLE]].tolist()
        ]
        outputs = [output for box in boxes for output in box.outputs if output >= 0]
        rows = np.union1d(gates, np.array(outputs, dtype=np.int64))
        return Loop(
            outer=outer,
            steps=self._steps(gates, reader[opened], inside[source[opened]]),
            close=self._layer(gates[state]),
            boxes=tuple(boxes),
            rows=rows,
            sources=np.setdiff1d(source, rows),
        )

    def _sort(self) -> None:
        """Number the shapes of gates, those of one batch in a layer alike; -1 is for gates without a rule.

        Outputs are written by their box, and merged gates have no row.
        """
        kind, width = self._graph.kind.astype(np.int64), self._width
        passed = (kind == Kind.PROMISE) | (kind == Kind.WIRE)
        ruled = (kind >= Kind.ALL) & (kind <= Kind.AT_LEAST) | (kind == Kind.ORACLE)
        ruled |= passed & (self._row == np.arange(len(kind)))
        kind[passed] = Kind.ALL
        self._filled = np.where(kind <= Kind.ANY, _rounded(width), width)
        k = np.where(kind == Kind.AT_LEAST, self._graph.k, 0)
        box = np.where(kind == Kind.ORACLE, np.arange(len(kind)), 0)
        order = np.lexsort((box, k, self._filled, kind))
        shapes = np.stack((kind, self._filled, k, box))[:, order]
        self._shape = np.full(len(kind), -1)
        self._shape[order] = np.cumsum((np.diff(shapes, axis=1, prepend=0) != 0).any(axis=0))
        self._shape[~ruled] = -1

    def _layer(self, gates: Ints) -> Layer:
        """What `layer` makes of the rules of these gates, all at once."""
        rows = gates[self._shape[gates] >= 0]
        rows = rows[np.argsort(self._shape[rows], kind="stable")]
        starts = np.flatnonzero(np.diff(self._shape[rows])) + 1
        width = self._width[rows]
        batches = [
            self._batch(rows[first:last], width[first:last], first)
            for first, last in pairwise([0, *starts.tolist(), len(rows)])
            if last > first
        ]
        listed = np.maximum(width, 1)  # a box may have no inputs: then it lists itself
        ends = np.cumsum(listed)
        sources = np.repeat(rows, listed)
        which, items = self._inputs.expand(rows)
        sources[(ends - listed)[which] + np.arange(len(which)) - (np.cumsum(width) - width)[which]] = items
        return _layer(batches, rows=rows, sources=sources, starts=ends - listed)

    def _batch(self, rows: Rows, width: Rows, first: int) -> Batch:
        kind = _KINDS[self._graph.kind[rows[0]]]
        at_least, boxed = kind is Kind.AT_LEAST, kind is Kind.ORACLE
        each = np.arange(self._filled[rows[0]])[:, np.newaxis]
        at = self._inputs.indptr[rows] + np.where(each < width, each, 0)
        return Batch(
            kind=Kind.ALL if kind in (Kind.PROMISE, Kind.WIRE) else kind,
            k=int(self._graph.k[rows[0]]) if at_least else 0,
            oracle=self._graph.oracles[self._graph.k[rows[0]]] if boxed else None,
            rows=rows,
            inputs=self._inputs.items[at],
            first=first,
            last=first + len(rows),
        )


def _rounded(width: Rows) -> Rows:
    """The next width that batches have, so that few of them are needed; very wide gates keep their own."""
    at = np.searchsorted(_WIDTHS, width)
    return np.where(at < len(_WIDTHS), np.array(_WIDTHS)[np.minimum(at, len(_WIDTHS) - 1)], width)
