"""Is an aim met that speaks of coming back after a power cut, or of addresses kept during the build?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework import units
from falsework.analyses.aims.result import AimResult, about, open_aim
from falsework.analyses.cold_start import ColdStart, cold_start
from falsework.analyses.order import Order
from falsework.errors import few
from falsework.model.people import Aim
from falsework.support.standing import Standing
from falsework.units import Dimension


def cold(aim: Aim, standing: Standing) -> AimResult:
    """Whether the services come back from nothing, with as much help as the aim allows, in its time."""
    result = cold_start(
        standing, hands=aim.cold_start == "at all", outside=aim.cold_start != "without outside help"
    )
    services, _ = about(aim, standing)
    stuck = [name for name in result.stuck if name in services]
    late = [
        name
        for name in services
        if name in result.up_s and aim.within is not None and result.up_s[name] > aim.within
    ]
    if stuck:
        return AimResult(
            name=aim.name,
            met=False,
            says=f"after a power cut {few(stuck)} {'stays' if len(stuck) == 1 else 'stay'} down",
            why=tuple(cold_reasons(result)),
            where=aim.where,
        )
    if late:
        slowest = max(late, key=lambda name: result.up_s[name])
        took = units.format(result.up_s[slowest], Dimension.TIME)
        return AimResult(
            name=aim.name,
            met=False,
            says=f"{slowest} is up only {took} after the power is back",
            where=aim.where,
        )
    last = max((result.up_s[name] for name in services if name in result.up_s), default=0.0)
    return AimResult(
        name=aim.name,
        met=True,
        says=f"all is up {units.format(last, Dimension.TIME)} after the power is back",
        where=aim.where,
    )


def cold_reasons(result: ColdStart) -> list[str]:
    """Why a cold start stops, in clauses."""
    reasons = [_circle(circle) for circle in result.circles[:3]]
    if result.by_hand:
        reasons.append(
            f"{few(result.by_hand)} {'stays' if len(result.by_hand) == 1 else 'stay'} off until switched on by hand"
        )
    if result.too_early:
        reasons.append(
            f"{few(result.too_early)} {'tries' if len(result.too_early) == 1 else 'try'} once, before what is needed is up"
        )
    return reasons


def _circle(circle: Sequence[str]) -> str:
    """A circle in words, without the copies that stand between services."""
    named = [name for name in circle if name.rpartition(".")[0] not in circle]
    if len(set(named)) == 1:
        copies = [name for name in circle if name not in named]
        return f"{named[0]} waits for itself" + (f": {copies[0]} needs {named[0]} to start" if copies else "")
    return f"each waits for the next: {' -> '.join(named or circle)}"


def addresses(aim: Aim, standing: Standing, order: Order) -> AimResult:
    """Whether the hand-written order leaves every address that a client has learnt."""
    if not standing.lab.order:
        return open_aim(aim, "there is no order of work to judge; write one under order")
    for slip in order.slips:
        if slip.what == "address":
            return AimResult(
                name=aim.name,
                met=False,
                says=f"step {slip.step} takes away the address of {slip.on} that {slip.thing} has learnt",
                where=aim.where,
            )
    return AimResult(
        name=aim.name,
        met=True,
        says=f"no address changes under its clients in {len(standing.lab.order)} steps",
        where=aim.where,
    )
