"""Which single parts hurt most?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from falsework.analyses.verdicts import Verdict, single_verdicts
from falsework.support.standing import Standing

_INSIDE = frozenset(("supply", "card", "cable", "controller", "drive"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Hurt:
    """A part and what its loss brings down.

    Attributes:
        part: its id.
        services: those that fall or lose their data, and stand without the loss; in lab order.
        alike: how many other parts bring down the very same.
    """

    part: str
    services: tuple[str, ...]
    alike: int


def worst_parts(standing: Standing, *, most: int = 3) -> tuple[Hurt, ...]:
    """The parts whose loss alone brings down the most services, worst first.

    Of parts that bring down the same one stands for all: one that a hand would pull before one that sits inside.
    """
    parts, services = standing.parts, standing.support.services
    stands = np.array([standing.baseline.back(service) for service in services], dtype=bool)
    falls = (single_verdicts(standing, parts) >= Verdict.FALLS) & stands[:, None]
    if not falls.any():
        return ()
    # Columns that are alike are one: told apart as bits, 20,000 of them take no time.
    bits = np.packbits(falls, axis=0)
    _, firsts, which = np.unique(bits, axis=1, return_index=True, return_inverse=True)
    count = falls.sum(axis=0)
    kinds = sorted(range(len(firsts)), key=lambda kind: (-count[firsts[kind]], firsts[kind]))[:most]
    things = standing.support.things
    found = []
    for kind in kinds:
        those = [parts[column] for column in np.flatnonzero(which.ravel() == kind)]
        hurt = tuple(services[row] for row in np.flatnonzero(falls[:, firsts[kind]]))
        if hurt:
            part = min(those, key=lambda name: things[name].word in _INSIDE)
            found.append(Hurt(part=part, services=hurt, alike=len(those) - 1))
    return tuple(found)
