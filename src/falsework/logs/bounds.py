"""By how much does each clock differ from one of them, as far as causes and effects can tell?

A cause comes before its effect. If clock `a` reads `t` at a cause and clock `b` reads `u` at the effect, and `o` is by
how much a clock is ahead of true time, then `t - o(a) <= u - o(b)`, so `o(b) - o(a) <= u - t`. All such ties together
are a system of difference constraints; the tightest bounds that follow from them are lengths of shortest ways
(R. Bellman, 1958, On a routing problem, Quarterly of Applied Mathematics 16, 87-90; the reduction is in T. H. Cormen
et al., Introduction to Algorithms, section on difference constraints). Messages in both directions between two clocks
give the classic pair of bounds; ways over third clocks are used too.

The model, and so the bound: apart from steps, a clock gains or loses at most `DRIFT` of the time that passes. A tie at a
time `d` from the moment asked about is thus weaker by `2 * DRIFT * d`, for two clocks drift.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

DRIFT = 100e-6
"""Of a clock that nobody corrects: 100 parts in a million, 8.6 s a day; quartz in computers is mostly within half of it.
Assumed."""
NONE = math.inf
MOST_CIRCLES = 100
"""Contradictions that are taken out one by one."""


@dataclass(frozen=True, slots=True)
class Tie:
    """A cause and its effect.

    Attributes:
        cause, effect: whose clocks.
        cause_us, effect_us: what they read.
    """

    cause: str
    effect: str
    cause_us: int
    effect_us: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Ahead:
    """By how much a clock is ahead of the one of reference, microseconds; the truth lies between the bounds.

    Attributes:
        clock: whose.
        low_us, high_us: bounds; infinite where nothing bounds that side.
        ties: how many ties with other clocks were looked at.
        clash: whether it is among clocks whose ties contradict each other, so that none of theirs was used.
    """

    clock: str
    low_us: float
    high_us: float
    ties: int = 0
    clash: bool = False

    @property
    def best_us(self) -> int:
        """The middle; the bound where there is one only, as if the quickest message took no time; else 0."""
        if math.isfinite(self.low_us) and math.isfinite(self.high_us):
            return round((self.low_us + self.high_us) / 2)
        return round(next((each for each in (self.low_us, self.high_us) if math.isfinite(each)), 0.0))

    @property
    def within_us(self) -> float:
        """By how much `best_us` may be wrong either way; infinite where a side is not bounded."""
        return (self.high_us - self.low_us) / 2


def weakened(tie: Tie, moment_us: int, more_us: float = 0.0, drift: float = DRIFT) -> float:
    """The bound that a tie sets on how far the effect's clock is ahead of the cause's at a moment, microseconds.

    Args:
        tie: the tie.
        moment_us: that is asked about.
        more_us: by how much the clocks may differ from the one that says the moment.
        drift: share of time that a clock gains or loses at most.
    """
    far = max(abs(tie.cause_us - moment_us), abs(tie.effect_us - moment_us)) + more_us
    return tie.effect_us - tie.cause_us + 2 * drift * far


def ahead(
    ties: Sequence[Tie], clocks: Iterable[str], reference: str, moment_us: int, *, drift: float = DRIFT
) -> tuple[Ahead, ...]:
    """How far each clock is ahead of the one of reference at a moment.

    Args:
        ties: in any order.
        clocks: to tell about.
        reference: the clock that all are held against; it says the moment.
        moment_us: by the clock of reference.
        drift: share of time that a clock gains or loses at most.

    Returns:
        A bound for each clock, in the order asked. The middles of bounded ones contradict no tie.

    Cost:
        O(clocks * pairs of clocks with a tie).
    """
    names = tuple(dict.fromkeys([*clocks, reference]))
    found, _ = _bounds(ties, reference, moment_us, 0.0, drift)
    # How long a tie lies back is read off clocks that may be wrong themselves.
    wrong = max((abs(each) for pair in found.values() for each in pair if math.isfinite(each)), default=0.0)
    found, clashing = _bounds(ties, reference, moment_us, wrong, drift)
    counts = dict.fromkeys(names, 0)
    for tie in ties:
        for name in (tie.cause, tie.effect):
            if name in counts:
                counts[name] += 1
    return tuple(
        Ahead(
            clock=name,
            low_us=found.get(name, (-NONE, NONE))[0],
            high_us=found.get(name, (-NONE, NONE))[1],
            ties=counts[name],
            clash=name in clashing,
        )
        for name in names
    )


def _bounds(
    ties: Sequence[Tie], reference: str, moment_us: int, more_us: float, drift: float
) -> tuple[dict[str, tuple[float, float]], frozenset[str]]:
    edges: dict[tuple[str, str], float] = {}
    for tie in ties:
        if tie.cause != tie.effect:
            pair = (tie.cause, tie.effect)
            edges[pair] = min(edges.get(pair, NONE), weakened(tie, moment_us, more_us, drift))
    clashing: set[str] = set()
    for _ in range(MOST_CIRCLES):
        if not (circle := _circle(edges)):
            break
        clashing.update(circle)
        pairs = set(zip(circle, (*circle[1:], circle[0]), strict=True))
        edges = {pair: each for pair, each in edges.items() if pair not in pairs}
    else:
        # So much contradicts itself that nothing of it is worth anything.
        clashing.update(name for pair in edges for name in pair)
        edges = {}
    high = _lengths(edges, reference)
    low = _lengths({(effect, cause): each for (cause, effect), each in edges.items()}, reference)
    names = {name for pair in edges for name in pair} | {reference}
    return {name: (-low.get(name, NONE), high.get(name, NONE)) for name in names}, frozenset(clashing)


def _lengths(edges: Mapping[tuple[str, str], float], start: str) -> dict[str, float]:
    lengths = {start: 0.0}
    while True:
        changed = False
        for (begin, end), each in edges.items():
            if begin in lengths and lengths[begin] + each < lengths.get(end, NONE):
                lengths[end] = lengths[begin] + each
                changed = True
        if not changed:
            return lengths


def _circle(edges: Mapping[tuple[str, str], float]) -> tuple[str, ...]:
    """Clocks whose ties, one after the other, say that one is ahead of itself; none if there are no such."""
    names = sorted({name for pair in edges for name in pair})
    lengths = dict.fromkeys(names, 0.0)
    came: dict[str, str] = {}
    last = ""
    if not names:
        return ()
    for _ in range(len(names)):
        last = ""
        for (begin, end), each in edges.items():
            # A microsecond of rounding is no contradiction.
            if lengths[begin] + each < lengths[end] - 1e-3:
                lengths[end] = lengths[begin] + each
                came[end] = begin
                last = end
        if not last:
            return ()
    for _ in names:
        last = came[last]
    circle = [last]
    while came[circle[-1]] != last:
        circle.append(came[circle[-1]])
    return tuple(reversed(circle))
