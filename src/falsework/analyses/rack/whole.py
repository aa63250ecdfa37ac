"""What stands in each rack, what does it weigh, and could it tip?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from falsework import units
from falsework.analyses.rack.figures import FIGURES, End, Said
from falsework.analyses.rack.result import (
    Leaning,
    Lift,
    Loose,
    Mounted,
    Pulled,
    Racks,
    RackSheet,
    Rolling,
    TakenOut,
    Way,
)
from falsework.analyses.rack.sinking import sinks
from falsework.analyses.rack.standing import MOUNTABLE, Stood, free, stood
from falsework.engines.mechanics import (
    LOAD_KG,
    TILT_DEG,
    UNIT_M,
    Body,
    Forced,
    caster_kg,
    centre,
    distance,
    horizontal,
    index,
    lean_deg,
    limit,
    pressed,
    pushed,
    tip_deg,
    vertical,
)
from falsework.model.lab import Lab
from falsework.model.parts import Part, Rack, Room, ThingId
from falsework.support.power import Draws
from falsework.support.taken import Taken
from falsework.units import Dimension

HANDS_CM = 40.0
"""Assumed: how far in front of the ankles a machine is held while it goes onto its rails."""
TROLLEY_CM = 75.0
"""Assumed: the height of the trolley that it is lifted from, at which the vertical multiplier is best."""
GRIP = 0.95
"""The coupling multiplier of a fair grip below 75 cm. Source: NIOSH 94-110 (1994), from memory."""
SPARE_DEG = TILT_DEG
"""Assumed: what a rack should have to spare on its way, so that it would pass the test of tilt even there. Where nobody
asks about a way it should pass at twice the angle of the test.
"""
MOST_OUT = 6


def racks(lab: Lab, way: Way | None = None) -> Racks:
    """Every rack of a lab, with what was taken where the owner gave no figure.

    What has no place yet is given one, so that the weight lies as low as can be; nothing that has one is moved.

    Args:
        lab: the lab.
        way: where the racks are to be rolled; the tilt of the test where nobody asks.
    """
    draws = Draws(lab)
    said = Said(lab)
    return Racks(
        racks=tuple(_sheet(lab, rack, said, draws, way) for rack in lab.of(Rack)), loose=tuple(_loose(lab))
    )


def _sheet(lab: Lab, rack: Rack, said: Said, draws: Draws, way: Way | None) -> RackSheet:
    said = said.anew()
    found = stood(said, rack, draws)
    whole = _whole(found)
    sideways, forwards = _tilts(found, whole)
    leans = _leans(found, way)
    machines = [each for each in found.mounted if not each.upright and each.word != "strip"]
    return RackSheet(
        rack=rack.id,
        room=_room(lab, rack),
        units=found.units,
        free=free(found.units, found.mounted),
        mounted=found.mounted,
        left_over=found.left_over,
        lowest=found.lowest,
        width_m=found.width_m,
        depth_m=found.depth_m,
        top_m=found.top_m,
        foot_m=found.foot_m,
        empty=found.empty,
        whole=whole,
        bears_kg=rack.bears,
        rolling=Rolling(
            casters=rack.casters,
            each_kg=caster_kg(whole.mass_kg, rack.casters),
            bears_kg=rack.caster_bears,
        )
        if rack.casters is not None and rack.casters >= 3
        else None,
        sinks=sinks(found.mounted, whole.mass_kg),
        sideways_deg=sideways,
        forwards_deg=forwards,
        pushed=_pushed(found, whole),
        leaning=Leaning(
            way=way, sideways_deg=leans[0], forwards_deg=leans[1], spare_deg=_spare(found, (), leans)
        ),
        pulled=tuple(sorted((_pulled(found, each) for each in machines), key=lambda each: each.tip_deg)),
        taken_out=tuple(_taken_out(found, machines, leans)),
        lifts=tuple(sorted((_lift(found, each) for each in machines), key=lambda each: -each.together)),
        taken=tuple(_taken(lab, rack, said, found, draws)),
        where=rack.where,
    )


def _whole(found: Stood, *, without: Sequence[str] = (), out: str = "") -> Body:
    """The rack and what is in it as one body, but for some things, and with one pulled out as far as it is deep.

    Where what is pulled out is mounted from behind, the whole is seen from there: what is forward lies to the back.
    """
    sign = -1.0 if any(each.back for each in found.mounted if each.thing == out) else 1.0
    bodies = [Body(found.empty.mass_kg, found.empty.height_m, sign * found.empty.forward_m)]
    for each in found.mounted:
        if each.thing not in without:
            shift = each.depth_m if each.thing == out else 0.0
            forward = sign * each.place.forward_m + shift
            bodies.append(Body(each.place.mass_kg, each.place.height_m, forward))
    return centre(bodies)


def _tilts(found: Stood, whole: Body) -> tuple[float, float]:
    """The tilts at which it tips: sideways, and the less of those over its front and over its back."""
    turned = Body(whole.mass_kg, whole.height_m, -whole.forward_m)
    sideways = tip_deg(found.width_m / 2, Body(whole.mass_kg, whole.height_m))
    return sideways, min(tip_deg(found.depth_m / 2, whole), tip_deg(found.depth_m / 2, turned))


def _pushed(found: Stood, whole: Body) -> Forced:
    """The push over the edge that holds least."""
    sideways = pushed(found.width_m / 2, Body(whole.mass_kg, whole.height_m), top_m=found.top_m)
    over = [
        pushed(
            found.depth_m / 2, Body(whole.mass_kg, whole.height_m, sign * whole.forward_m), top_m=found.top_m
        )
        for sign in (1, -1)
    ]
    return min((sideways, *over), key=lambda each: each.holds_nm)


def _pulled(found: Stood, each: Mounted) -> Pulled:
    whole = _whole(found, out=each.thing)
    # Its face was flush with the side of the rack that it is mounted from, so its end is as far out as it is deep.
    return Pulled(
        thing=each.thing,
        tip_deg=tip_deg(found.depth_m / 2, whole),
        pressed=pressed(found.depth_m / 2, whole, beyond_m=each.depth_m),
    )


def _least(found: Stood, without: Sequence[str]) -> float:
    """The less of the tilts at which it tips, without some things."""
    return min(_tilts(found, _whole(found, without=without)))


def _leans(found: Stood, way: Way | None) -> tuple[float, float]:
    """How far it leans on its way, sideways and along its depth."""
    if way is None:
        return TILT_DEG, TILT_DEG
    sideways, forwards = (lean_deg(way.ramp_deg, way.sill_m, base) for base in (found.width_m, found.depth_m))
    return sideways, forwards


def _spare(found: Stood, without: Sequence[str], leans: tuple[float, float]) -> float:
    """How much further it could lean on its way, the less of both directions."""
    tilts = _tilts(found, _whole(found, without=without))
    return min(tilt - lean for tilt, lean in zip(tilts, leans, strict=True))


def _taken_out(found: Stood, machines: Sequence[Mounted], leans: tuple[float, float]) -> Iterator[TakenOut]:
    """One after another the machine that helps most, until enough is to spare or nothing helps any more."""
    without: list[str] = []
    now = _spare(found, without, leans)
    while now < SPARE_DEG and len(without) < MOST_OUT:
        left = [each.thing for each in machines if each.thing not in without]
        spare = {name: _spare(found, [*without, name], leans) for name in left}
        best = max(left, key=lambda name: spare[name], default=None)
        if best is None or spare[best] <= now:
            return
        without.append(best)
        now = spare[best]
        yield TakenOut(thing=best, tip_deg=_least(found, without), spare_deg=now)


def _lift(found: Stood, each: Mounted) -> Lift:
    """From a trolley to its place: what one may lift so, by the revised equation of NIOSH (1994).

    Few lifts, nobody twists: the multipliers of frequency and of turning are 1. The equation is for one person; for
    two it is a hint.
    """
    hands = each.place.height_m - each.height * UNIT_M / 2
    allowed = limit(
        LOAD_KG,
        horizontal(HANDS_CM),
        vertical(hands * 100),
        distance(abs(hands * 100 - TROLLEY_CM)),
        GRIP,
    )
    return Lift(
        thing=each.thing,
        mass_kg=each.mass_kg,
        hands_m=hands,
        limit_kg=allowed,
        alone=index(each.mass_kg, allowed),
        together=index(each.mass_kg / 2, allowed),
    )


def _room(lab: Lab, part: Part) -> str:
    return part.in_.ids[0] if part.in_ is not None and part.in_.ids else ""


def _loose(lab: Lab) -> Iterator[Loose]:
    """What stands in a room by itself."""
    for part in lab.of(Part):
        holder = lab.things.get(ThingId(_room(lab, part))) if _room(lab, part) else None
        if isinstance(part, MOUNTABLE) and isinstance(holder, Room):
            yield Loose(thing=part.id, word=part.IS, room=holder.id, mass_kg=part.weighs)


def _taken(lab: Lab, rack: Rack, said: Said, found: Stood, draws: Draws) -> Iterator[Taken]:
    """Each figure that was taken, with the tilt at which the rack tips at either end of what is usual."""
    ends: tuple[End, End] = ("low", "high")
    places = {each.thing: each.at for each in found.mounted if each.proposed}
    for (word, key), things in said.missing.items():
        figure = FIGURES[word, key]
        low, high = (_tilt(stood(said.moving((word, key), end), rack, draws, places)) for end in ends)
        yield figure.taken(
            tuple(things),
            of=f"the tilt at which {rack.id} tips",
            low=low,
            high=high,
            where=lab.things[ThingId(next(iter(things)))].where,
        )
    if rack.centre is None:
        yield Taken(
            key="centre",
            things=(rack.id,),
            value=units.format(found.empty.height_m, Dimension.LENGTH),
            source="reckoned: the middle between floor and top",
            where=rack.where,
        )


def _tilt(found: Stood) -> str:
    return f"{_least(found, ()):.1f}°"
