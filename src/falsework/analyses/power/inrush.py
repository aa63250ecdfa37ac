"""Do the breakers bear what comes on together when power returns?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from falsework.analyses.power.comers import Comer, comers_of, moments
from falsework.analyses.power.inrush_result import Inrush, Rush, Start
from falsework.analyses.power.staggered import staggered
from falsework.engines.bunching import NODES
from falsework.model.parts import Circuit, Strip, ThingId
from falsework.support.standing import Standing
from falsework.support.taken import Taken

BEARS = 3.0
"""How many times its rating a breaker bears for a moment, where nobody says."""
BEARS_MOST = 5.0
BEARS_SOURCE = "IEC 60898-1, as quoted in public notes: type B trips at once between 3 and 5 times its rating, type C between 5 and 10"
SURGE = 10.0
"""The surge of a machine in multiples of what it draws when busy, where nobody says."""
SURGE_LOW, SURGE_HIGH = 5.0, 30.0
SURGE_SOURCE = (
    "assumed; makers' handbooks of supplies say several to tens of times the current that they draw after"
)


def inrush(standing: Standing, *, branches: int = NODES) -> Inrush:
    """What comes on together when power returns to a lab whose batteries are all empty.

    A machine's whole surge counts at each of its feeds, once: the other feed may be late. What lies behind a
    battery counts at what feeds the battery too. What is set to stay off does not come on.

    Args:
        standing: the lab.
        branches: how many are looked at for the fewest groups, where a breaker may trip; a few thousand take some
            hundredths of a second.

    Cost:
        O(machines x sources above them), and a search for the fewest groups where a breaker may trip.
    """
    comers, silent = comers_of(standing, SURGE)
    sources = _rushes(standing, comers)
    start: Start | None = None
    if any(each.over for each in sources):
        limits = {each.source: each.limit_a for each in sources if each.limit_a is not None}
        start = staggered(standing, comers, limits, branches=branches)
    return Inrush(
        sources=sources,
        start=start,
        silent=silent,
        taken=tuple(_taken(standing, sources, comers)),
    )


def _rushes(standing: Standing, comers: Sequence[Comer]) -> tuple[Rush, ...]:
    found = []
    for source in standing.lab.things.values():
        if not isinstance(source, Circuit | Strip) or source.id in standing.out:
            continue
        seen = moments(source.id, comers)
        if seen:
            said = source.bears_surge if isinstance(source, Circuit) else None
            found.append(
                Rush(
                    source=source.id,
                    word=source.IS,
                    breaker_a=source.breaker,
                    bears=BEARS if said is None else said,
                    bears_said=said is not None,
                    moments=seen,
                    where=source.where,
                )
            )
    return tuple(found)


def _taken(standing: Standing, sources: Sequence[Rush], comers: Sequence[Comer]) -> Iterator[Taken]:
    unsaid = [each for each in comers if not each.said]
    limited = [each for each in sources if each.limit_a is not None]
    worst = max(limited, key=lambda each: each.worst.amperes / (each.limit_a or 1.0), default=None)
    if unsaid:
        said: dict[str, str] = {}
        if worst is not None:
            at, rest = worst.worst, worst.worst.surge_a - worst.worst.said_a
            low, high = (at.amperes - rest * (1 - times / SURGE) for times in (SURGE_LOW, SURGE_HIGH))
            said = {
                "of": f"what {worst.source} has to bear for a moment ({at.amperes:,.0f} A)",
                "low": f"{low:,.0f} A",
                "high": f"{high:,.0f} A",
            }
        yield Taken(
            key="surge",
            things=tuple(each.name for each in unsaid),
            value=f"{SURGE:g} times what it draws when busy",
            source=SURGE_SOURCE,
            where=standing.lab.things[ThingId(unsaid[0].name)].where,
            **said,
        )
    # A strip has no such key: what its own breaker bears can't be said, and is told under `breaker`.
    told = f"{BEARS:g} times its rating"
    for word, key, value in (
        (Circuit.IS, "bears surge", told),
        (Strip.IS, "breaker", f"bears {told} for a moment"),
    ):
        unsure = [each for each in limited if not each.bears_said and each.word == word]
        if unsure:
            most = max(unsure, key=lambda each: each.worst.amperes / (each.limit_a or 1.0))
            breaker = most.breaker_a or 0.0
            yield Taken(
                key=key,
                things=tuple(each.source for each in unsure),
                value=value,
                source=BEARS_SOURCE,
                of=f"what {most.source} bears for a moment ({breaker * BEARS:,.0f} A)",
                low=f"{breaker * BEARS:,.0f} A",
                high=f"{breaker * BEARS_MOST:,.0f} A",
                where=most.where,
            )
