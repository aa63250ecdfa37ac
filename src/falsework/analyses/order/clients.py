"""What does a thing learn where to find when it is brought?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from falsework.model.lab import Lab
from falsework.model.needs import Need
from falsework.model.parts import Thing, ThingId
from falsework.model.people import StandIn
from falsework.model.services import Pool, Service


@dataclass(frozen=True, slots=True, kw_only=True)
class Want:
    """At least `enough` of `of`, whose places the thing has learnt.

    Attributes:
        of: ids.
        enough: how many of them.
        run: needed every moment, not only to start.
        at: the addresses that it was told; empty where it was told none.
    """

    of: tuple[str, ...]
    enough: int
    run: bool
    at: tuple[str, ...] = ()


def wants(lab: Lab, thing: Thing) -> tuple[Want, ...]:
    """What a thing needs to run or to start, and where its state lies."""
    return tuple(_wants(lab, thing))


def _wants(lab: Lab, thing: Thing) -> Iterator[Want]:
    if thing.needs is not None:
        yield from (_want(need, run=True) for need in thing.needs.run_and_start if not need.soft)
        yield from (_want(need, run=True) for need in thing.needs.to_run if not need.soft)
        yield from (_want(need, run=False) for need in thing.needs.to_start if not need.soft)
    if isinstance(thing, Service):
        if thing.state_in is not None:
            yield Want(of=thing.state_in.ids, enough=1, run=True)
        for name in thing.on.ids if thing.on is not None else ():
            pool = lab.things[ThingId(name)]
            if isinstance(pool, Pool) and pool.store is not None:
                yield Want(of=pool.store.ids, enough=1, run=True)


def _want(need: Need, *, run: bool) -> Want:
    return Want(of=need.of.ids, enough=need.enough or 1, run=run, at=need.at)


def follows(lab: Lab, stand_in: StandIn, target: str, want: Want) -> bool:
    """Whether a client finds the real thing by itself once it takes over from the stand-in.

    By a name, a floating address, the same address as before, or because it was told the lasting one at once.
    """
    thing = lab.things[ThingId(target)]
    if not isinstance(thing, Service):
        return False
    own = (*thing.reached_at, *(thing.floats.address if thing.floats else ()))
    told = bool(want.at) and all(address in own for address in want.at) and len(want.of) == 1
    same = stand_in.address != "" and stand_in.address in own
    return thing.named is not None or thing.floats is not None or same or told
