"""Which are the minimal sets of variables that make a function true while all others are false?

For a function that never mends by more failures these are its minimal cut sets. For any other the definition is
the same: a set of failed events is meant if the function is true when just these have failed (all others work) and
no smaller part of it does that too. (Prime implicants, which also name what must work, are something else.)

How. First the function f is closed upwards, U(f): true where f is true for some part of the failures.
Both have the same minimal sets. By the topmost variable x, with f0 and f1 for x false and true,
U(f) = ite(x, U(f0) or U(f1), U(f0)). From here on f grows with every variable.

Let M(f, g), for g <= f, be the minimal sets of f for which g is not true. Then M(f, false) is wanted, and

    M(f, g) = {s + x for s in M(f1, f0 or g1)} + M(f0, g0).

Proof. A set without x is a minimal set of f iff it is one of f0, and g says of it what g0 does.
A set s + x is a minimal set of f iff f1 is true for s, for no smaller part of s, and f0 is not true for s (else x could
be left out); and g is not true for it iff g1 is not true for s. A minimal set of f1 for which f0 is not true:
its smaller parts need not be looked at for f0 as f0 <= f1. So it is one of M(f1, f0 or g1).
If f does not depend on x, no minimal set holds x, and only g0 matters.
g stays below f: g <= f gives g0 <= f0 and g1 <= f1, and f0 <= f1. So questions that are equal look equal. The result is kept as a zero-suppressed diagram (S. Minato 1993).
This is the algorithm of A. Rauzy 1993 ("New algorithms for fault trees analysis", Reliability Engineering and System
Safety 40, section 5), whose `without` is the second argument here, carried along from the top instead of applied afterwards:
several times fewer steps, each a little longer (measured, 0010).
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager

from falsework.engines.diagrams.build import Diagrams, Function
from falsework.engines.diagrams.sets import NONE, UNIT, SetsBuilder


class Cutter:
    """Finds minimal sets of functions in one diagram, and keeps what it learnt.

    Args:
        diagrams: keeps the functions.
        sets: takes the sets; its levels are those of the diagram.
    """

    def __init__(self, diagrams: Diagrams, sets: SetsBuilder) -> None:
        self._diagrams = diagrams
        self._sets = sets
        self._closed: dict[Function, Function] = {}
        self._known: dict[tuple[Function, Function], int] = {}

    def minimal(self, function: Function, *, grows: bool) -> int:
        """Return the node of the minimal sets of a function.

        Args:
            function: kept by the diagrams.
            grows: whether it is known never to become false by a variable becoming true.

        Raises:
            TooLarge: a bound of the diagrams was hit.
        """
        with _deep(2 * len(self._diagrams.order)):
            if not grows:
                function = self._upwards(function)
            return self._minimal(function, self._diagrams.false)

    def _minimal(self, f: Function, g: Function) -> int:
        diagrams = self._diagrams
        if f == g or f == diagrams.false:
            return NONE
        if f == diagrams.true:
            return UNIT
        key = (f, g)
        known = self._known.get(key)
        if known is not None:
            return known
        level = f.node_level()
        assert level is not None  # f is no constant
        while (above := g.node_level()) is not None and above < level:
            g = g.cofactor_false()  # type: ignore[assignment]  # not None, as g is no constant
        f1, f0 = f.cofactors()  # type: ignore[misc]  # f is no constant
        if above == level:
            g1, g0 = g.cofactors()  # type: ignore[misc]  # nor is g
        else:
            g1 = g0 = g
        without = self._minimal(f0, g0)
        having = self._minimal(f1, diagrams.either(f0, g1))
        found = self._known[key] = self._sets.node(level, without, having)
        return found

    def _upwards(self, f: Function) -> Function:
        known = self._closed.get(f)
        if known is not None:
            return known
        parts = f.cofactors()
        if parts is None:
            return f
        level = f.node_level()
        assert level is not None
        f1, f0 = (self._upwards(part) for part in parts)
        found = self._closed[f] = self._diagrams.joined(level, self._diagrams.either(f0, f1), f0)
        return found


@contextmanager
def _deep(depth: int) -> Iterator[None]:
    """Let functions call themselves once for each variable; these calls take no room on the machine's own stack."""
    before = sys.getrecursionlimit()
    sys.setrecursionlimit(max(before, depth + 1000))
    try:
        yield
    finally:
        sys.setrecursionlimit(before)
