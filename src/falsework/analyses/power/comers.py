"""What comes on when power returns, when, and at what surge?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from falsework.analyses.power.assumed import FACTOR
from falsework.analyses.power.inrush_result import Moment
from falsework.model.lab import Lab
from falsework.model.parts import Node, Powered, Switch, ThingId, Ups
from falsework.support.coming_on import ComingOn
from falsework.support.power import UNSAID_V, Draws, volts_at
from falsework.support.standing import Standing

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


def comers_of(standing: Standing, times: float) -> tuple[tuple[Comer, ...], tuple[str, ...]]:
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
