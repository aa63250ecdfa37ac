"""How often is each service out, how long, why, and what would help most?"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from falsework.analyses.odds.cuts import cut_sets
from falsework.analyses.odds.data import data_odds
from falsework.analyses.odds.hanging import hanging
from falsework.analyses.odds.result import MINUTES, CutSets, Odds, ServiceOdds, Weight, Within
from falsework.analyses.odds.short import Short, interruptions
from falsework.analyses.odds.solved import SECONDS, Solved, solved, stopping
from falsework.analyses.odds.sources import Floats, Sources, sources
from falsework.engines import importance
from falsework.errors import QuestionError, nearest
from falsework.model.hours import weekly
from falsework.model.parts import ThingId
from falsework.model.services import Service
from falsework.support.lives import lives
from falsework.support.standing import Standing
from falsework.units import WEEK_S, YEAR_S

Progress = Callable[[int, int], None]
LISTED = 12
"""Cut sets listed, if not said."""
WORST = 4
"""Services whose cut sets are worked out where none is named."""
NOT_ASKED = CutSets(listed=(), total=None, by_order=(), rest=0.0)
WEEKS = YEAR_S / WEEK_S


def odds(
    standing: Standing,
    services: Sequence[str] | None = None,
    *,
    draws: int = 0,
    seed: int = 1,
    listed: int = LISTED,
    data: bool = True,
    seconds: float = SECONDS,
    progress: Progress | None = None,
) -> Odds:
    """How often and how long services are out, what of, and what matters most.

    Args:
        standing: the lab, with what is out beforehand.
        services: ids of services and alarms; all if not said.
        draws: draws of everything that is only believed, for ranges; 0 for none.
        seed: of the draws.
        listed: how many cut sets are listed, of each service that is named; where none is, of the worst few; 0
            for none at all, which saves most of the work in a lab of middling size.
        data: whether the odds of data are wanted too.
        seconds: how long to look for exact answers; then what is not done is bounded.
        progress: told how many services are done, and of how many.

    Raises:
        QuestionError: a service is not in the lab; names the nearest.
    """
    asked = tuple(dict.fromkeys(services)) if services else standing.support.services
    for name in asked:
        if name not in standing.support.services:
            near = nearest(name, standing.support.services)
            raise QuestionError(
                what=f"no service is called {name!r}",
                mend=f"Did you mean {near!r}?"
                if near
                else "Services: " + ", ".join(standing.support.services[:8]),
            )
    known = lives(standing)
    failing = sources(standing.lab, known, draws=draws, seed=seed)
    short = interruptions(standing, known, failing, asked)
    diagrams = stopping(standing, asked, progress=progress, seconds=seconds)
    found = [
        (_service(standing, failing, each, short[each.service], draws), each)
        for each in solved(diagrams, failing)
    ]
    found.sort(key=lambda each: -each[0].minutes.best)
    detailed = 0 if not listed else len(found) if services else WORST
    ranked = [
        replace(told, cut_sets=cut_sets(failing, each, listed=listed)) if place < detailed else told
        for place, (told, each) in enumerate(found)
    ]
    return Odds(
        services=tuple(ranked),
        data=data_odds(standing, failing) if data else (),
        weights=_together(ranked),
        draws=draws,
        assumed=known.assumed,
    )


def _service(standing: Standing, failing: Sources, solved: Solved, short: Short, draws: int) -> ServiceOdds:
    out = solved.figures.chance * MINUTES
    rise, blink, stumble = (
        each.sum(axis=0) for each in (short.rise_minutes, short.blink_minutes, short.stumble_minutes)
    )
    minutes = out + rise + blink + stumble
    per_year = solved.figures.per_year
    return ServiceOdds(
        service=solved.service,
        minutes=_within(minutes),
        out=_within(out),
        out_lower=solved.lower * MINUTES,
        out_upper=solved.upper * MINUTES,
        per_year=per_year,
        lasts_s=float(out[0]) * 60.0 / per_year if per_year else 0.0,
        rise_minutes=float(rise[0]),
        blinks_per_year=float(short.per_year[:, 0].sum()),
        blink_minutes=float(blink[0]),
        stumble_minutes=float(stumble[0]),
        upkeep_minutes=_upkeep(standing, solved.service),
        cut_sets=NOT_ASKED,
        weights=tuple(
            sorted(_weights(failing, solved, short), key=lambda each: (-each.minutes_off, each.name))
        ),
        hangs=hanging(failing.opinions, minutes) if draws else (),
    )


def _within(values: Floats) -> Within:
    if len(values) == 1:
        return Within(best=float(values[0]), low=float(values[0]), high=float(values[0]))
    low, high = np.percentile(values[1:], [5, 95])
    return Within(best=float(values[0]), low=float(low), high=float(high))


def _upkeep(standing: Standing, name: str) -> float:
    """Minutes a year of planned work: the windows as written, every week."""
    thing = standing.lab.things.get(ThingId(name))
    if not isinstance(thing, Service) or not thing.upkeep:
        return 0.0
    windows = weekly(thing.upkeep, thing.place("upkeep"))
    return sum(end - start for start, end in windows) / 60.0 * WEEKS


def _weights(failing: Sources, solved: Solved, short: Short) -> Iterator[Weight]:
    """The classic measures of importance, of each source that matters at all.

    With P the chance that the service is out, q the source's and g = dP/dq: P(1) = P + (1 - q) g and P(0) = P - q g,
    P being linear in q. The measures themselves, with their sources, are those of `falsework.engines.importance`.
    """
    interrupted = (short.rise_minutes + short.blink_minutes + short.stumble_minutes)[:, 0]
    chance, slope, q = float(solved.figures.chance[0]), solved.figures.birnbaum, solved.figures.down
    top = np.full(len(slope), chance)
    given_out, given_up = chance + (1.0 - q) * slope, np.maximum(chance - q * slope, 0.0)
    measures = (
        importance.criticality(top, given_out, given_up, q),
        np.minimum(importance.diagnosis(top, given_out, q), 1.0),
        importance.achievement_worth(top, given_out),
        importance.reduction_worth(top, given_up),
    )
    for number, source in enumerate(failing.sources):
        if slope[number] <= 0.0 and not interrupted[number]:
            continue
        # Of a service that is never out, no part has a share.
        criticality, diagnosis, achievement, reduction = (
            float(each[number]) if chance else 0.0 for each in measures
        )
        yield Weight(
            name=source.name,
            birnbaum=float(slope[number]),
            criticality=criticality,
            fussell_vesely=diagnosis,
            achievement=achievement,
            reduction=reduction,
            minutes_off=(chance - float(given_up[number])) * MINUTES + float(interrupted[number]),
        )


def _together(services: Sequence[ServiceOdds]) -> tuple[Weight, ...]:
    """The weights over all services: minutes summed, the other figures of the service where it weighs most."""
    most: dict[str, Weight] = {}
    minutes: dict[str, float] = {}
    for service in services:
        for weight in service.weights:
            minutes[weight.name] = minutes.get(weight.name, 0.0) + weight.minutes_off
            if weight.name not in most or most[weight.name].minutes_off < weight.minutes_off:
                most[weight.name] = weight
    found = [replace(weight, minutes_off=minutes[name]) for name, weight in most.items()]
    return tuple(sorted(found, key=lambda each: (-each.minutes_off, each.name)))
