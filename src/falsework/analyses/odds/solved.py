"""How likely and how often is each service stopped, exactly or within proven bounds?

All services share one diagram where that fits; else they are parted until they do.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

from falsework.analyses.odds.diagram import (
    Chains,
    Chances,
    Figures,
    Stopped,
    chances,
    figures,
    stopped,
    stopped_by_one,
)
from falsework.analyses.odds.sources import Sources
from falsework.engines.diagrams.limits import Limits, TooLarge
from falsework.engines.diagrams.probability import probability
from falsework.engines.uncollected import uncollected
from falsework.support.aging import standing_again
from falsework.support.lives import numbered, shared_causes
from falsework.support.standing import Standing

NODES = 1 << 22
"""Nodes of one diagram while it is built: about 200 MiB."""
TOGETHER = 40_000
"""Gates of services that are tried in one diagram."""
SECONDS = 100.0
"""For all services together, where not said."""
FEW = (3, 2)
"""Where a service alone is too large, it is looked at with so many sources out at most, as many as fit; where none
fit, with one."""
LARGEST = 12_000
"""Gates of one service for which more than one source out at a time is tried."""

Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stopping:
    """The diagrams of one service.

    Attributes:
        service: id.
        above: has it stopped no less often than it is.
        below: has it stopped no more often; the same where exact.
        beyond: true where more is out than both look at; None where they look at everything.
    """

    service: str
    above: Stopped
    below: Stopped
    beyond: Stopped | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Solved:
    """What stops one service, and how likely that is.

    Attributes:
        service: id.
        stopped: the diagram; where not exact, `lower` and `upper` tell how far off.
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


def stopping(
    standing: Standing,
    services: Sequence[str],
    *,
    progress: Progress | None = None,
    nodes: int = NODES,
    seconds: float = SECONDS,
) -> tuple[Stopping, ...]:
    """The diagrams of some services, in order; needs to know what fails, not how often.

    Args:
        standing: the lab.
        services: ids of services or of keepings.
        progress: told how many services are done.
        nodes: of one diagram while it is built; beyond, services are parted, and one alone is bounded.
        seconds: after so long, what is not done is bounded by what is quickest.

    Raises:
        TooLarge: one service alone is too large even to be bounded.
    """
    limits = Limits(nodes=nodes, until=time.perf_counter() + seconds, seconds=seconds)
    found: dict[str, Stopping] = {}
    waiting = [tuple(services)] if services else []
    while waiting:
        some = waiting.pop()
        try:
            allowed = nodes if len(some) == len(services) > 1 else nodes // 2  # what failed once fails again
            with uncollected():
                made = list(_together(standing, some, replace(limits, nodes=allowed)))
            found |= {each.service: each for each in made}
        except TooLarge:
            if len(some) == 1:
                found[some[0]] = _bounded(standing, some[0], limits)
            else:
                size = max(len(some) // 4, 1)
                waiting += [some[first : first + size] for first in range(0, len(some), size)]
        if progress is not None:
            progress(len(found), len(services))
    return tuple(found[service] for service in services)


def _together(standing: Standing, services: Sequence[str], limits: Limits) -> Iterator[Stopping]:
    if len(services) > 1:
        limits.check("building a decision diagram")
    aged = standing_again(standing.support, services, out=standing.out)
    if aged.graph.n_gates > (TOGETHER if len(services) > 1 else LARGEST):
        raise limits.full("building a decision diagram")
    of_part = numbered(standing.parts, shared_causes(standing.lab, standing.parts))
    above = stopped(aged, standing.parts, of_part, limits=limits)
    exact = all(each.exact for each in above)
    below = above if exact else stopped(aged, standing.parts, of_part, limits=limits, side="upper")
    for service, one, other in zip(services, above, below, strict=True):
        yield Stopping(service=service, above=one, below=other)


def _bounded(standing: Standing, service: str, limits: Limits) -> Stopping:
    """One service, looked at only while few sources are out: what happens while more are, may be either.

    Raises:
        TooLarge: with one source out at a time it is still too large.
    """
    aged = standing_again(standing.support, (service,), out=standing.out)
    parts = standing.parts
    of_part = numbered(parts, shared_causes(standing.lab, parts))
    for few in FEW if aged.graph.n_gates <= LARGEST else ():
        with suppress(TooLarge):
            above, beyond = stopped(aged, parts, of_part, limits=limits, at_most=few)
            below, _ = stopped(aged, parts, of_part, limits=limits, at_most=few, side="upper")
            return Stopping(service=service, above=above, below=below, beyond=beyond)
    one, more = stopped_by_one(aged, parts, of_part, limits=Limits(nodes=limits.nodes))
    return Stopping(service=service, above=one, below=one, beyond=more)


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
            least = _chance(each.below, likely)
        if each.beyond is not None:
            chance += _chance(each.beyond, likely)
        yield Solved(
            service=each.service,
            stopped=each.above,
            chances=likely,
            figures=found,
            lower=least,
            upper=min(chance, 1.0),
        )


def _chance(stopped: Stopped, chances: Chances) -> float:
    return float(probability(stopped.flat, chances.chance[:, 0])[0])
