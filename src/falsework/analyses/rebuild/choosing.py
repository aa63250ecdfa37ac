"""Which stand-ins does it take for everything to stand again?"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from math import ceil, log2

from falsework.analyses.rebuild.regrowing import Regrowth
from falsework.engines.founded.cheapest import cheapest
from falsework.engines.founded.growing import Growing
from falsework.engines.founded.reach import allowed
from falsework.engines.founded.system import System

FINEST = 2**50
"""Costs are whole numbers that together stay below this, so that a bound reckoned in floating point is exact."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """The cheapest stand-ins that do it.

    Attributes:
        stand_ins: ids, in lab order; where even all that are accepted leave things stuck, those that the rest takes.
        stuck: items that never serve even so.
        proven: whether no cheaper set does it.
    """

    stand_ins: tuple[str, ...]
    stuck: frozenset[int]
    proven: bool


def grown_with(growth: Regrowth, with_: Collection[str]) -> Growing:
    """What has begun and what serves in the end when these stand-ins may be used."""
    system, taken = growth.system, {growth.offers[name] for name in with_}
    grown = growth.bare.copy()
    grown.allow([at for at in range(len(system.names)) if at not in system.costs or at in taken])
    return grown


def stuck(growth: Regrowth, with_: Collection[str]) -> frozenset[int]:
    """The goals that never serve with these stand-ins."""
    there = grown_with(growth, with_).serves
    return frozenset(goal for goal in growth.goals if goal not in there)


def chosen(growth: Regrowth, costs: Mapping[str, float], without: frozenset[int]) -> Chosen:
    """The cheapest accepted stand-ins with which every goal serves that can; the fewest among equals.

    Args:
        growth: what is down.
        costs: of each accepted stand-in, seconds.
        without: the goals that never serve without any.
    """
    if not without:
        return Chosen(stand_ins=(), stuck=frozenset(), proven=True)
    left = stuck(growth, growth.offers)
    if left == without:
        return Chosen(stand_ins=(), stuck=left, proven=True)
    weights = {item: costs.get(name, 0.0) for name, item in growth.offers.items()}
    offers, proven = fewest(growth.system, [goal for goal in growth.goals if goal not in left], weights)
    return Chosen(
        stand_ins=tuple(name for name, item in growth.offers.items() if item in offers),
        stuck=left,
        proven=proven,
    )


def fewest(
    system: System, goals: Collection[int], weights: Mapping[int, float]
) -> tuple[frozenset[int], bool]:
    """The offers with the least weight, then the fewest, with which every goal serves; and whether that is proven.

    What every answer has is found first, with one growth for each offer: in most labs that is all it takes, and the
    solver need not be loaded.

    Args:
        system: items; its own costs are not looked at.
        goals: items that serve with all offers.
        weights: of each offer; those that differ by less than the grain of `FINEST` count as equal.
    """
    wanted, offers = frozenset(goals), frozenset(weights)
    priced = replace(system, costs=_whole(weights))
    forced = frozenset(item for item in offers if not wanted <= allowed(priced, offers - {item}).serves)
    if wanted <= allowed(priced, forced).serves:
        return forced, True
    found = cheapest(priced, wanted, workers=1)
    return frozenset(found.chosen), found.proven


def _whole(weights: Mapping[int, float]) -> dict[int, int]:
    """Whole costs that say the same: first weight, then number."""
    each, whole = len(weights) + 1, sum(weights.values())
    grain = (
        2.0 ** ceil(log2(whole * each / FINEST)) if whole else 1.0
    )  # a power of two: no figure is rounded by it
    return {item: round(weight / grain) * each + 1 for item, weight in weights.items()}
