"""Which losses come so near to each other that two may do more together than each alone?

What two losses a and b may do at a unit (`falsework.engines.units`) that stands under both:

- at a gate that has some true inputs to spare, nothing unless a and b, counted one by one, lower more than those;
- at a box, nothing if it bears all losses of two groups at once and a is in one of them, b in the other;
- at a loop, anything if something it reads from outside changes under both.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from falsework.engines.bitwise import ask
from falsework.engines.boxing import unsettled
from falsework.engines.counting import Count
from falsework.engines.gates import BoolArray, GateGraph, Kind, Oracle
from falsework.engines.meeting import Meetings
from falsework.engines.scenarios import Words
from falsework.engines.sparse import Ints, Lists, Pool, as_bools, grouped, lists_of, where_true
from falsework.engines.units import Units

_FEW = 32  # losses at a box, up to which it is not asked about groups
_MANY = 1 << 12  # and from which on the groups would be too many
Directed = tuple[Ints, Ints]
"""Each class of the first meets each of the second."""


class Touching:
    """Collects, chunk after chunk of single losses, what each does to the units."""

    def __init__(self, graph: GateGraph, parts: Units, base: Words) -> None:
        """Prepare; `base` is words (n_gates, 1) of what holds when nothing fails."""
        self._graph, self._parts, self._base = graph, parts, base[:, 0] != 0
        needed = np.where(graph.kind[parts.gates] == Kind.AT_LEAST, graph.k[parts.gates], 1)
        row = np.repeat(np.arange(len(parts.gates)), parts.inputs.sizes)
        standing = np.bincount(row, self._base[parts.inputs.items], minlength=len(parts.gates))
        self._spare: Ints = standing.astype(np.int64) - needed
        self._count = Count(parts.inputs)
        self._reads, self._gives = Pool(parts.loop_reads), Pool(parts.loop_gives)
        none = np.zeros(0, dtype=np.int64)
        self._at_gates = [(none, none, none)]
        self._at_loops = [(none, none)]
        self._at_boxes: list[list[tuple[Ints, BoolArray]]] = [[] for _ in parts.boxes]

    def take(self, first: int, words: Words, fallen: Words, n: int) -> None:
        """Note the losses of leaves `first` and on.

        Args:
            first: leaf that fails in the first scenario.
            words: words (n_gates, n_words), what holds.
            fallen: what holds no more.
            n: how many scenarios there are.
        """
        for gate, leaf, lost in self._count.above_zero(fallen, words[self._parts.gates], n):
            self._at_gates.append((gate, leaf + first, lost))
        loop, leaf = where_true(self._reads.any_of(fallen) & self._gives.any_of(words), n)
        self._at_loops.append((loop, leaf + first))
        for box, noted in zip(self._parts.boxes, self._at_boxes, strict=True):
            inputs = _inputs(self._graph, box)
            touched = np.bitwise_or.reduce(fallen[inputs], axis=0)
            touched &= np.bitwise_or.reduce(words[_outputs(box)], axis=0)
            _, leaf = where_true(touched[np.newaxis], n)
            noted.append((leaf + first, as_bools(words[inputs], n)[:, leaf]))

    def meetings(self, of_leaf: Ints, representative: Ints) -> Meetings:
        """Which classes of leaves may meet which, each class seen through its representative."""
        found: dict[tuple[bytes, bytes], Directed] = {}
        for one, other in self._directed(of_leaf, representative):
            found.setdefault((one.tobytes(), other.tobytes()), (one, other))
        return Meetings(
            one=lists_of(one.tolist() for one, _ in found.values()),
            other=lists_of(other.tolist() for _, other in found.values()),
        )

    def touched(self) -> Touched:
        """What has been noted, by unit."""
        gate, leaf, lost = (np.concatenate(some) for some in zip(*self._at_gates, strict=True))
        order = np.argsort(gate, kind="stable")
        loop, loop_leaf = (np.concatenate(some) for some in zip(*self._at_loops, strict=True))
        return Touched(
            parts=self._parts,
            base=self._base,
            spare=self._spare,
            inputs=tuple(_inputs(self._graph, box) for box in self._parts.boxes),
            at_gates=grouped(gate, leaf, len(self._parts.gates)),
            lost=lost[order],
            at_loops=grouped(loop, loop_leaf, len(self._parts.loop_reads)),
            at_boxes=tuple(np.concatenate([leaf for leaf, _ in noted]) for noted in self._at_boxes),
        )

    def _directed(self, of_leaf: Ints, representative: Ints) -> Iterator[Directed]:
        gate, leaf, lost = (np.concatenate(some) for some in zip(*self._at_gates, strict=True))
        chosen = representative[of_leaf[leaf]] == leaf
        yield from _at_gates(gate[chosen], of_leaf[leaf[chosen]], lost[chosen], self._spare)
        loop, leaf = (np.concatenate(some) for some in zip(*self._at_loops, strict=True))
        chosen = representative[of_leaf[leaf]] == leaf
        met = grouped(loop[chosen], of_leaf[leaf[chosen]], len(self._parts.loop_reads))
        for number in np.flatnonzero(met.sizes > 1).tolist():
            some = np.sort(met.row(number))
            yield some, some
        for box, noted in zip(self._parts.boxes, self._at_boxes, strict=True):
            leaf = np.concatenate([leaf for leaf, _ in noted])
            chosen = representative[of_leaf[leaf]] == leaf
            given = np.concatenate([given for _, given in noted], axis=1)[:, chosen]
            yield from _at_box(box, of_leaf[leaf[chosen]], given)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Touched:
    """Which single losses touch each unit.

    Attributes:
        parts: the units.
        base: bool (n_gates,), what holds when nothing fails.
        spare: int (n,), how many more inputs of each gate are true then than it needs.
        inputs: of each box.
        at_gates, lost: leaves that lower inputs of each gate but not the gate, and how many inputs.
        at_loops, at_boxes: leaves that change what a loop or box reads, and leave it something to give.
    """

    parts: Units
    base: BoolArray
    spare: Ints
    inputs: tuple[Ints, ...]
    at_gates: Lists
    lost: Ints
    at_loops: Lists
    at_boxes: tuple[Ints, ...]

    def met(self, values: BoolArray) -> Ints:
        """The leaves, ascending, that meet a loss under which these values hold, bool (n_gates,)."""
        fallen = self.base & ~values
        lost = _sums(self.parts.inputs, fallen)
        near = np.flatnonzero((lost > 0) & values[self.parts.gates])
        which, at = self.at_gates.places(near)
        too_much = lost[near][which] + self.lost[at] > self.spare[near][which]
        found = [self.at_gates.items[at[too_much]]]
        reads, gives = _sums(self.parts.loop_reads, fallen), _sums(self.parts.loop_gives, values)
        found.append(self.at_loops.expand(np.flatnonzero((reads > 0) & (gives > 0)))[1])
        for box, inputs, leaves in zip(self.parts.boxes, self.inputs, self.at_boxes, strict=True):
            if fallen[inputs].any() and values[_outputs(box)].any():
                found.append(leaves)
        return np.unique(np.concatenate(found))


def _sums(lists: Lists, values: BoolArray) -> Ints:
    """How many of the rows that each list names are true."""
    ends = np.concatenate(([0], np.cumsum(values[lists.items])))
    return ends[lists.indptr[1:]] - ends[lists.indptr[:-1]]


def _inputs(graph: GateGraph, box: Oracle) -> Ints:
    return graph.indices[graph.indptr[box.gate] : graph.indptr[box.gate + 1]].astype(np.int64)


def _outputs(box: Oracle) -> Ints:
    return np.array([output for output in box.outputs if output >= 0], dtype=np.int64)


def _at_gates(gate: Ints, number: Ints, lost: Ints, spare: Ints) -> Iterator[Directed]:
    """Pairs of classes that at some gate lose more than its spare inputs together."""
    order = np.lexsort((number, gate))
    gate, number, lost = gate[order], number[order], lost[order]
    starts = np.flatnonzero(np.diff(gate, prepend=-1))
    for start, stop in zip(starts.tolist(), [*starts[1:].tolist(), len(gate)], strict=False):
        room = int(spare[gate[start]])
        some, loses = number[start:stop], lost[start:stop]
        large = some[2 * loses > room]
        if len(large) > 1:
            yield large, large
        if len(large):
            for small in np.unique(loses[2 * loses <= room]).tolist():
                one, other = some[loses == small], some[loses > room - small]
                if len(other):
                    yield one, other
                    yield other, one


def _at_box(box: Oracle, number: Ints, given: BoolArray) -> Iterator[Directed]:
    """Pairs of classes that the box may not answer by the `and` of its answers to each."""
    if len(number) < 2:
        return
    if not _FEW < len(number) < _MANY:
        some = np.sort(number)
        yield some, some
        return
    columns, which = np.unique(given, axis=1, return_inverse=True)
    kept = np.array(box.outputs) >= 0
    x, y = unsettled(lambda asked: ask(box, asked)[kept], columns)
    near = np.zeros((columns.shape[1], columns.shape[1]), dtype=np.bool_)
    near[x, y] = near[y, x] = True
    which = which.reshape(-1)
    for column in np.flatnonzero(near.any(axis=1)).tolist():
        yield np.sort(number[which == column]), np.sort(number[near[column][which]])
