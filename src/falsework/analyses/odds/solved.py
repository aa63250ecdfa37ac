"""How likely and how often is each service stopped, exactly or within proven bounds?

All services share one diagram where that fits; else they are parted until they do.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from falsework.analyses.odds.diagram import Chains, Chances, Figures, Stopped, chances, figures, stopped
from falsework.analyses.odds.sources import Sources
from falsework.engines.diagrams.limits import Limits, TooLarge
from falsework.support.aging import standing_again
from falsework.support.lives import numbered, shared_causes
from falsework.support.standing import Standing

NODES = 1 << 23
"""Nodes of one diagram while it is built: about 400 MiB."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stopping:
    """The diagrams of one service.

    Attributes:
        service: id.
        above: has it stopped no less often than it is.
        below: has it stopped no more often; the same where exact.
    """

    service: str
    above: Stopped
    below: Stopped


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


def stopping(standing: Standing, services: Sequence[str]) -> tuple[Stopping, ...]:
    """The diagrams of some services, in order; needs to know what fails, not how often.

    Raises:
        TooLarge: one service alone is too large.
    """
    aged = standing_again(standing.support, services, out=standing.out)
    parts = standing.parts
    of_part = numbered(parts, shared_causes(standing.lab, parts))
    limits = Limits(nodes=NODES)
    try:
        above = stopped(aged, parts, of_part, limits=limits)
        exact = all(each.exact for each in above)
        below = above if exact else stopped(aged, parts, of_part, limits=limits, side="upper")
    except TooLarge:
        if len(services) == 1:
            raise
        half = len(services) // 2
        return (*stopping(standing, services[:half]), *stopping(standing, services[half:]))
    return tuple(
        Stopping(service=service, above=one, below=other)
        for service, one, other in zip(services, above, below, strict=True)
    )


def solved(stopping: Iterable[Stopping], sources: Sources) -> Iterator[Solved]:
    """How likely each of some services is stopped, in order."""
    likely: Chances | None = None
    chains: Chains | None = None
    for each in stopping:
        if likely is None or each.above.chains is not chains:
            chains = each.above.chains
            likely = chances(chains, sources)
        found = figures(each.above, likely)
        chance = least = float(found.chance[0])
        if each.below is not each.above:
            least = float(figures(each.below, likely).chance[0])
        yield Solved(
            service=each.service,
            stopped=each.above,
            chances=likely,
            figures=found,
            lower=least,
            upper=chance,
        )
