"""Can the lab be built from nothing, and which stand-ins does that take?"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations

from falsework.engines.founded.reach import allowed
from falsework.model.people import StandIn
from falsework.support.building import building
from falsework.support.standing import Standing

MOST_CHOICES = 4096
"""Sets of stand-ins tried before all of them are taken instead of the fewest."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Buildable:
    """Whether everything can be made from nothing.

    Attributes:
        stand_ins: the fewest that do it, least cost among equals; all accepted ones where nothing does.
        stuck: what can't be built even with every stand-in, in lab order.
        without: what can't be built with no stand-in at all.
        fewest: whether `stand_ins` is proved to be the fewest.
    """

    stand_ins: tuple[str, ...]
    stuck: tuple[str, ...]
    without: tuple[str, ...]
    fewest: bool


def buildable(standing: Standing) -> Buildable:
    """The least fixed point over needs to build and to start, with the fewest stand-ins that complete it."""
    lab, things = standing.lab, standing.support.things
    made = building(lab, standing.support)
    alone = allowed(made.system, ())
    goals = frozenset(made.goals)
    wanted = [name for name in things if made.item[name] in goals and things[name].word != "copy"]

    def left(stand_ins: Iterable[StandIn]) -> tuple[str, ...]:
        grown = alone.copy()
        grown.allow([made.item[each.id] for each in stand_ins])
        return tuple(name for name in wanted if made.item[name] not in grown.serves)

    offered = lab.of(StandIn)
    without = left(())
    if not without:
        return Buildable(stand_ins=(), stuck=(), without=(), fewest=True)
    stuck = left(offered)
    if stuck:
        return Buildable(
            stand_ins=tuple(each.id for each in offered), stuck=stuck, without=without, fewest=False
        )
    tried = 0
    for count in range(1, len(offered) + 1):
        good = []
        for chosen in combinations(offered, count):
            tried += 1
            if tried > MOST_CHOICES:
                return Buildable(
                    stand_ins=tuple(each.id for each in offered), stuck=(), without=without, fewest=False
                )
            if not left(chosen):
                good.append(chosen)
        if good:
            best = min(
                good,
                key=lambda chosen: (sum(each.costs or 0.0 for each in chosen), [each.id for each in chosen]),
            )
            return Buildable(
                stand_ins=tuple(each.id for each in best), stuck=(), without=without, fewest=True
            )
    return Buildable(stand_ins=tuple(each.id for each in offered), stuck=(), without=without, fewest=False)
