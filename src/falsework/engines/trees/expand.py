"""Which minimal cut sets has a coherent tree, found from the top down, and how much is left out at most?

The tree is unfolded from its top: a gate that needs all its inputs lengthens a set, one that needs any splits it
(J. B. Fussell, W. E. Vesely 1972, "A new methodology for obtaining cut sets for fault trees", Transactions of the
American Nuclear Society 15). Sets that grow too long or too unlikely are dropped, and what they could add is
counted. It shares nothing with the decision diagrams, so that each can be held against the other.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from falsework.engines.trees.engine import CutSets, Floats
from falsework.engines.trees.tree import Op, Tree
from falsework.errors import LimitError, QuestionError

MOST_SETS = 2_000_000
"""Sets looked at before giving up."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Expansion:
    """What was found.

    Attributes:
        cut_sets: every minimal cut set within the cut-offs, and nothing else.
        dropped: how many unfinished sets were dropped at a cut-off.
        remainder: the top event is more likely than the union of `cut_sets` by at most this; None where
            no probabilities were given.
    """

    cut_sets: CutSets
    dropped: int
    remainder: float | None


def expand(
    tree: Tree,
    q: Floats | None = None,
    *,
    max_order: int | None = None,
    least: float = 0.0,
    most_sets: int = MOST_SETS,
) -> Expansion:
    """Find the minimal cut sets of a coherent tree within cut-offs.

    Args:
        tree: gates that negate are refused.
        q: (n_events,) the probability of each independent event.
        max_order: longer sets are dropped.
        least: sets less likely than this are dropped; needs q.
        most_sets: sets that may be looked at.

    Returns:
        All minimal cut sets of at most `max_order` events and at least the probability `least`.
        Proof: every minimal cut set M is a finished set, reached through parts of it only, each no longer
        than M and no less likely, so none is dropped. A finished set that is not minimal has a minimal
        cut set inside it, which passes the cut-offs as well, is found, and absorbs it.
        The remainder is right because the top event is the union of all finished sets, and each dropped set holds
        those that would have come of it: their union is no likelier than the sum of the dropped sets.

    Raises:
        QuestionError: the tree is not coherent, or `least` is asked for without q.
        LimitError: more sets than `most_sets` would have to be looked at.
    """
    if not tree.coherent:
        raise QuestionError(
            "the tree negates, and cut sets can't be unfolded through a gate that does",
            "Ask for its cut sets by a decision diagram.",
        )
    if least > 0 and q is None:
        raise QuestionError(
            "a cut-off by probability is asked for, and no probabilities are given", "Give them."
        )
    network = _Network(tree)
    length = math.inf if max_order is None else max_order
    finished: set[int] = set()
    dropped: dict[int, None] = {}
    waiting = [network.start(tree.top)]
    seen = set(waiting)
    n_dropped = 0
    while waiting:
        events, gates = waiting.pop()
        if events.bit_count() > length or (least > 0 and q is not None and _chance(events, q) < least):
            n_dropped += 1
            dropped[events] = None
            continue
        if not gates:
            finished.add(events)
            continue
        for step in network.split(events, gates):
            if step not in seen:
                seen.add(step)
                waiting.append(step)
        if len(seen) > most_sets:
            raise LimitError(
                f"more than {most_sets} sets would have to be looked at",
                "Ask for a lower order, for likelier sets only, or use a decision diagram.",
            )
    kept = _minimal(finished)
    # A dropped set that holds a cut set found adds nothing; no cut set found holds a dropped one (see the proof).
    adding = set(_minimal([*kept, *dropped])).difference(kept)
    return Expansion(
        cut_sets=frozenset(frozenset(_bits(events)) for events in kept),
        dropped=n_dropped,
        remainder=None if q is None else min(1.0, math.fsum(_chance(events, q) for events in adding)),
    )


_Set = tuple[int, frozenset[int]]
"""A set that is being made: its events, as the bits of a whole number, and its or-gates still to be split."""


class _Network:
    """The tree as and-gates and or-gates only."""

    def __init__(self, tree: Tree) -> None:
        self._n_events = len(tree.events)
        self._is_and: list[bool] = []
        self._inputs: list[tuple[int, ...]] = []  # numbers of nodes: events first, then gates
        self._own: list[int] = []  # of an or-gate, the events among its inputs
        self._of_node = list(range(self._n_events))
        for gate in tree.gates:
            inputs = [self._of_node[node] for node in gate.inputs]
            match gate.op:
                case Op.AND:
                    self._of_node.append(self._add(True, inputs))
                case Op.AT_LEAST:
                    self._of_node.append(self._at_least(gate.k, inputs))
                case Op.CONSTANT:
                    self._of_node.append(self._add(bool(gate.k), ()))  # all of none, any of none
                case _:
                    self._of_node.append(self._add(False, inputs))

    def start(self, top: int) -> _Set:
        """The set to begin with."""
        return self._joined(0, frozenset(), self._of_node[top])

    def split(self, events: int, gates: frozenset[int]) -> Iterator[_Set]:
        """Split a set by one of its gates, the one with the fewest inputs."""
        gate = min(gates, key=lambda g: (len(self._inputs[g]), g))
        rest = gates - {gate}
        for node in self._inputs[gate]:
            yield self._joined(events, rest, node)

    def _joined(self, events: int, gates: frozenset[int], node: int) -> _Set:
        """Add a node to a set: an and-gate is all its inputs, an or-gate one of whose events is there is nothing."""
        fresh: set[int] = set()
        waiting, met = [node], {node}
        while waiting:
            node = waiting.pop()
            if node < self._n_events:
                events |= 1 << node
                continue
            gate = node - self._n_events
            inputs = self._inputs[gate]
            if self._is_and[gate] or len(inputs) == 1:
                more = [below for below in inputs if below not in met]
                met.update(more)
                waiting += more
            else:
                fresh.add(gate)
        return events, frozenset(gate for gate in gates | fresh if not self._own[gate] & events)

    def _add(self, is_and: bool, inputs: Iterable[int]) -> int:
        self._is_and.append(is_and)
        self._inputs.append(tuple(inputs))
        own = 0 if is_and else sum(1 << node for node in set(self._inputs[-1]) if node < self._n_events)
        self._own.append(own)
        return self._n_events + len(self._inputs) - 1

    def _at_least(self, k: int, inputs: list[int]) -> int:
        """At least j of the first i: that many of those before, or one fewer and this one."""
        reached = [self._add(True, ())] + [self._add(False, ())] * k
        for i, node in enumerate(inputs):
            fresh = reached.copy()
            for j in range(max(1, k - (len(inputs) - 1 - i)), min(i + 1, k) + 1):
                with_it = self._add(True, (reached[j - 1], node))
                fresh[j] = self._add(False, (reached[j], with_it))
            reached = fresh
        return reached[k]


def _chance(events: int, q: Floats) -> float:
    return float(np.prod(q[list(_bits(events))]))


def _bits(number: int) -> Iterator[int]:
    while number:
        bit = number & -number
        yield bit.bit_length() - 1
        number ^= bit


def _minimal(sets: Iterable[int]) -> list[int]:
    """Those that hold no other, shortest first; a set is looked up by the events it could hold."""
    kept: list[int] = []
    by_event: dict[int, list[int]] = {}
    for events in sorted(sets, key=int.bit_count):
        if not events:
            return [0]
        # One that this set holds has its lowest event in it, so only those kept under its events are looked at.
        if any(small & events == small for event in _bits(events) for small in by_event.get(event, ())):
            continue
        kept.append(events)
        by_event.setdefault((events & -events).bit_length() - 1, []).append(events)
    return kept
