"""Which aims are met, and by what proof or witness?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from falsework.analyses.aims.during import during
from falsework.analyses.aims.lasting import out_under
from falsework.analyses.aims.leaving import room_left, told_of
from falsework.analyses.aims.losing import lose
from falsework.analyses.aims.result import AimResult, about, open_aim
from falsework.analyses.aims.starting import addresses, cold
from falsework.analyses.odds.result import Odds
from falsework.analyses.order import Order
from falsework.analyses.verdicts import Singles
from falsework.model.people import Aim
from falsework.support.standing import Standing


def judge_aims(
    standing: Standing,
    singles: Singles,
    order: Order,
    odds: Odds | None,
    *,
    known: Mapping[str, AimResult] = MappingProxyType({}),
) -> tuple[AimResult, ...]:
    """Every aim of the lab, in its order.

    Args:
        standing: the lab.
        singles: verdicts of every single loss, `thin` included.
        order: the hand-written order replayed.
        odds: of every service that an aim gives a time in a year, if any does (`timed`).
        known: aims judged before, by name.
    """
    return tuple(
        known.get(aim.name) or _judge(aim, standing, singles, order, odds) for aim in standing.lab.aims
    )


def judge_untimed(standing: Standing, singles: Singles, order: Order) -> Mapping[str, AimResult]:
    """By name every aim that needs no odds."""
    aims = (aim for aim in standing.lab.aims if aim.out_under is None)
    return {aim.name: _judge(aim, standing, singles, order, None) for aim in aims}


def timed(standing: Standing) -> tuple[str, ...]:
    """The services that an aim gives a time in a year, in lab order."""
    wanted = {
        name for aim in standing.lab.aims if aim.out_under is not None for name in about(aim, standing)[0]
    }
    return tuple(name for name in standing.support.services if name in wanted)


def _judge(aim: Aim, standing: Standing, singles: Singles, order: Order, odds: Odds | None) -> AimResult:
    results = []
    if aim.cold_start:
        results.append(replace(cold(aim, standing), kind="cold"))
    if aim.room_without is not None:
        results.append(replace(room_left(aim, standing), kind="room"))
    if aim.told:
        results.append(replace(told_of(aim, standing), kind="told"))
    elif aim.lose is not None:
        results.append(replace(lose(aim, standing, singles), kind="lose"))
    if aim.addresses_kept:
        results.append(replace(addresses(aim, standing, order), kind="addresses"))
    if aim.out_under is not None:
        results.append(replace(out_under(aim, standing, odds), kind="out"))
    if aim.during_build:
        results.append(replace(during(aim, standing, order), kind="during"))
    if not results:
        results.append(
            open_aim(
                aim,
                "it says nothing that can be judged; give it lose, cold start, room without, told or out under",
            )
        )
    broken = [result for result in results if result.met is False]
    unsure = [result for result in results if result.met is None]
    first = (broken or unsure or results)[0]
    if first.met and aim.during_build and len(results) > 1:
        return replace(first, says=f"{first.says}; {results[-1].says}")
    return first
