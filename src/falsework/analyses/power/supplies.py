"""Does each machine run on as few of its supplies as it says are enough?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from falsework.analyses.power.result import Cord, Give, Supplied
from falsework.engines.electrical import COUPLER_A, LEVELS, Curve, amperes, efficiency_at, output_w, rating_at
from falsework.model.parts import Powered, ThingId
from falsework.support.power import Draw, Draws
from falsework.support.standing import Standing

EFFICIENCY = 0.90
"""Taken where nobody says it."""
LOW_EFFICIENCY, HIGH_EFFICIENCY = 0.80, 0.94
"""The lowest and the highest of the published levels, at half load and more."""


def supplied(
    standing: Standing, draws: Mapping[Draw, Draws], volts: Mapping[str, float | None]
) -> tuple[Supplied, ...]:
    """The supplies of each machine that says what one of them gives, in lab order.

    A machine of which nobody says what it draws is left out.
    """
    busy = draws[Draw.BUSY]
    return tuple(
        _machine(thing, draws, volts)
        for name, watts in busy.consumers.items()
        if watts > 0
        and isinstance(thing := standing.lab.things[ThingId(name)], Powered)
        and thing.supply_gives
    )


def cords(draws: Draws, volts: Mapping[str, float | None], va: Mapping[str, float]) -> tuple[Cord, ...]:
    """Cords that would take more than the common coupler is rated for, in lab order.

    Args:
        draws: of all machines when busy.
        volts: by source.
        va: what each machine takes when busy, volt-amperes.
    """
    found = []
    for machine, supplies in draws.supplies.items():
        enough = draws.enough(machine)
        for source in dict.fromkeys(supply.source for supply in supplies):
            at = volts.get(source)
            if at and (taken := amperes(va.get(machine, 0.0) / enough, at)) > COUPLER_A["C13"]:
                found.append(Cord(machine=machine, source=source, amperes=taken, volts=at))
    return tuple(found)


def curve_of(thing: Powered, *, unsaid: float = EFFICIENCY) -> Curve:
    """The efficiency of a machine's supplies by load."""
    if isinstance(thing.efficiency, str):
        return LEVELS[thing.efficiency]
    return ((0.0, thing.efficiency if thing.efficiency is not None else unsaid),)


def gives(thing: Powered, busy: Draws, volts: Mapping[str, float | None], curve: Curve) -> Iterator[Give]:
    """What each of a machine's supplies gives, those alike together.

    Args:
        thing: the machine.
        busy: draws of all machines when busy.
        volts: by source.
        curve: of their efficiency.
    """
    supplies, draw = busy.supplies[thing.id], busy.consumers[thing.id]
    enough = busy.enough(thing.id)
    ratings = [(each.volts, each.watts) for each in thing.supply_gives]
    alike: dict[str, list[str]] = {}
    for supply in supplies:
        alike.setdefault(supply.source, []).append(supply.id)
    for source, names in alike.items():
        at = volts.get(source)
        rated = rating_at(ratings, at)
        built = rated or max(watts for _, watts in ratings)
        yield Give(
            supplies=tuple(names),
            source=source,
            volts=at,
            gives=rated,
            now=output_w(draw / len(supplies), built, curve),
            alone=output_w(draw / enough, built, curve),
        )


def _machine(thing: Powered, draws: Mapping[Draw, Draws], volts: Mapping[str, float | None]) -> Supplied:
    busy = draws[Draw.BUSY]
    supplies = busy.supplies[thing.id]
    usual = draws[Draw.USUAL].consumers[thing.id]
    curve = curve_of(thing)
    found = tuple(gives(thing, busy, volts, curve))
    built = found[0].gives or max(each.watts for each in thing.supply_gives)
    each_takes = usual / len(supplies)
    output = output_w(each_takes, built, curve)
    return Supplied(
        machine=thing.id,
        enough=busy.enough(thing.id),
        draws=busy.consumers[thing.id],
        gives=found,
        efficiency=efficiency_at(curve, output / built),
        level=thing.efficiency if isinstance(thing.efficiency, str) else "",
        efficiency_said=thing.efficiency is not None,
        loss=usual - output * len(supplies),
        where=thing.where,
    )
