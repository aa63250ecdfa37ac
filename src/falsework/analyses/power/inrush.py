"""Do the breakers bear what comes on together when power returns?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from falsework.analyses.power.assumed import FACTOR
from falsework.analyses.power.inrush_result import Inrush, Moment, Rush, Start
from falsework.analyses.power.staggered import staggered
from falsework.engines.bunching import NODES
from falsework.model.lab import Lab
from falsework.model.parts import Circuit, Node, Powered, Strip, Switch, ThingId, Ups
from falsework.support.coming_on import ComingOn
from falsework.support.power import UNSAID_V, Draws, volts_at
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
TOGETHER_S = 0.1
"""What comes on within so long comes on together: a surge lasts a few cycles of the mains; assumed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Comer:
    """A machine, or a battery with a surge of its own, as it comes on.

    Attributes:
        name: its name.
        at_s: by source the moment when it first draws through it, seconds after the power is back.
        surge_a: by source, A.
        running_a: by source what it draws through it when busy, A.
        said: whether the lab file says its surge.
        fed_s: by source when the feed that goes through it is live, seconds; it draws its own wait later.
        moves: whether it can be told to come on later without holding others back.
    """

    name: str
    at_s: Mapping[str, float]
    surge_a: Mapping[str, float]
    running_a: Mapping[str, float]
    said: bool
    fed_s: Mapping[str, float]
    moves: bool


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
    comers, silent = _comers(standing, SURGE)
    sources = _rushes(standing, comers)
    start: Start | None = None
    if any(each.over for each in sources):
        limits = {each.source: each.limit_a for each in sources if each.limit_a is not None}
        start = staggered(standing, comers, limits, together_s=TOGETHER_S, branches=branches)
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


def moments(source: str, comers: Sequence[Comer]) -> tuple[Moment, ...]:
    """What comes on together through a source, in order of time; a moment begins with whatever comes on in it."""
    mine = [each for each in comers if source in each.at_s]
    found = []
    for at in sorted({each.at_s[source] for each in mine}):
        now = [each for each in mine if at <= each.at_s[source] < at + TOGETHER_S]
        found.append(
            Moment(
                at_s=at,
                machines=tuple(each.name for each in now),
                surge_a=sum(each.surge_a[source] for each in now),
                said_a=sum(each.surge_a[source] for each in now if each.said),
                running_a=sum(each.running_a[source] for each in mine if each.at_s[source] < at),
            )
        )
    return tuple(found)


def _comers(standing: Standing, times: float) -> tuple[tuple[Comer, ...], tuple[str, ...]]:
    """What comes on, in lab order, and the machines of which neither surge nor draw is known."""
    lab = standing.lab
    draws, coming = standing.draws(), ComingOn(lab)
    volts = volts_at(lab, draws)
    inside = _inside(lab)
    found: list[Comer] = []
    silent: list[str] = []
    for thing in lab.things.values():
        if not isinstance(thing, Powered) or thing.id in standing.out or thing.power_back == "stays off":
            continue
        if isinstance(thing, Ups):
            if thing.surge and thing.fed_by is not None:
                live = coming.live_s(thing.fed_by.ids[0]) + coming.outlet_s(thing.id)
                at = dict.fromkeys(_above(draws, standing, thing.fed_by.ids[0]), coming.live_s(thing.id))
                found.append(
                    Comer(
                        name=thing.id,
                        at_s=at,
                        surge_a=dict.fromkeys(at, thing.surge),
                        running_a=dict.fromkeys(at, 0.0),
                        said=True,
                        fed_s=dict.fromkeys(at, live),
                        moves=False,
                    )
                )
            continue
        if thing.id not in draws.supplies:
            continue
        watts = draws.consumers.get(thing.id)
        surge = _surge(thing, inside.get(thing.id, ()))
        if surge is None and watts is None:
            silent.append(thing.id)
            continue
        found.append(_machine(standing, thing, draws, coming, volts, surge, watts or 0.0, times))
    return tuple(each for each in found if each.at_s), tuple(silent)


def _inside(lab: Lab) -> Mapping[str, list[Powered]]:
    """What a box holds that has no supply of its own."""
    found: dict[str, list[Powered]] = {}
    for thing in lab.things.values():
        if isinstance(thing, Node | Switch) and thing.fed_by is None and thing.in_ is not None:
            found.setdefault(thing.in_.ids[0], []).append(thing)
    return found


def _surge(thing: Powered, inside: Sequence[Powered]) -> float | None:
    """A machine's own surge, else that of all it holds."""
    if thing.surge is not None:
        return thing.surge
    said = [each.surge for each in inside if each.surge is not None]
    return sum(said) if said else None


def _machine(
    standing: Standing,
    thing: Powered,
    draws: Draws,
    coming: ComingOn,
    volts: Mapping[str, float | None],
    surge: float | None,
    watts: float,
    times: float,
) -> Comer:
    supplies = [
        each
        for each in draws.supplies[thing.id]
        if each.id not in standing.out and _above(draws, standing, each.source)
    ]
    fed = coming.fed_s(thing.id)
    waits = coming.waits_s(thing)
    live: dict[str, float] = {}
    share: dict[str, float] = {}
    for supply in supplies:
        for source in _above(draws, standing, supply.source):
            live[source] = min(live.get(source, float("inf")), fed[supply.id])
            share[source] = share.get(source, 0.0) + 1 / len(supplies)
    # Of W at this voltage, A; what a source that names no voltage passes on is at 230 V.
    full = {
        source: watts / (thing.power_factor or FACTOR) / (volts.get(source) or UNSAID_V) for source in live
    }
    return Comer(
        name=thing.id,
        at_s={source: when + waits for source, when in live.items()},
        surge_a={source: surge if surge is not None else full[source] * times for source in live},
        running_a={source: full[source] * share[source] for source in live},
        said=surge is not None,
        fed_s=live,
        moves=True,
    )


def _above(draws: Draws, standing: Standing, source: str) -> tuple[str, ...]:
    """A source and what feeds it, but what is outside; nothing where any of it is out."""
    chain = draws.chain(source)
    if standing.out.intersection(chain):
        return ()
    return tuple(name for name in chain if isinstance(standing.lab.things[ThingId(name)], Powered))


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
