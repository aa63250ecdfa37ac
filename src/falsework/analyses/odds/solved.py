"""How likely and how often is each service stopped, exactly or within proven bounds?

All services share one diagram where that fits; else they are parted until they do.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from falsework.analyses.odds.diagram import Chances, Figures, Stopped, chances, figures, stopped
from falsework.analyses.odds.sources import Sources
from falsework.engines.diagrams.limits import Limits, TooLarge
from falsework.support.aging import standing_again
from falsework.support.standing import Standing

NODES = 1 << 23
"""Nodes of one diagram while it is built: about 400 MiB."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Solved:
    """What stops one service, and how likely that is.

    Attributes:
        service: id.
        stopped: the diagram; where not exact, it has the service stopped more often than it is.
        chances: of its variables.
        figures: of the diagram.
        lower, upper: proven bounds of the chance with everything at its mean; equal where exact.
    """

    service: str
    stopped: Stopped
    chances: Chances
    figures: Figures
    lower: float
    upper: float


def solved(standing: Standing, sources: Sources, services: Sequence[str]) -> Iterator[Solved]:
    """Each of some services, in order.

    Raises:
        TooLarge: one service alone is too large.
    """
    aged = standing_again(standing.support, services, out=standing.out)
    parts = standing.parts
    limits = Limits(nodes=NODES)
    try:
        upper = stopped(aged, parts, sources, limits=limits)
        lower = (
            upper
            if all(each.exact for each in upper)
            else stopped(aged, parts, sources, limits=limits, side="upper")
        )
    except TooLarge:
        if len(services) == 1:
            raise
        half = len(services) // 2
        yield from solved(standing, sources, services[:half])
        yield from solved(standing, sources, services[half:])
        return
    likely = chances(upper[0].chains, sources)
    for service, above, below in zip(services, upper, lower, strict=True):
        found = figures(above, likely)
        chance = float(found.chance[0])
        least = chance if below is above else float(figures(below, likely).chance[0])
        yield Solved(service=service, stopped=above, chances=likely, figures=found, lower=least, upper=chance)
