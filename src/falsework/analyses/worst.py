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
    groups: dict[tuple[int, ...], list[str]] = {}
    for column, part in enumerate(parts):
        hurt = tuple(np.flatnonzero(falls[:, column]).tolist())
        if hurt:
            groups.setdefault(hurt, []).append(part)
    things = standing.support.things
    worst = sorted(groups.items(), key=lambda each: -len(each[0]))[:most]
    return tuple(
        Hurt(
            part=min(those, key=lambda part: things[part].word in _INSIDE),
            services=tuple(services[row] for row in rows),
            alike=len(those) - 1,
        )
        for rows, those in worst
    )
