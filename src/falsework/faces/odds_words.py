"""How is said how often a service is out?"""

from __future__ import annotations

from falsework.analyses.odds.result import ServiceOdds
from falsework.faces.amounts import (
    bounds_said,
    lasting_said,
    minutes_said,
    often_said,
    range_said,
)
from falsework.faces.limits import passed


def made_of(each: ServiceOdds) -> str:
    """What the minutes are made of: `out 5 h, interrupted 4 min, stumbled 6 min`."""
    kinds = (
        ("out", each.out.best),
        ("coming up", each.rise_minutes),
        ("interrupted", each.blink_minutes),
        ("stumbled", each.stumble_minutes),
    )
    return (
        ", ".join(f"{word} {minutes_said(minutes)}" for word, minutes in kinds if minutes > 0) or "never out"
    )


def summary(each: ServiceOdds, limit: float | None) -> str:
    """One service in a line that follows its minutes."""
    said = []
    if range_said(each.minutes):
        said.append(range_said(each.minutes))
    said.append(made_of(each))
    said.append(
        f"stops {often_said(each.per_year)}" + (f", for {lasting_said(each.lasts_s)}" if each.lasts_s else "")
    )
    if each.upkeep_minutes > 0:
        said.append(f"planned work at most {minutes_said(each.upkeep_minutes)} besides")
    if not each.exact:
        said.append(f"out {bounds_said(each.out_lower, each.out_upper)}")
    if limit is not None and passed(each, limit):
        said.append(f"over its aim of {minutes_said(limit)}")
    return "; ".join(said)


def nothing_listed(each: ServiceOdds) -> str:
    """Why no set of parts is listed."""
    if each.cut_sets.total is None:
        return "The sets of parts that stop it are too many to be told."
    if each.out.best > 0:
        return "It does not stand as it is, so nothing more is needed to stop it."
    return "Nothing in the lab stops it until somebody mends something."
