"""What does one sheet say of how often, how long, and what of?"""

from __future__ import annotations

from falsework.analyses.odds.result import Odds, ServiceOdds
from falsework.faces.limits import limits
from falsework.faces.report.causes import causes
from falsework.faces.report.minutes import minutes
from falsework.faces.report.panel import Panel, stacked
from falsework.faces.report.stops import stops
from falsework.support.standing import Standing

MOST_SERVICES = 3
"""Services whose causes are drawn: the worst."""


def odds_sheet(standing: Standing, found: Odds, *, width: float = 1400, prefix: str = "odds") -> str:
    """How often, how long and what of, as one SVG.

    Args:
        standing: the lab.
        found: what was worked out of it.
        width: of the sheet, in px; the height follows.
        prefix: of the styles in the drawing; two drawings on one page need two.
    """
    return stacked(prefix, width, panels(standing, found, width=width))


def panels(standing: Standing, found: Odds, *, width: float = 1400) -> tuple[Panel, ...]:
    """Bars of minutes, then what the worst services are out of, then how that looks."""
    worst = worst_of(standing, found)
    bars = minutes(found, limits(standing), width=width)
    if not worst:
        return (bars,)
    return bars, causes(worst, width=width), stops(standing, worst, width=width)


def worst_of(standing: Standing, found: Odds) -> tuple[ServiceOdds, ...]:
    """The services whose causes are drawn; alarms only where there is no service."""
    some = [each for each in found.services if each.cut_sets.listed]
    services = [each for each in some if standing.support.things[each.service].word != "alarm"]
    return tuple(services or some)[:MOST_SERVICES]
