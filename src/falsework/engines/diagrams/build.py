"""How are decision diagrams put together from and, or, at least, xor and not?

A thin layer on a library of diagrams: it keeps the bounds, chooses the order in which many inputs are combined,
and hands finished functions over as arrays.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from oxidd.bdd import BDDFunction, BDDManager
from oxidd.util import DDMemoryError

from falsework.engines.diagrams.flat import Flat
from falsework.engines.diagrams.limits import Limits
from falsework.engines.diagrams.readout import flat

Function = BDDFunction
"""A function kept by `Diagrams`; equal functions are equal, and hash alike."""

_SMALL = 1 << 12
_MOST_SWEEPS = 3


@dataclass(slots=True, eq=False)
class _Clock:
    """Looks at the time only now and then: looking costs as much as a small operation."""

    limits: Limits
    countdown: int = 0

    def tick(self) -> None:
        self.countdown -= 1
        if self.countdown < 0:
            self.countdown = 15
            self.limits.check("building a decision diagram")


class Diagrams:
    """Boolean functions of the same variables in one order.

    Args:
        order: every variable once, the topmost first.
        limits: what may be used.

    Every operation raises `TooLarge` when a bound is hit; what was built before stays good.
    One operation is never cut short by the clock, but by the nodes it makes.
    """

    def __init__(self, order: Sequence[int], *, limits: Limits | None = None) -> None:
        self.order = tuple(order)
        self.limits = limits or Limits()
        capacity = self.limits.capacity
        # Big caches cost more to make than a small diagram to build.
        cache = min(max(capacity // 4, _SMALL), 1 << 20)
        self._manager = BDDManager(capacity, cache, 1)
        self._manager.add_vars(len(self.order))
        self._level = {variable: level for level, variable in enumerate(self.order)}
        self._clock = _Clock(self.limits)
        self._sweeps = 0
        self.true: Function = self._manager.true()
        self.false: Function = self._manager.false()

    @property
    def n_nodes(self) -> int:
        """Nodes kept just now, those that nobody needs any more included."""
        return int(self._manager.num_inner_nodes())

    def var(self, variable: int) -> Function:
        """Return the function that is true where the variable is."""
        return self._careful(lambda: self._manager.var(self._level[variable]))

    def negate(self, function: Function) -> Function:
        """Return the function that is true where the given one is not."""
        return self._careful(lambda: ~function)

    def all_of(self, functions: Sequence[Function]) -> Function:
        """Return the function that is true where all are; of none, true."""
        return self._fold(functions, self.true, self.false, lambda a, b: a & b)

    def any_of(self, functions: Sequence[Function]) -> Function:
        """Return the function that is true where one or more are; of none, false."""
        return self._fold(functions, self.false, self.true, lambda a, b: a | b)

    def xor(self, functions: Sequence[Function]) -> Function:
        """Return the function that is true where an odd number are."""
        return self._fold(functions, self.false, None, lambda a, b: a ^ b)

    def at_least(self, k: int, functions: Sequence[Function]) -> Function:
        """Return the function that is true where k or more are, the same one given twice counting twice."""
        n = len(functions)
        if k <= 0:
            return self.true
        if k > n:
            return self.false
        if k == 1:
            return self.any_of(functions)
        if k == n:
            return self.all_of(functions)
        # row[j]: j or more of the functions looked at so far; only what the answer needs is worked out.
        row = [self.true] + [self.false] * k
        for seen, function in enumerate(self._deepest_first(functions)):
            least = max(k - (n - seen - 1), 1)
            row = [
                *row[:least],
                *(self._ite(function, row[j - 1], row[j]) for j in range(least, k + 1)),
            ]
        return row[k]

    def either(self, a: Function, b: Function) -> Function:
        """Return the function that is true where one or both are."""
        return self._careful(lambda: a | b)

    def joined(self, level: int, high: Function, low: Function) -> Function:
        """Return the function that is `high` where the variable of a level is true, else `low`."""
        return self._ite(self._careful(lambda: self._manager.var(level)), high, low)

    def flat(self, roots: Sequence[Function]) -> Flat:
        """Read functions out into arrays."""
        self.limits.check("building a decision diagram")
        return flat(self._manager, roots, self.order)

    def _ite(self, condition: Function, then: Function, other: Function) -> Function:
        return then if then == other else self._careful(lambda: condition.ite(then, other))

    def _fold(
        self,
        functions: Sequence[Function],
        start: Function,
        stop: Function | None,
        combine: Callable[[Function, Function], Function],
    ) -> Function:
        found: Function | None = None
        for function in self._deepest_first(functions):
            found = function if found is None else self._combined(combine, found, function)
            if found == stop:
                break
        return start if found is None else found

    def _combined(
        self, combine: Callable[[Function, Function], Function], a: Function, b: Function
    ) -> Function:
        return self._careful(lambda: combine(a, b))

    def _deepest_first(self, functions: Sequence[Function]) -> list[Function]:
        """Sort so that diagrams grow from the bottom up: what lies above is then laid on top, not woven in."""
        if len(functions) < 2:
            return list(functions)
        n = len(self.order)
        levels = [n if (level := function.node_level()) is None else level for function in functions]
        return [functions[i] for i in sorted(range(len(functions)), key=lambda i: -levels[i])]

    def _careful(self, make: Callable[[], Function]) -> Function:
        """Do one operation; where there is no room, sweep and try again."""
        self._clock.tick()
        try:
            return make()
        except DDMemoryError:
            pass  # out of the handler first: the error holds on to what could be swept
        self._sweeps += 1
        before = self.n_nodes
        # A diagram that only just fits would be swept at every step: hours for what has no future.
        if self._sweeps <= _MOST_SWEEPS and self._manager.gc() * 8 > before:
            try:
                return make()
            except DDMemoryError:
                pass
        raise self.limits.full("building a decision diagram")
