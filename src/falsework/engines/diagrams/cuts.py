"""Which are the minimal sets of variables that make a function true while all others are false?

For a function that never mends by more failures these are its minimal cut sets. For any other the definition is
the same: a set of failed events is meant if the function is true when just these have failed (all others work) and
no smaller part of it does that too. (Prime implicants, which also name what must work, are something else.)

How. By the topmost variable x of f, with f0 and f1 for x false and true,

    M(f) = M(f0) + {s + x for s in M(f1) that holds no set of M(f0)}.

Proof. A set without x is a minimal set of f iff it is one of f0. A set s + x is one iff f1 is true for s and for no
smaller part of s (these sets with x), and f0 is true for no part of s (those without): iff s is in M(f1) and no set
of M(f0) is part of it. Nothing was asked of f, so negating gates need no care. If f does not depend on x, no minimal
set holds x. The result is kept as a zero-suppressed diagram (S. Minato 1993).
This is the algorithm of A. Rauzy 1993 ("New algorithms for fault trees analysis", Reliability Engineering and System
Safety 40, section 5) with its `without`. Carrying what f0 rules out down from the top, as a function, takes fewer
steps, but makes functions that can grow out of hand, and needs f closed upwards first (measured, 0010).
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager

from falsework.engines.diagrams.build import Diagrams, Function
from falsework.engines.diagrams.sets import NONE, UNIT, SetsBuilder

_STEPS = 1 << 12
_DOING = "finding the minimal cut sets"


class Cutter:
    """Finds minimal sets of functions in one diagram, and keeps what it learnt.

    Args:
        diagrams: keeps the functions; its limits hold for the sets too.
        sets: takes the sets; its levels are those of the diagram.
    """

    def __init__(self, diagrams: Diagrams, sets: SetsBuilder) -> None:
        self._diagrams = diagrams
        self._sets = sets
        self._known: dict[Function, int] = {diagrams.false: NONE, diagrams.true: UNIT}
        self._without: dict[tuple[int, int], int] = {}
        self._capacity = diagrams.limits.capacity
        self._countdown = 0

    def minimal(self, function: Function) -> int:
        """Return the node of the minimal sets of a function.

        Args:
            function: kept by the diagrams; it may become false by a variable becoming true.

        Raises:
            TooLarge: a bound of the diagrams was hit.
        """
        with _deep(3 * len(self._diagrams.order)):
            return self._minimal(function)

    def _minimal(self, f: Function) -> int:
        known = self._known.get(f)
        if known is not None:
            return known
        level = f.node_level()
        assert level is not None  # f is no constant
        f1, f0 = f.cofactors()  # type: ignore[misc]  # f is no constant
        low = self._minimal(f0)
        high = self._subtracted(self._minimal(f1), low)
        found = self._known[f] = self._sets.node(level, low, high)
        return found

    def _subtracted(self, p: int, q: int) -> int:
        """The sets of p that hold no set of q."""
        if p in (NONE, q) or q == UNIT:
            return NONE
        if q == NONE or p == UNIT:
            return p
        key = (p, q)
        known = self._without.get(key)
        if known is not None:
            return known
        self._tick()
        sets = self._sets
        at, other = sets.level[p], sets.level[q]
        if at < other:
            low, high = self._subtracted(sets.low[p], q), self._subtracted(sets.high[p], q)
            found = sets.node(at, low, high)
        elif at > other:
            found = self._subtracted(p, sets.low[q])
        else:
            low = self._subtracted(sets.low[p], sets.low[q])
            high = self._subtracted(self._subtracted(sets.high[p], sets.high[q]), sets.low[q])
            found = sets.node(at, low, high)
        self._without[key] = found
        return found

    def _tick(self) -> None:
        self._countdown -= 1
        if self._countdown < 0:
            self._countdown = _STEPS
            limits = self._diagrams.limits
            limits.check(_DOING)
            if len(self._without) > self._capacity:  # each takes more than a node does; roughly
                raise limits.full(_DOING)


@contextmanager
def _deep(depth: int) -> Iterator[None]:
    """Let functions call themselves once for each variable; these calls take no room on the machine's own stack."""
    before = sys.getrecursionlimit()
    sys.setrecursionlimit(max(before, depth + 1000))
    try:
        yield
    finally:
        sys.setrecursionlimit(before)
