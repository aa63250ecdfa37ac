"""How is a lab raised: in which order, how fragile on the way, and when?"""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import replace

from falsework.analyses.raising.fragile import fragile
from falsework.analyses.raising.plan import plan
from falsework.analyses.raising.raised import Raised
from falsework.analyses.raising.reorder import renumbered, reorder
from falsework.analyses.raising.result import Fragile, Plan, Schedule
from falsework.support.moments import Stages, stages_of
from falsework.support.standing import Standing

Progress = Callable[[str, int, int], None]
"""What is being done, how far it is, how far it goes."""


def raised(
    standing: Standing,
    *,
    from_nothing: bool = False,
    begins: datetime.date | None = None,
    seconds: float = 20.0,
    progress: Progress | None = None,
) -> Raised:
    """The order of work with the cheapest stand-ins, least fragile, on the calendar if a day is given.

    Args:
        standing: the lab.
        from_nothing: as if nothing were built, whatever `today` says.
        begins: the first day of the calendar; None for an order without one.
        seconds: how long the stand-ins, and again the calendar, may be looked for; then the best so far is taken.
        progress: is told what is being done.

    Raises:
        FalseworkError: the lab's people, hours or deliveries allow no calendar.
    """
    say: Progress = progress or _silent
    say("looking for the cheapest stand-ins", 0, 1)
    order = plan(standing, from_nothing=from_nothing, seconds=seconds)
    if order.stuck:
        return Raised(plan=order, fragile=())
    stages = stages_of(standing)
    order = reorder(
        standing,
        order,
        stages=stages,
        progress=lambda done, of: say("looking for the least fragile order", done, of),
    )
    shaky = _fragile(standing, order, stages, say)
    if begins is None or not order.steps:
        return Raised(plan=order, fragile=shaky)
    # Only here: most answers need no calendar, and the solver loads slowly.
    from falsework.analyses.raising.schedule import schedule

    say("looking for the best calendar", 0, 1)
    dated = schedule(
        standing.lab,
        order,
        shaky,
        begins=begins,
        seconds=seconds,
        progress=lambda what, best, proved: say(what, 0, 1),
    )
    again, number = _as_begun(standing, order, dated)
    if again is not order:
        order, shaky = again, _fragile(standing, again, stages, say)
    return Raised(plan=order, fragile=shaky, schedule=_renumbered(dated, number))


def _fragile(standing: Standing, order: Plan, stages: Stages, say: Progress) -> tuple[Fragile, ...]:
    return fragile(
        standing,
        order.moments,
        stages=stages,
        progress=lambda done, of: say("looking at what is fragile after each step", done, of),
    )


def _as_begun(standing: Standing, order: Plan, dated: Schedule) -> tuple[Plan, dict[int, int]]:
    """The steps in the order in which the calendar begins them, so that paper and days agree; and their new numbers."""
    begun = sorted(dated.slots, key=lambda slot: (slot.begins, slot.ends, slot.step))
    numbers = [slot.step for slot in begun]
    new = {old: number for number, old in enumerate(numbers, start=1)}
    if numbers == sorted(numbers):
        return order, new
    return renumbered(standing, order, numbers), new


def _renumbered(dated: Schedule, number: dict[int, int]) -> Schedule:
    slots = [replace(slot, step=number[slot.step]) for slot in dated.slots]
    return replace(
        dated,
        slots=tuple(sorted(slots, key=lambda slot: slot.step)),
        critical=tuple(sorted(number[step] for step in dated.critical)),
    )


def _silent(what: str, done: int, of: int) -> None:
    """Nobody listens."""
