"""Which states does a redundant group go through, and how fast?"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from falsework.engines.durability.solving import Absorbing

Out = tuple[int, ...]
"""How many of each class are out."""

ALONE, READING, TOGETHER = range(3)
"""Ways in which data is lost: one more fails; a sector can't be read when nothing is left to make it from; a cause
that takes several at once."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shock:
    """A cause that takes several members at once.

    Attributes:
        rate: in a second.
        takes: how many of each class are out afterwards at the least; all of a class where it takes them all.
    """

    rate: float
    takes: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rules:
    """What a group does in each state.

    Attributes:
        classes: how many.
        tolerated: how many may be out.
        failing: rate of the next failure of each class, shocks not counted, by what is out.
        rebuilding: rate at which a rebuild of each class ends, were it alone, by what is out.
        reading: the chance that the rebuild of one that is the last that may be out finds a sector unreadable.
        fatal: the chance that one failure too many loses something.
        at_once: whether all that are out are rebuilt at the same time.
        spares: that wait.
        spare_comes_s: as `Group`.
        shocks: causes that take several.
    """

    classes: int
    tolerated: int
    failing: Callable[[Out], Sequence[float]]
    rebuilding: Callable[[Out], Sequence[float]]
    reading: Callable[[Out], float]
    fatal: float
    at_once: bool
    spares: int
    spare_comes_s: float
    shocks: tuple[Shock, ...]


def chain_of(rules: Rules) -> Absorbing:
    """The chain, from all members well and all spares waiting.

    A state is what is out of each class, and how many spares are still to come. Members that are out share the
    bodies and the hands that there are, whichever class they are of.

    Cost:
        Grows as the number of states: (tolerated + classes choose classes), times spares + tolerated + 1 where
        spares may run out.
    """
    tolerated = rules.tolerated
    waits = rules.spare_comes_s > 0
    start = ((0,) * rules.classes, 0)
    number = {start: 0}
    queue = [start]
    arcs: list[tuple[int, int, float]] = []
    ends: list[tuple[int, int, float]] = []
    at = 0

    def go(to: Out, coming: int, rate: float) -> None:
        state = (to, coming)
        if state not in number:
            number[state] = len(queue)
            queue.append(state)
        arcs.append((at, number[state], rate))

    while at < len(queue):
        out, coming = queue[at]
        lost = sum(out)
        for index, rate in enumerate(rules.failing(out)):
            if rate <= 0:
                continue
            if lost < tolerated:
                go(_with(out, index, 1), coming + waits, rate)
            else:
                ends.append((at, ALONE, rate * rules.fatal))
        for shock in rules.shocks:
            to = tuple(max(pair) for pair in zip(out, shock.takes, strict=True))
            more = sum(to) - lost
            if more and lost + more > tolerated:
                ends.append((at, TOGETHER, shock.rate))
            elif more:
                go(to, coming + more * waits, shock.rate)
        bodies = min(lost, rules.spares - coming + lost)
        hands = bodies if rules.at_once else min(bodies, 1)
        if hands:
            speeds = rules.rebuilding(out)
            bad = rules.reading(out) if lost == tolerated else 0.0
            for index, here in enumerate(out):
                if here:
                    rate = speeds[index] * hands * here / lost
                    if bad < 1:
                        go(_with(out, index, -1), coming, rate * (1 - bad))
                    if bad > 0:
                        ends.append((at, READING, rate * bad))
        if coming and rules.spare_comes_s < float("inf"):
            go(out, coming - 1, coming / rules.spare_comes_s)
        at += 1
    n = len(queue)
    rates, into = np.zeros((n, n)), np.zeros((n, 3))
    for from_, to_, rate in arcs:
        rates[from_, to_] += rate
    for from_, way, rate in ends:
        into[from_, way] += rate
    exposed = np.array([float(sum(out) == tolerated) for out, _ in queue])
    return Absorbing(
        rates=rates,
        ends=into,
        counted=exposed,
        depth=2 * (tolerated + 1) + waits * (rules.spares + tolerated),
    )


def _with(out: Out, index: int, more: int) -> Out:
    return (*out[:index], out[index] + more, *out[index + 1 :])
