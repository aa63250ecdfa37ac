"""Which figure of the lab file did an interruption measure?

Only what a comparison holds as measured: the thing came back by itself, nothing about it was wrong, the stopwatch ran
all the time, and its own figures are what the interruption is foretold to be made of.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from falsework.analyses.comparing import Comparison, Line, Sort
from falsework.analyses.learning.moments import written
from falsework.analyses.learning.result import Measured, Passed
from falsework.analyses.verdicts import Loss, Verdict
from falsework.model.parts import Thing, ThingId
from falsework.model.services import Copy, Pool, Service
from falsework.model.timed import Timing
from falsework.model.timing import belief_of
from falsework.record.observed import Run
from falsework.support.graph import Role
from falsework.support.standing import Standing

NEAR_S = 0.5
"""A foretold interruption is a figure's own where both differ by no more than this."""
SOON_S = 1.0
"""What is back so soon after something that it leans on has waited for it."""
COARSE = 0.2
"""An interruption that may be wrong by a larger share of itself measures nothing."""


def measured(standing: Standing, loss: Loss, comparison: Comparison, run: Run) -> Iterator[Measured | Passed]:
    """What the lines of a comparison measured; those that fell and measured nothing are passed over, with the reason."""
    for line in comparison.lines:
        if not line.service or line.sort is Sort.NOT_SEEN or line.falls_s == float("inf"):
            continue
        why = _why_not(line)
        if why:
            yield run.number, line.thing, why
            continue
        found = [] if _waited(standing, comparison, line) else list(_of(standing, loss, line))
        for thing, attribute, took_s in found:
            timing = Timing(took_s, written(run.began))
            yield Measured(thing=thing, attribute=attribute, timing=timing, run=run.number)
        if not found:
            yield run.number, line.thing, "it waited for something else, so that its own times can't be told"


def _waited(standing: Standing, comparison: Comparison, line: Line) -> bool:
    """Whether something that it leans on was seen to be back only when it was back itself."""
    under = standing.support.under(line.thing)
    back_s = line.falls_s + line.lasts_s
    return any(
        other.thing in under and other.falls_s + other.lasts_s >= back_s - max(SOON_S, line.within_s)
        for other in comparison.lines
        if other.thing != line.thing and math.isfinite(other.falls_s)
    )


def _why_not(line: Line) -> str:
    if line.sort is Sort.WRONG:
        return f"it {line.wrong}: mend the plan first"
    if line.foretold.verdict is not Verdict.BLINKS or not line.ended:
        return (
            "it did not come back by itself"
            if line.foretold.verdict is Verdict.BLINKS
            else "as foretold, it stayed down"
        )
    if not line.sure:
        return "the stopwatch itself did not run all the time"
    if line.within_s > COARSE * line.lasts_s:
        return "its probe asked too seldom to measure so short a time"
    return ""


def _of(standing: Standing, loss: Loss, line: Line) -> Iterator[tuple[str, str, float]]:
    """What it measured: thing, attribute, seconds."""
    service = standing.lab.things[ThingId(line.thing)]
    if not isinstance(service, Service):
        return
    foretold_s = line.foretold.lasts_s
    moving = (
        "takes_over" if service.takes_over is not None else "floats" if service.floats is not None else ""
    )
    if moving:
        figure_s = (
            service.takes_over if moving == "takes_over" else service.floats.in_ if service.floats else None
        )
        if abs((figure_s or 0.0) - foretold_s) <= NEAR_S and active_fell(standing, loss, service.id):
            yield service.id, moving, line.lasts_s
        return
    made_of: dict[tuple[str, str], float] = {}
    for copy in standing.lab.of(Copy):
        pool = standing.lab.things.get(ThingId(copy.pool)) if copy.pool else None
        if copy.service == service.id and copy.id in loss.down:
            made_of[service.id, "restarts_in"] = service.restarts_in or 0.0
            if isinstance(pool, Pool):
                made_of[pool.id, "restarts_in"] = pool.restarts_in or 0.0
    if made_of and abs(sum(made_of.values()) - foretold_s) <= NEAR_S:
        yield from _shared(standing, made_of, line.lasts_s)


def active_fell(standing: Standing, loss: Loss, service: str) -> bool:
    """Whether the copy that serves fell, or is out of sight."""
    assert standing.support.things[service].leans[0].role is Role.COPIES
    return not loss.view.lean_holds(service, 0)


def _shared(
    standing: Standing, made_of: dict[tuple[str, str], float], took_s: float
) -> Iterator[tuple[str, str, float]]:
    """One time that two figures have part in: what is known better keeps its length, the other gets the rest."""
    weight = {}
    for name, attribute in made_of:
        thing: Thing = standing.lab.things[ThingId(name)]
        belief = belief_of(thing, attribute)
        weight[name, attribute] = belief.weight if belief is not None else 0.0
    doubtful = min(made_of, key=lambda each: weight[each])
    rest_s = sum(seconds for each, seconds in made_of.items() if each != doubtful)
    alike = len(set(weight.values())) == 1
    if alike or took_s - rest_s <= 0.1 * took_s:
        whole = sum(made_of.values())
        for (name, attribute), seconds in made_of.items():
            if seconds > 0:
                yield name, attribute, took_s * seconds / whole
        return
    yield *doubtful, took_s - rest_s
