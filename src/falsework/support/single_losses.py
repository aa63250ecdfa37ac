"""What is no longer there, of the things that matter to a question, when any one part is lost?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from falsework.engines.evaluate import Evaluator
from falsework.engines.gates import BoolArray, GateGraph
from falsework.support.standing import Standing

AT_ONCE = 2048


@dataclass(frozen=True, slots=True)
class There:
    """What stands at one moment, of things that were asked about: all but these."""

    interrupted: frozenset[str]
    gone: frozenset[str]

    def up(self, name: str) -> bool:
        """Whether a thing was not interrupted."""
        return name not in self.interrupted

    def back(self, name: str) -> bool:
        """Whether a thing stands once all that can come back has."""
        return name not in self.gone


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What a loss changes.

    Attributes:
        parts: parts of which each alone does this, in lab order.
        there: what stands then.
        changed: what does not stand as without it.
    """

    parts: tuple[str, ...]
    there: There
    changed: frozenset[str]


def now(standing: Standing, names: Iterable[str]) -> There:
    """What stands with nothing lost but what is out."""
    listed = list(dict.fromkeys(names))
    return There(
        frozenset(name for name in listed if not standing.baseline.up(name)),
        frozenset(name for name in listed if not standing.baseline.back(name)),
    )


def single_losses(standing: Standing, names: Iterable[str]) -> Iterator[Change]:
    """Every part lost by itself, those that do the same together, those that change nothing left out.

    Args:
        standing: the lab.
        names: the things that matter.
    """
    listed = list(dict.fromkeys(names))
    if not listed:
        return
    gates = standing.gates
    rows = [gates.up[name] for name in listed] + [gates.back[name] for name in listed]
    engine = Evaluator(gates.graph.keeping(gates.graph.kept[rows]))
    before = now(standing, listed)
    stood = standing.baseline.column[rows]
    count = len(listed)
    found: dict[tuple[int, ...], list[str]] = {}
    matter = _upstream(gates.graph, gates.graph.kept[rows])
    parts = [part for part in standing.parts if matter[standing.leaf[part]]]
    for first in range(0, len(parts), AT_ONCE):
        some = parts[first : first + AT_ONCE]
        differs = np.asarray(engine.stands([[standing.leaf[part]] for part in some])) != stood[:, None]
        columns, which = np.nonzero(differs.T)
        edges = np.searchsorted(columns, np.arange(len(some) + 1))
        for number in np.flatnonzero(np.diff(edges)).tolist():
            key = tuple(which[edges[number] : edges[number + 1]].tolist())
            found.setdefault(key, []).append(some[number])
    for key, those in found.items():
        yield Change(
            parts=tuple(those),
            there=There(
                before.interrupted | {listed[row] for row in key if row < count},
                before.gone | {listed[row - count] for row in key if row >= count},
            ),
            changed=frozenset(listed[row % count] for row in key),
        )


def _upstream(graph: GateGraph, gates: NDArray[np.int32]) -> BoolArray:
    """Which gates these hang on, themselves among them: (n_gates,). Losing any other leaf changes none of them."""
    found = np.zeros(graph.n_gates, dtype=np.bool_)
    found[gates] = True
    front = np.unique(gates)
    while len(front):
        starts = graph.indptr[front]
        counts = graph.indptr[front + 1] - starts
        before = np.cumsum(counts) - counts
        inputs = graph.indices[np.repeat(starts - before, counts) + np.arange(int(counts.sum()))]
        front = np.unique(inputs[~found[inputs]])
        found[front] = True
    return found
