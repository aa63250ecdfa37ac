"""Is an aim met that speaks of the time out in a year?"""

from __future__ import annotations

from falsework import units
from falsework.analyses.aims.result import AimResult, about, open_aim
from falsework.analyses.odds.result import Odds, ServiceOdds
from falsework.model.people import Aim
from falsework.support.standing import Standing
from falsework.units import Dimension


def out_under(aim: Aim, standing: Standing, odds: Odds | None) -> AimResult:
    """Whether each service is expected to be out for less than the aim's time in a year, planned work apart.

    What is judged is the expectation; the range in which it is believed to lie is told beside it.
    """
    services, _ = about(aim, standing)
    if odds is None or not services:
        return open_aim(aim, "it names no service" if not services else "the odds were not worked out")
    assert aim.out_under is not None
    limit = aim.out_under / 60.0
    worst = max((odds.of(name) for name in services), key=lambda each: each.minutes.best)
    unsure = worst.out_upper - worst.out_lower
    says = _told(worst)
    if worst.minutes.best <= limit:
        return AimResult(name=aim.name, met=True, says=says, where=aim.where, tried=len(services))
    if worst.minutes.best - unsure <= limit:
        return open_aim(aim, f"{says}; it is proven only to within {_time(unsure)}")
    return AimResult(
        name=aim.name,
        met=False,
        says=says,
        why=tuple(
            f"without failures of {weight.name} it would be {_time(weight.minutes_off)} less"
            for weight in worst.weights[:3]
        ),
        where=aim.where,
        tried=len(services),
    )


def _told(worst: ServiceOdds) -> str:
    minutes = worst.minutes
    told = f"{worst.service} is expected to be out {_time(minutes.best)} a year"
    if minutes.low < minutes.high:
        told += f" ({_time(minutes.low)} to {_time(minutes.high)})"
    return told


def _time(minutes: float) -> str:
    return units.format(minutes * 60.0, Dimension.TIME)
