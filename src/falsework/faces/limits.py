"""How much time out a year may each service have, as the aims of the lab say, and is it a service or an alarm?"""

from __future__ import annotations

from collections.abc import Mapping

from falsework.analyses.aims.result import about
from falsework.analyses.odds.result import ServiceOdds
from falsework.support.standing import Standing


def limits(standing: Standing) -> Mapping[str, float]:
    """The tightest `out under` of each service that has one, minutes a year."""
    found: dict[str, float] = {}
    for aim in standing.lab.aims:
        if aim.out_under is None:
            continue
        for service in about(aim, standing)[0]:
            found[service] = min(found.get(service, float("inf")), aim.out_under / 60.0)
    return found


def passed(each: ServiceOdds, limit: float | None) -> bool:
    """Whether a service is out for longer than its limit, proven as the aims are judged (`aims.lasting`)."""
    unsure = each.out_upper - each.out_lower
    return limit is not None and each.minutes.best - unsure > limit


def named(standing: Standing, service: str) -> str:
    """A service by its name; an alarm says that it is one, since nobody misses it until it is needed."""
    return f"alarm {service}" if standing.support.things[service].word == "alarm" else service
