"""What must every engine for fault trees be able to say?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from falsework.engines.trees.tree import Tree
from falsework.errors import QuestionError, listed, shortened

Floats = NDArray[np.float64]

CutSets = frozenset[frozenset[int]]
"""Sets of event numbers."""


class TreeEngine(Protocol):
    """Answers about one tree.

    Everywhere q is (n_events, n_columns), the probability of each event, and the events are independent.
    """

    def probability(self, q: Floats) -> Floats:
        """Return (n_columns,) the probability of the top event."""
        ...

    def given(self, q: Floats) -> tuple[Floats, Floats]:
        """Return P(top | event) and P(top | not event), each (n_events, n_columns)."""
        ...

    def cut_sets(self) -> CutSets:
        """Return the minimal cut sets.

        A cut set makes the top event true when all its events happen and no other does; it is minimal when
        no proper subset is one.
        Where a gate negates, these are not the prime implicants: "all others work" then says something.
        """
        ...


def orders(cut_sets: Iterable[frozenset[int]]) -> Mapping[int, int]:
    """How many cut sets there are of each order (number of events), lowest order first."""
    return dict(sorted(Counter(map(len, cut_sets)).items()))


def named(tree: Tree, cut_sets: Iterable[frozenset[int]]) -> frozenset[frozenset[str]]:
    """The cut sets by the names of the events."""
    return frozenset(frozenset(tree.events[event] for event in cut_set) for cut_set in cut_sets)


def column(tree: Tree) -> Floats:
    """Return (n_events, 1) the probabilities that the file gives.

    Raises:
        QuestionError: it gives none for some.
    """
    lacking = [shortened(name) for name, q in zip(tree.events, tree.probabilities, strict=True) if q is None]
    if lacking:
        raise QuestionError(
            f"no probability is known of {listed(lacking)}",
            "Give these events one in the file; or, where they have a failure rate, say for which time.",
        )
    return np.array(tree.probabilities, dtype=np.float64).reshape(-1, 1)
