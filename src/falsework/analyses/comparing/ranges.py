"""Between which times does a foretold time lie, given how sure its figures are?

The verdict stays what it is; holds and returns are taken at the ends of what is believed of them: of a figure that the
owner wrote nine in ten times lie within a factor of about 1.6, of one that was assumed within about 4.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

from falsework.engines.reliability.timing import Belief, believed
from falsework.model.lab import Lab
from falsework.model.parts import Powered, ThingId, Ups
from falsework.model.services import Copy, Pool, Service
from falsework.model.timing import ASSUMED, WRITTEN, belief_of
from falsework.support.graph import Lean, Role, Support, SupportGraph
from falsework.support.standing import Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Ends:
    """A lab at the ends of what is believed of its times.

    Attributes:
        sooner: holds at their shortest, returns at their longest: falls come soonest and last longest.
        later: the other way round.
    """

    sooner: Standing
    later: Standing


def ends(standing: Standing) -> Ends:
    """A lab with its times at either end.

    Cost:
        Two compilations of its clocks; its gates are shared.
    """
    return Ends(
        sooner=standing.retimed(_scaled(standing, hold_at=0, return_at=1)),
        later=standing.retimed(_scaled(standing, hold_at=1, return_at=0)),
    )


def _scaled(standing: Standing, *, hold_at: int, return_at: int) -> SupportGraph:
    lab = standing.lab
    things = {}
    for name, thing in standing.support.things.items():
        leans = tuple(
            dataclasses.replace(lean, hold_s=_hold(lab, name, lean)[hold_at]) if lean.hold_s else lean
            for lean in thing.leans
        )
        returns_s = _returns(lab, thing)[return_at] if thing.returns_s else thing.returns_s
        wakes_s = _wakes(lab, thing)[return_at] if thing.wakes_s else 0.0
        if (leans, returns_s, wakes_s) != (thing.leans, thing.returns_s, thing.wakes_s):
            thing = dataclasses.replace(thing, leans=leans, returns_s=returns_s, wakes_s=wakes_s)
        things[name] = thing
    return dataclasses.replace(standing.support, things=things)


def _hold(lab: Lab, name: str, lean: Lean) -> tuple[float, float]:
    """A hold is written by the owner; a battery's runtime is worked out from what is, or assumed."""
    of = lab.things.get(ThingId(name))
    guessed = lean.role is Role.POWER and isinstance(of, Ups) and not of.runs and of.battery is None
    return believed(lean.hold_s, ASSUMED if guessed else WRITTEN).next


def _wakes(lab: Lab, thing: Support) -> tuple[float, float]:
    """From power to ready: as sure as the figure that says so."""
    of = lab.things.get(ThingId(thing.id))
    belief = belief_of(of, "wakes_in") if isinstance(of, Powered) else None
    written = of is not None and "wakes_in" in of.places
    return believed(
        thing.wakes_s, belief.weight if belief is not None else WRITTEN if written else ASSUMED
    ).next


def _returns(lab: Lab, thing: Support) -> tuple[float, float]:
    """What it takes for a copy to restart, or for a service to take over: the sum of its figures' ends."""
    beliefs: list[Belief | None] = []
    of = lab.things.get(ThingId(thing.id))
    if isinstance(of, Copy):
        service, pool = lab.things.get(ThingId(of.service)), lab.things.get(ThingId(of.pool))
        if isinstance(service, Service):
            beliefs.append(belief_of(service, "restarts_in"))
        if isinstance(pool, Pool):
            beliefs.append(belief_of(pool, "restarts_in"))
    elif isinstance(of, Service):
        beliefs.append(belief_of(of, "takes_over" if of.takes_over is not None else "floats"))
    known = [each.next for each in beliefs if each is not None]
    if not known:
        seconds = thing.returns_s or 0.0
        return seconds, seconds
    return sum(low for low, _ in known), sum(high for _, high in known)
