"""In which order are drills done: the worst and stalest first, the dangerous ones not before what they lean on?"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import replace

from falsework.analyses.drilling.choosing import LONGEST_S
from falsework.analyses.drilling.result import Plan
from falsework.analyses.drilling.scene import Scene
from falsework.analyses.verdicts import Verdict


def ordered(scene: Scene, plans: Sequence[Plan]) -> tuple[Plan, ...]:
    """The drills in their order, each told what it waits for.

    Worst first: by what happens at the worst if what it tries is wrong, then by how long ago it was proved (never
    counts longest), then by how many aims lean on it. Against that order, one that makes something fall, or touches
    data, waits until restores of that data that were never proved have been, and a cold start until all of them
    have; and what makes something fall waits for smaller drills, never done, whose parts are down in it too.
    """
    held = _direct([_held(scene, plan, plans) for plan in plans])
    found: dict[str, Plan] = {}
    left = sorted(held, key=_rank)
    while left:
        # One that waits for nothing that is still to come; there is one: who waits takes more down, or is no restore.
        ready = next((plan for plan in left if not any(other.name in plan.after for other in left)), left[0])
        found[ready.name] = ready
        left.remove(ready)
    return tuple(found.values())


def _rank(plan: Plan) -> tuple[object, ...]:
    return (
        -plan.worst,
        plan.proved or datetime.date.min,
        -len(plan.proves),
        sum(1 for each in plan.effects if each.verdict >= Verdict.BLINKS),  # the gentler first
        plan.name,
    )


def _held(scene: Scene, plan: Plan, plans: Iterable[Plan]) -> Plan:
    others = [each for each in plans if each.name != plan.name and each.proved is None]
    restores = [each for each in others if each.tries == "restore"]
    after: list[str] = []
    why: list[str] = []
    if plan.tries == "cold start":
        first = [each.name for each in restores]
    else:
        first = [each.name for each in restores if each.of and each.of[0] in plan.at_risk]
    if first and plan.tries != "restore":
        after.extend(first)
        why.append("no backup is trusted before something was restored from it")
    if plan.tries != "restore" and any(
        each.verdict >= Verdict.FALLS and each.falls_s <= LONGEST_S for each in plan.effects
    ):
        smaller = [each.name for each in others if each.name not in after and _within(scene, each, plan)]
        if smaller:
            after.extend(smaller)
            why.append("something falls in it, so what is smaller goes first")
    return replace(plan, after=tuple(after), held="; ".join(why))


def _direct(plans: Sequence[Plan]) -> list[Plan]:
    """What each waits for, less what those wait for themselves."""
    after = {plan.name: set(plan.after) for plan in plans}
    return [
        replace(
            plan,
            after=tuple(name for name in plan.after if not any(name in after[other] for other in plan.after)),
        )
        for plan in plans
    ]


def _within(scene: Scene, small: Plan, large: Plan) -> bool:
    """Whether all that one drill takes down is down in the other, and more."""
    mine, theirs = scene.known((*small.lost, *small.stops)), scene.known((*large.lost, *large.stops))
    return mine is not None and theirs is not None and bool(mine.lost) and mine.down < theirs.down
