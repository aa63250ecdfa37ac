"""What does each single loss do, and which losses are as good as one another?

Two leaves are *alike* when the gates that fall with the one and are read by a gate that stands (the edge of
the hole, watched gates included) are those that fall with the other and are read by one that stands.
Then they are interchangeable in every company:

- whatever else fails, the gates that fall with a alone are false, so they may be replaced by false;
- the rest of the system sees them only at the edge, which is the same for a and b;
- so outside both holes, and at every watched gate, values agree.

(Replacing by false what is false in the solution changes nothing for the nest either: with the greatest
promises as solved, every round of the inner iteration lies below its end; those gates are false all along.)

Alike leaves together do what one of them does.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from falsework.engines.evaluate import Evaluator
from falsework.engines.gates import BoolArray, GateGraph
from falsework.engines.scenarios import BITS, Words, singles
from falsework.engines.sparse import Ints, Lists, Pool, as_bools, grouped, where_true
from falsework.engines.units import cone, readers, units


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Classes:
    """Leaves that are alike in every combination, and what the loss of one of each class does.

    Attributes:
        of_leaf: int (n_leaves,), class of each leaf; classes are numbered by their first leaf.
        representative: int (n_classes,), first leaf of each class.
        sizes: int (n_classes,), how many leaves are in each.
        stands: bool (n_watched, n_classes), watched values when one leaf of the class fails.
        touched: for each unit two classes or more touch, those classes, ascending; equal lists come once.
    """

    of_leaf: Ints
    representative: Ints
    sizes: Ints
    stands: BoolArray
    touched: Lists

    def __len__(self) -> int:
        """How many classes there are."""
        return len(self.representative)

    def members(self, number: int) -> tuple[int, ...]:
        """The leaves of one class, ascending."""
        return tuple(np.flatnonzero(self.of_leaf == number).tolist())


def classes(graph: GateGraph, watched: Ints, *, memory_bytes: int = 256 << 20) -> Classes:
    """Fail every leaf by itself and sort the leaves into classes.

    Args:
        graph: the gates.
        watched: gates whose values matter.
        memory_bytes: about how much working memory to take.

    Cost:
        One single-loss run over all gates, and as much again to look at its edges.
    """
    inside = cone(graph, watched)
    readers_of = readers(graph, inside)
    parts = units(graph, inside)
    seen, reads, gives = Pool(readers_of), Pool(parts.reads), Pool(parts.gives)
    everything = replace(graph, kept=np.arange(graph.n_gates, dtype=np.int32))
    engine = Evaluator(everything, memory_bytes=memory_bytes)
    base = engine.evaluate_failures([()])[:, :1]
    edge: list[tuple[Ints, Ints]] = []
    touch: list[tuple[Ints, Ints]] = []
    stands = np.empty((len(watched), graph.n_leaves), dtype=np.bool_)
    for first, words in engine.stream(singles(graph.n_leaves)):
        n = min(words.shape[1] * BITS, graph.n_leaves - first)
        stands[:, first : first + n] = as_bools(words[watched], n)
        fallen: Words = words ^ base
        fallen[~inside] = 0
        at_edge = seen.any_of(words)
        at_edge &= fallen
        at_edge[watched] = fallen[watched]
        edge.append(_shifted(where_true(at_edge, n), first))
        del at_edge
        touch.append(_shifted(where_true(reads.any_of(fallen) & gives.any_of(words), n), first))
    of_leaf, representative = _alike(*_joined(edge), graph.n_leaves)
    return Classes(
        of_leaf=of_leaf,
        representative=representative,
        sizes=np.bincount(of_leaf, minlength=len(representative)),
        stands=stands[:, representative],
        touched=_touched(*_joined(touch), of_leaf, representative, len(parts.reads)),
    )


def _shifted(found: tuple[Ints, Ints], first: int) -> tuple[Ints, Ints]:
    return found[0], found[1] + first


def _joined(found: list[tuple[Ints, Ints]]) -> tuple[Ints, Ints]:
    none = np.zeros(0, dtype=np.int64)
    return (
        np.concatenate([none, *(rows for rows, _ in found)]),
        np.concatenate([none, *(scenarios for _, scenarios in found)]),
    )


def _alike(gate: Ints, leaf: Ints, n_leaves: int) -> tuple[Ints, Ints]:
    """Class of each leaf and first leaf of each class, from the edge gates of each leaf."""
    order = np.argsort(gate, kind="stable")
    edges = grouped(leaf[order], gate[order], n_leaves)
    bounds = edges.indptr.tolist()
    number: dict[bytes, int] = {}
    of_leaf = np.empty(n_leaves, dtype=np.int64)
    representative: list[int] = []
    for one in range(n_leaves):
        key = edges.items[bounds[one] : bounds[one + 1]].tobytes()
        if key not in number:
            number[key] = len(representative)
            representative.append(one)
        of_leaf[one] = number[key]
    return of_leaf, np.array(representative, dtype=np.int64)


def _touched(unit: Ints, leaf: Ints, of_leaf: Ints, representative: Ints, n_units: int) -> Lists:
    """Classes that touch each unit, one list for all units that the same two or more classes touch."""
    chosen = representative[of_leaf[leaf]] == leaf
    unit, number = unit[chosen], of_leaf[leaf[chosen]]
    order = np.argsort(number, kind="stable")
    every = grouped(unit[order], number[order], n_units)
    bounds = every.indptr.tolist()
    first: dict[bytes, int] = {}
    for one in np.flatnonzero(every.sizes > 1).tolist():
        first.setdefault(every.items[bounds[one] : bounds[one + 1]].tobytes(), one)
    some = np.fromiter(first.values(), dtype=np.int64, count=len(first))
    row, item = every.expand(some)
    return grouped(row, item, len(some))
