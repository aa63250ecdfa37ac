"""In which order are drills done: the worst and stalest first, the dangerous ones not before what they lean on?"""

from __future__ import annotations

import datetime
import heapq
from collections.abc import Iterable, Sequence
from dataclasses import replace

from falsework.analyses.drilling.choosing import LONGEST_S
from falsework.analyses.drilling.result import Claim, Plan
from falsework.analyses.drilling.scene import Scene
from falsework.analyses.verdicts import Verdict


def ordered(
    scene: Scene, plans: Sequence[Plan], claims: Sequence[Claim], today: datetime.date
) -> tuple[Plan, ...]:
    """The drills in their order, each told what it waits for.

    Worst first, by what no drill before it proves and was not proved within a year: by what happens at the worst if
    that is wrong, then by how long ago it was proved (never counts longest), then by how many claims it is. So whoever
    stops early has done the drills that were most worth doing, and what was just done is not next. Against that order,
    one that makes something fall, or touches data, waits until restores of that data that were never proved have been,
    and a cold start until all of them have; and what makes something fall waits for smaller drills, never done, whose
    parts are down in it too.
    """
    held = {plan.name: plan for plan in _direct([_held(scene, plan, plans) for plan in plans])}
    named = {claim.name: claim for claim in claims}
    waits = {name: set(plan.after) for name, plan in held.items()}
    proved = {claim.name for claim in claims if claim.fresh(today)}

    def rank(name: str) -> tuple[object, ...]:
        return _rank(held[name], [named[each] for each in held[name].proves if each not in proved])

    # What others have proved is new to nobody: a rank only ever sinks, so it is worked out again when its turn comes.
    ready = [rank(name) for name, first in waits.items() if not first]
    heapq.heapify(ready)
    found: list[Plan] = []
    while ready:
        *_, name = was = heapq.heappop(ready)
        assert isinstance(name, str)
        if (now := rank(name)) != was:
            heapq.heappush(ready, now)
            continue
        found.append(held[name])
        proved.update(held[name].proves)
        for other, first in waits.items():
            if name in first:
                first.remove(name)
                if not first:
                    heapq.heappush(ready, rank(other))
    # None waits for itself: who waits takes more down, or is no restore.
    assert len(found) == len(plans)
    return tuple(found)


def _rank(plan: Plan, new: Sequence[Claim]) -> tuple[object, ...]:
    return (
        -max((claim.worst for claim in new), default=Verdict.STANDS),
        min((claim.proved or datetime.date.min for claim in new), default=datetime.date.max),
        -len(new),
        -plan.worst,
        plan.proved or datetime.date.min,
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
