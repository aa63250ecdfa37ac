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

from dataclasses import dataclass

import numpy as np

from falsework.engines.evaluate import Evaluator
from falsework.engines.gates import BoolArray, GateGraph
from falsework.engines.meeting import Meetings
from falsework.engines.scenarios import BITS, Words, singles
from falsework.engines.sparse import Ints, Pool, as_bools, grouped, where_true
from falsework.engines.touching import Touching
from falsework.engines.units import cone, readers, units


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Classes:
    """Leaves that are alike in every combination, and what the loss of one of each class does.

    Attributes:
        of_leaf: int (n_leaves,), class of each leaf; classes are numbered by their first leaf.
        representative: int (n_classes,), first leaf of each class.
        sizes: int (n_classes,), how many leaves are in each.
        stands: bool (n_watched, n_classes), watched values when one leaf of the class fails.
        meetings: which pairs of classes may do more together than each alone.
    """

    of_leaf: Ints
    representative: Ints
    sizes: Ints
    stands: BoolArray
    meetings: Meetings

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
    seen = Pool(readers(graph, inside))
    everything = graph.keeping(np.arange(graph.n_gates))
    engine = Evaluator(everything, memory_bytes=memory_bytes // 4)  # the rest goes to looking at what it says
    base = engine.evaluate_failures([()])[:, :1]
    touching = Touching(graph, units(graph, inside), base)
    edges = [(np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64))]
    stands = np.empty((len(watched), graph.n_leaves), dtype=np.bool_)
    for first, words in engine.stream(singles(graph.n_leaves)):
        n = min(words.shape[1] * BITS, graph.n_leaves - first)
        stands[:, first : first + n] = as_bools(words[watched], n)
        fallen: Words = words ^ base
        fallen[~inside] = 0
        touching.take(first, words, fallen, n)
        at_edge = seen.any_of(words)
        at_edge &= fallen
        at_edge[watched] = fallen[watched]
        gate, leaf = where_true(at_edge, n)
        edges.append((gate, leaf + first))
    gate, leaf = (np.concatenate(some) for some in zip(*edges, strict=True))
    of_leaf, representative = _alike(gate, leaf, graph.n_leaves)
    return Classes(
        of_leaf=of_leaf,
        representative=representative,
        sizes=np.bincount(of_leaf, minlength=len(representative)),
        stands=stands[:, representative],
        meetings=touching.meetings(of_leaf, representative),
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
