"""Do voltages, ratings, draws and batteries contradict themselves or each other?"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from falsework import units
from falsework.engines.electrical import same_system, takes
from falsework.model.checks.bounds import DEEPEST, Bound, bounded
from falsework.model.entries import Tell
from falsework.model.lab import Lab
from falsework.model.parts import Circuit, Powered, Room, Strip, Thing, ThingId, Ups
from falsework.units import Dimension

MOST_W = 1e9
"""More than any machine draws."""
STEPS = (2.0, math.sqrt(3))
"""A circuit is fed at twice its voltage where it is one half of the winding, and at the root of three times it where
it is one of three phases."""

_BOUNDS = {
    "breaker": Bound(
        says="a breaker of {} can't be",
        dimension=Dimension.CURRENT,
        least=0.01,
        most=1e5,
        mend="give what it is rated for, such as 16 A",
    ),
    "volts": Bound(
        says="a circuit of {} can't be",
        dimension=Dimension.VOLTAGE,
        least=1.0,
        most=1e6,
        mend="give its voltage, such as 230 V",
    ),
    "battery": Bound(
        says="a battery of {} can't be",
        dimension=Dimension.ENERGY,
        least=0.1,
        most=1e9,
        mend="give what its label says, such as 432 Wh, or leave `battery` out",
    ),
    "carries": Bound(
        says="a limit of {} can't be",
        dimension=Dimension.POWER,
        least=0.1,
        most=1e9,
        mend="give what its label says, such as 900 W",
    ),
    "volt_amperes": Bound(
        says="a limit of {} can't be",
        dimension=Dimension.APPARENT,
        least=0.1,
        most=1e9,
        mend="give what its label says, such as 1500 VA",
    ),
    "rated_over": Bound(
        says="a discharge of {} can't be",
        dimension=Dimension.TIME,
        least=1.0,
        most=1e7,
        mend="give the time for which its energy is told, such as 20 h",
    ),
    "exponent": Bound(
        says="an exponent of {} can't be",
        dimension=Dimension.NUMBER,
        least=1.0,
        most=3.0,
        mend="give 1 for no loss, or more, such as 1.2",
    ),
    "bears_surge": Bound(
        says="a multiple of {} can't be",
        dimension=Dimension.NUMBER,
        least=1.0,
        most=1e3,
        mend="give 1 or more, such as 5",
    ),
    "power_factor": Bound(
        says="a power factor of {} can't be",
        dimension=Dimension.NUMBER,
        least=0.05,
        most=1.0,
        mend="give what its label says, such as 0.95, and at most 1",
    ),
    "usually_draws": Bound(
        says="an ordinary day of {} can't be",
        dimension=Dimension.POWER,
        least=0.0,
        most=1e9,
        mend="give what it draws at its plugs, such as 30 W",
    ),
    "surge": Bound(
        says="a surge of {} can't be",
        dimension=Dimension.CURRENT,
        least=0.0,
        most=1e6,
        mend="give what its label says, such as 30 A",
    ),
    "cools": Bound(
        says="cooling of {} can't be",
        dimension=Dimension.POWER,
        least=0.0,
        most=1e9,
        mend="give what it can carry away, such as 1.5 kW",
    ),
    "air_rises": Bound(
        says="air that warms up of {} can't be",
        dimension=Dimension.TEMPERATURE,
        least=0.1,
        most=100.0,
        mend="give by how much it may, such as 11 °C",
    ),
    **{
        attribute: Bound(
            says=f"{what} can't be {{}}",
            dimension=Dimension.SHARE,
            least=0.01,
            most=1.0,
            mend=f"give at least 1 and at most 100 %, such as {example}",
        )
        for attribute, what, example in (
            ("for_hours", "the share of a breaker", "80 %"),
            ("left", "what is left of a battery", "75 %"),
            ("usable", "how far a battery may be drained", "80 %"),
            ("inverter", "what arrives behind an inverter", "90 %"),
            ("efficiency", "how much of what a supply takes it gives", "90 %"),
        )
    },
}


def power(lab: Lab, firm: Sequence[Thing], tell: Tell) -> None:
    """Note what contradicts itself in voltages, ratings, draws and batteries.

    Args:
        lab: the lab.
        firm: its things in which no fault was met.
        tell: notes faults. What is wrong in a kind is told once, at the kind.
    """
    sound = {thing.id for thing in firm}
    told: set[tuple[object, ...]] = set()
    for thing in firm:
        if isinstance(thing, Powered | Room):
            bounded(thing, _BOUNDS, tell)
        if isinstance(thing, Ups):
            _battery(thing, tell)
        if isinstance(thing, Powered):
            _draws(thing, tell)
            _ratings(thing, tell)
            _fed(lab, thing, sound, told, tell)


def _battery(ups: Ups, tell: Tell) -> None:
    if ups.carries is not None and ups.volt_amperes is not None and ups.carries > ups.volt_amperes > 0:
        w, va = units.format(ups.carries, Dimension.POWER), units.format(ups.volt_amperes, Dimension.APPARENT)
        what = f"it carries {w}, it says, and only {va}"
        tell.fault(ups, "carries", what, "watts are never more than volt-amperes: swap or correct the two")


def _draws(thing: Powered, tell: Tell) -> None:
    """An ordinary day lies between idle and busy."""
    usual, draws = thing.usually_draws, thing.draws
    if draws is not None and draws.high > MOST_W:
        what = f"no machine draws {units.format(draws.high, Dimension.POWER)}"
        tell.fault(thing, "draws", what, "give what it draws at its plugs, such as 18..65 W")
    if usual is not None and draws is not None and not draws.low <= usual <= draws.high:
        what = (
            f"it usually draws {units.format(usual, Dimension.POWER)}, and "
            f"{units.format_range(draws, Dimension.POWER)} from idle to busy"
        )
        tell.fault(
            thing, "usually_draws", what, "correct one of the two: an ordinary day lies between idle and busy"
        )


def _ratings(thing: Powered, tell: Tell) -> None:
    """What a supply takes, and at which voltages it says what it gives."""
    for rating in thing.supply_gives:
        if not 0.1 <= rating.watts <= MOST_W or not 1 <= (rating.volts or 1.0) <= 1e6:
            what = "a supply that gives so much, or at such a voltage, is none"
            tell.fault(thing, "supply_gives", what, "give what its label says, such as 750 W")
            return
    accepts = thing.accepts
    if accepts is None:
        return
    if accepts.low <= 0:
        tell.fault(
            thing,
            "accepts",
            "a supply takes 0 V, it says",
            "give the voltages on its label, such as 100..240 V",
        )
        return
    for rating in thing.supply_gives:
        if rating.volts is not None and not takes(rating.volts, accepts.low, accepts.high):
            what = (
                f"it says what a supply gives at {units.format(rating.volts, Dimension.VOLTAGE)}, and takes only "
                f"{units.format_range(accepts, Dimension.VOLTAGE)}"
            )
            tell.fault(thing, "supply_gives", what, "correct `accepts`, or leave that rating out")


def _fed(lab: Lab, thing: Powered, sound: set[ThingId], told: set[tuple[object, ...]], tell: Tell) -> None:
    """A voltage that is written on the way up must be one that it takes, or can be made of it."""
    for source in dict.fromkeys(thing.fed_by.ids if thing.fed_by is not None else ()):
        at = _written(lab.things, source)
        if at is None or at.volts is None or at.volts <= 0 or at.id not in sound:
            continue
        if (
            thing.accepts is not None
            and thing.accepts.low > 0
            and not takes(at.volts, thing.accepts.low, thing.accepts.high)
        ):
            place = (thing.place("accepts"), at.id)
            if place not in told:
                told.add(place)
                what = (
                    f"{thing.id} takes {units.format_range(thing.accepts, Dimension.VOLTAGE)}, and {source} gives it "
                    f"{units.format(at.volts, Dimension.VOLTAGE)} (`volts` of {at.id} at {at.place('volts')})"
                )
                mend = f"feed it from another circuit, or correct `accepts` here or `volts` of {at.id}"
                tell.fault(thing, "accepts", what, mend)
        if isinstance(thing, Circuit) and thing.volts and "volts" in thing.places:
            _stepped(thing, thing.volts, at, at.volts, tell)


def _stepped(thing: Circuit, volts: float, source: Circuit, at: float, tell: Tell) -> None:
    """A circuit behind a circuit has its voltage, or half of it, or that of one of three phases."""
    if any(same_system(volts * step, at) for step in (1.0, *STEPS)):
        return
    what = (
        f"{thing.id} has {units.format(volts, Dimension.VOLTAGE)}, and is fed by {source.id}, which has "
        f"{units.format(at, Dimension.VOLTAGE)}"
    )
    mend = "correct one of the two; where a transformer stands between them, let it be fed by what feeds the other"
    tell.fault(thing, "volts", what, mend)


def _written(things: Mapping[ThingId, Thing], source: str) -> Circuit | None:
    """The nearest circuit on the way up whose voltage was written."""
    at = things.get(ThingId(source))
    for _ in range(DEEPEST):  # a circle is told elsewhere
        if isinstance(at, Circuit) and "volts" in at.places:
            return at
        if not isinstance(at, Circuit | Strip | Ups) or at.fed_by is None or not at.fed_by.ids:
            return None
        at = things.get(ThingId(at.fed_by.ids[0]))
    return None
