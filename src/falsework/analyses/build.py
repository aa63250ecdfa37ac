"""What can't be built from nothing, even with every stand-in that the owner would accept?"""

from __future__ import annotations

from dataclasses import dataclass

from falsework.engines.founded.reach import allowed
from falsework.model.people import StandIn
from falsework.support.building import building
from falsework.support.standing import Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Buildable:
    """Whether everything can be made from nothing.

    Attributes:
        stuck: what can't be built even with every stand-in, in lab order.
    """

    stuck: tuple[str, ...]


def buildable(standing: Standing) -> Buildable:
    """What is left after the least fixed point over needs to build and to start; which stand-ins do it, the plan says."""
    lab, things = standing.lab, standing.support.things
    made = building(lab, standing.support)
    goals = frozenset(made.goals)
    grown = allowed(made.system, ())
    grown.allow([made.item[each.id] for each in lab.of(StandIn)])
    return Buildable(
        stuck=tuple(
            name
            for name, thing in things.items()
            if made.item[name] in goals and thing.word != "copy" and made.item[name] not in grown.serves
        )
    )
