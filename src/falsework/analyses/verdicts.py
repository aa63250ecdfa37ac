"""What does losing these parts do to each service?"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from falsework.analyses.explain import Chains, Reason
from falsework.model.services import Data
from falsework.support.standing import Bools, Ends, Standing, View

NEVER = float("inf")
AT_ONCE = 16_384
"""Losses asked about together: enough for the engine, few enough for the rows of a very large lab to fit."""


class Verdict(IntEnum):
    """What a failure does to a service, from best to worst."""

    STANDS = 0
    THIN = 1
    BLINKS = 2
    FALLS = 3
    LOST = 4

    @property
    def word(self) -> str:
        """The word for people."""
        return self.name.lower()


@dataclass(frozen=True, slots=True, kw_only=True)
class Down:
    """When a thing falls, seconds after the loss, and how long until it is back, counted from its fall.

    `back_s` is infinite where it stays down: then it is down for good from `falls_s` on, and `before` is the first
    interruption, if it is interrupted before that and comes back.
    """

    falls_s: float
    back_s: float
    before: Down | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """What one loss does to one service.

    Attributes:
        service: its id.
        verdict: see `Verdict`.
        falls_s: seconds until it is interrupted where it comes back by itself, until it is down for good where it does
            not; infinity where it is neither.
        blinks_s: how long the interruption lasts, seconds, where it ends by itself; else 0.
        before: the first interruption before it falls, where it comes back from one.
    """

    service: str
    verdict: Verdict
    falls_s: float = NEVER
    blinks_s: float = 0.0
    before: Down | None = None

    @property
    def first_s(self) -> float:
        """Seconds until users notice anything; infinity where they never do."""
        return self.before.falls_s if self.before is not None else self.falls_s


@dataclass(frozen=True, slots=True, kw_only=True)
class Loss:
    """One set of parts lost, and what that does.

    Attributes:
        lost: the parts, without those out beforehand.
        effects: every service once, in lab order.
        down: every thing that does not stand uninterrupted.
        view: the truth of the scenario, for reasons.
        chains: of reasons.
    """

    lost: tuple[str, ...]
    effects: tuple[Effect, ...]
    down: Mapping[str, Down]
    view: View
    chains: Chains = field(repr=False, compare=False)

    def of(self, service: str) -> Effect:
        """The effect on one service."""
        return next(effect for effect in self.effects if effect.service == service)

    def why(self, thing: str) -> tuple[Reason, ...]:
        """The chain of reasons for a thing that is down."""
        return self.chains.of(thing)

    @property
    def worst(self) -> Verdict:
        """The worst verdict over all services."""
        return max((effect.verdict for effect in self.effects), default=Verdict.STANDS)


def data_of(standing: Standing) -> Mapping[str, tuple[str, ...]]:
    """The data sets that each service would be lost with, as keepings."""
    found: dict[str, list[str]] = {}
    for data in standing.lab.of(Data):
        for service in data.of.ids if data.of else ():
            found.setdefault(service, []).append(f"kept:{data.id}")
    return {service: tuple(names) for service, names in found.items()}


def verdict_rows(standing: Standing, rows: Bools) -> NDArray[np.int8]:
    """Verdicts without `thin`: (n_services, n_scenarios).

    Args:
        standing: the lab.
        rows: from `Standing.service_rows`.
    """
    services = standing.support.services
    count = len(services)
    up, back, kept = rows[:count], rows[count : 2 * count], rows[2 * count :]
    result = np.where(up, Verdict.STANDS, np.where(back, Verdict.BLINKS, Verdict.FALLS)).astype(np.int8)
    position = {name: number for number, name in enumerate(standing.support.keepings)}
    for service, names in data_of(standing).items():
        for name in names:
            if standing.baseline.kept(name) and service in services:
                result[services.index(service), ~kept[position[name]]] = Verdict.LOST
    return result


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Singles:
    """What losing each part by itself does.

    Attributes:
        parts, services: ids, in lab order.
        verdicts: values of `Verdict`, (n_services, n_parts).
    """

    parts: tuple[str, ...]
    services: tuple[str, ...]
    verdicts: NDArray[np.int8]

    def worst(self, part: str) -> Verdict:
        """The worst that losing a part does."""
        return Verdict(int(self.verdicts[:, self.parts.index(part)].max(initial=0)))


def single_verdicts(standing: Standing, parts: Sequence[str]) -> NDArray[np.int8]:
    """Verdicts without `thin` for the loss of each part by itself: (n_services, n_parts)."""
    found: NDArray[np.int8] = np.empty((len(standing.support.services), len(parts)), dtype=np.int8)
    for first in range(0, len(parts), AT_ONCE):
        some = [(part,) for part in parts[first : first + AT_ONCE]]
        found[:, first : first + AT_ONCE] = verdict_rows(standing, standing.service_rows(some))
    return found


def lose(standing: Standing, lost: Collection[str], *, thin: bool = True) -> Loss:
    """What losing these parts together does, with times.

    Args:
        standing: the lab, with what is out beforehand.
        lost: parts.
        thin: whether to find out which services have nothing to spare afterwards, by losing every further
            part on top.

    Raises:
        QuestionError: a part is not in the lab.
    """
    return losses(standing, [lost], thin=thin)[0]


def losses(standing: Standing, sets: Sequence[Iterable[str]], *, thin: bool = False) -> tuple[Loss, ...]:
    """What each of several losses does, with times."""
    known = [standing.known(lost) for lost in sets]
    rows = standing.rows(known)
    verdicts = verdict_rows(standing, standing.of_services(rows))
    views = [
        View(standing=standing, lost=standing.out | frozenset(each), column=rows[:, n])
        for n, each in enumerate(known)
    ]
    falls = standing.falls(views)
    ends = standing.ends(views, falls)
    returns = standing.returns(views, ends.first_s)
    found = []
    for column, lost in enumerate(known):
        thinned = _thin(standing, lost, verdicts[:, column]) if thin else frozenset()
        view = views[column]
        down = {
            name: _down(ends, row, column, float(returns[row, column]) if view.back(name) else NEVER)
            for name, row in ((name, standing.row[name]) for name in view.down())
        }
        effects = []
        for number, service in enumerate(standing.support.services):
            verdict = Verdict(int(verdicts[number, column]))
            if verdict is Verdict.STANDS and service in thinned:
                verdict = Verdict.THIN
            at = down.get(service)
            effects.append(
                Effect(
                    service=service,
                    verdict=verdict,
                    falls_s=at.falls_s if at else NEVER,
                    blinks_s=at.back_s if at and verdict is Verdict.BLINKS else 0.0,
                    before=at.before if at else None,
                )
            )
        chains = Chains(view, {name: each.falls_s for name, each in down.items()})
        found.append(Loss(lost=lost, effects=tuple(effects), down=down, view=view, chains=chains))
    return tuple(found)


def _down(ends: Ends, row: int, column: int, back_s: float) -> Down:
    first, last = float(ends.first_s[row, column]), float(ends.last_s[row, column])
    if back_s < NEVER:
        return Down(falls_s=first, back_s=back_s)
    before = Down(falls_s=first, back_s=float(ends.before_s[row, column])) if first < last else None
    return Down(falls_s=last, back_s=NEVER, before=before)


def _thin(standing: Standing, lost: Sequence[str], verdicts: NDArray[np.int8]) -> frozenset[str]:
    """Services that one more part would bring down, though that part alone, without this loss, would not."""
    if not (verdicts == Verdict.STANDS).any():
        return frozenset()
    further = standing.company(lost)
    both = [*((part,) for part in further), *((*lost, part) for part in further)]
    alone, then = np.split(verdict_rows(standing, standing.service_rows(both)), 2, axis=1)
    worse = np.any((then >= Verdict.FALLS) & (alone < Verdict.FALLS), axis=1)
    return frozenset(
        service
        for number, service in enumerate(standing.support.services)
        if worse[number] and verdicts[number] == Verdict.STANDS
    )
