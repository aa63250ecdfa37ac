"""In which order can the lab be made from what there is, and which stand-ins does that take at the least?"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from falsework.analyses.raising.result import Plan
from falsework.analyses.raising.steps import numbered
from falsework.analyses.raising.walk import walk
from falsework.engines.founded.cheapest import cheapest
from falsework.engines.founded.system import Choice, System
from falsework.engines.founded.why_stuck import smallest_reason, would_do
from falsework.model.lab import Lab
from falsework.model.parts import ThingId
from falsework.model.services import Copy
from falsework.support.building import Building, building
from falsework.support.standing import Standing

MOST_TRIED = 60
"""Things for which one more stand-in is tried, where the lab can't be made."""


def plan(standing: Standing, *, from_nothing: bool = False, seconds: float = 20.0) -> Plan:
    """An order of work that makes everything, with the cheapest stand-ins.

    Args:
        standing: the lab. Parts that are out are planned as if they were mended.
        from_nothing: make everything, also what `today` says is built.
        seconds: how long the cheapest stand-ins may be looked for; then the best so far is taken, with a bound.

    Returns:
        The plan; where nothing suffices, one without steps that says what is stuck and what would help.
    """
    lab = standing.lab
    made = building(lab, standing.support)
    there = () if from_nothing else already(lab, made)
    system = _given(made, there)
    best = cheapest(system, made.goals, seconds=seconds)
    names = made.system.names
    if best.stuck:
        return _stuck(lab, made, system, best)
    chosen = tuple(names[item] for item in best.chosen)
    found = numbered(lab, made, walk(lab, made, chosen, there))
    return Plan(
        steps=found.steps,
        already=tuple(name for name in lab.things if name in found.moments[0].built),
        stand_ins=tuple(name for name in chosen),
        cost_s=float(best.cost),
        bound_s=float(best.bound),
        stuck=(),
        circle=(),
        would_do=(),
        moments=found.moments,
    )


def already(lab: Lab, made: Building) -> tuple[str, ...]:
    """What stands today of what somebody makes, in lab order.

    What `today` calls built, a service with all its copies; where it does not say, all but what it says is not
    and what stands on that.
    """
    today = lab.today
    names = made.system.names
    missing = _with_copies(lab, today.not_built.ids if today and today.not_built else ())
    if today is not None and today.built is not None:
        there = _with_copies(lab, today.built.ids) - missing
    else:
        there = _standing_without(made, missing)
    return tuple(names[item] for item in made.made if names[item] in there)


def _with_copies(lab: Lab, names: Iterable[str]) -> set[str]:
    asked = set(names)
    return asked | {copy.id for copy in lab.of(Copy) if copy.service in asked}


def _standing_without(made: Building, missing: set[str]) -> set[str]:
    """Everything that is made, but what is missing and what has lost its power, host or drives with it."""
    names = made.system.names
    left = {item for item in (*made.made, *made.free) if names[item] not in missing}
    while True:
        gone = {
            item
            for item in left
            for clause in made.system.begin[item]
            if clause.begun and sum(each in left for each in set(clause.of)) < clause.enough
        }
        if not gone:
            return {names[item] for item in left}
        left -= gone


def _given(made: Building, there: Iterable[str]) -> System:
    """The system in which what is there has begun by itself."""
    given = {made.item[name] for name in there}
    begin = tuple(() if item in given else clauses for item, clauses in enumerate(made.system.begin))
    return replace(made.system, begin=begin)


def _stuck(lab: Lab, made: Building, system: System, best: Choice) -> Plan:
    """A plan without steps that says why."""
    names = system.names
    services = {str(copy.id): made.item[copy.service] for copy in lab.of(Copy)}
    alike = {made.item[copy]: service for copy, service in services.items()}
    alike |= {join: made.item[name] for name, join in made.either.items() if name in made.item}
    circle = smallest_reason(system, best.reach, alike)
    stuck = [item for item in best.stuck if item not in alike]
    in_order = [name for name in lab.things if made.item.get(name) in stuck]
    first = dict.fromkeys((*circle, *(made.item[name] for name in in_order)))
    candidates = [item for item in first if _may_be_stood_in_for(lab, names[item])]
    return Plan(
        steps=(),
        already=(),
        stand_ins=(),
        cost_s=0.0,
        bound_s=0.0,
        stuck=tuple(in_order),
        circle=tuple(names[item] for item in circle),
        would_do=tuple(names[item] for item in would_do(system, made.goals, candidates[:MOST_TRIED])),
        moments=(),
    )


def _may_be_stood_in_for(lab: Lab, name: str) -> bool:
    thing = lab.things.get(ThingId(name))
    return thing is not None and thing.IS in ("service", "store", "node", "switch", "pool")
