"""What does losing these parts do to each service?"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from falsework.model.services import Data
from falsework.support.standing import Bools, Standing, View

NEVER = float("inf")


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
class Effect:
    """What one loss does to one service.

    Attributes:
        service: its id.
        verdict: see `Verdict`.
        falls_s: seconds until it falls or is interrupted; infinity where it is not.
        blinks_s: seconds from the loss until it serves again, where it comes back by itself; else 0.
    """

    service: str
    verdict: Verdict
    falls_s: float = NEVER
    blinks_s: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Loss:
    """One set of parts lost, and what that does.

    Attributes:
        lost: the parts.
        effects: every service once, in lab order.
        down: every thing that does not stand uninterrupted, with whether it comes back.
    """

    lost: tuple[str, ...]
    effects: tuple[Effect, ...]
    down: Mapping[str, bool]

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
        rows: every kept gate in each scenario, from `Standing.rows`.
    """
    gates = standing.gates
    services = standing.support.services
    up = rows[[gates.up[name] for name in services]] if services else np.ones((0, rows.shape[1]), dtype=bool)
    back = rows[[gates.back[name] for name in services]] if services else up
    result = np.where(up, Verdict.STANDS, np.where(back, Verdict.BLINKS, Verdict.FALLS)).astype(np.int8)
    for row, service in enumerate(services):
        for name in data_of(standing).get(service, ()):
            if standing.baseline.kept(name):
                result[row, ~rows[gates.kept[name]]] = Verdict.LOST
    return result


def single_verdicts(standing: Standing, parts: Sequence[str]) -> NDArray[np.int8]:
    """Verdicts without `thin` for the loss of each part by itself: (n_services, n_parts)."""
    return verdict_rows(standing, standing.rows([(part,) for part in parts]))


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
    verdicts = verdict_rows(standing, rows)
    views = [View(standing=standing, lost=standing.out | frozenset(each), column=rows[:, n]) for n, each in enumerate(known)]
    falls, returns = _times(standing, views, verdicts)
    found = []
    for column, lost in enumerate(known):
        thinned = _thin(standing, lost, verdicts[:, column]) if thin else frozenset()
        effects = []
        for number, service in enumerate(standing.support.services):
            verdict = Verdict(int(verdicts[number, column]))
            if verdict is Verdict.STANDS and service in thinned:
                verdict = Verdict.THIN
            row = standing.row[service]
            effects.append(
                Effect(
                    service=service,
                    verdict=verdict,
                    falls_s=float(falls[row, column]) if verdict >= Verdict.BLINKS else NEVER,
                    blinks_s=float(returns[row, column]) if verdict is Verdict.BLINKS else 0.0,
                )
            )
        view = views[column]
        down = {name: view.back(name) for name in standing.support.things if not view.up(name)}
        found.append(Loss(lost=lost, effects=tuple(effects), down=down))
    return tuple(found)


def _times(standing: Standing, views: Sequence[View], verdicts: NDArray[np.int8]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Fall and return times, worked out only where something is interrupted."""
    shape = (len(standing.support.things), len(views))
    falls, returns = np.full(shape, NEVER), np.zeros(shape)
    hit = [column for column in range(len(views)) if (verdicts[:, column] >= Verdict.BLINKS).any()]
    if hit:
        chosen = [views[column] for column in hit]
        falls[:, hit] = standing.falls(chosen)
        returns[:, hit] = standing.returns(chosen)
    return falls, returns


def _thin(standing: Standing, lost: Sequence[str], verdicts: NDArray[np.int8]) -> frozenset[str]:
    """Services that one more part would bring down, though that part alone, without this loss, would not."""
    further = [part for part in standing.parts if part not in lost]
    alone = single_verdicts(standing, further)
    then = verdict_rows(standing, standing.rows([(*lost, part) for part in further]))
    worse = ((then >= Verdict.FALLS) & (alone < Verdict.FALLS)).any(axis=1)
    return frozenset(
        service
        for number, service in enumerate(standing.support.services)
        if worse[number] and verdicts[number] == Verdict.STANDS
    )
