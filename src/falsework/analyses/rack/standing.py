"""What stands where in one rack, and where would that lie lowest which has no place yet?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from falsework.analyses.rack.figures import Said
from falsework.analyses.rack.result import Mounted
from falsework.engines.mechanics import UNIT_M, Body
from falsework.engines.stacking import Stacked, stacked
from falsework.model.parts import Circuit, Enclosure, Node, Part, Rack, Strip, Switch, ThingId, Ups
from falsework.support.power import Draws

MOUNTABLE = (Enclosure, Node, Switch, Ups, Strip)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stood:
    """A rack with all that is in it.

    Attributes:
        units: it has.
        width_m, depth_m, foot_m, top_m: of its outside.
        empty: the rack alone.
        mounted: from the bottom.
        left_over: what finds no room.
        lowest: whether no other way lies lower.
    """

    units: float
    width_m: float
    depth_m: float
    foot_m: float
    top_m: float
    empty: Body
    mounted: tuple[Mounted, ...]
    left_over: tuple[str, ...]
    lowest: bool


def in_rack(said: Said, rack: Rack) -> tuple[Part, ...]:
    """What is mounted in a rack, in lab order; a circuit only where it says that it takes place or weighs something."""
    return tuple(part for part in said.inside(rack.id) if isinstance(part, MOUNTABLE) or _boxed(part))


def _boxed(part: Part) -> bool:
    """Whether a circuit is a box in the rack, and not only the cord that ends there."""
    return isinstance(part, Circuit) and (part.at, part.height, part.weighs) != (None, None, None)


def stood(said: Said, rack: Rack, draws: Draws, places: Mapping[str, float] | None = None) -> Stood:
    """A rack with everything in its place, or in the place proposed for it.

    Args:
        said: what the owner says and what is taken for it.
        rack: the rack.
        draws: busy draws of machines.
        places: the lowest unit of each that has no place, if they were given one before.
    """
    foot = said.of(rack, "foot")
    parts = in_rack(said, rack)
    units = _units(said, rack, parts)
    width, depth = said.of(rack, "width"), said.of(rack, "depth")
    top = foot + units * UNIT_M
    placed: dict[ThingId, tuple[float, float]] = {}
    upright = [part for part in parts if isinstance(part, Strip) and part.at is None and part.height is None]
    waiting = [part for part in parts if part.at is None and part not in upright]
    for part in parts:
        if part.at is not None:
            placed[part.id] = (part.at - 1, part.at - 1 + said.of(part, "height"))
    blocks = [(said.of(part, "height"), said.mass(part)) for part in waiting]
    if places is None:
        put = stacked(units, tuple(placed.values()), blocks)
    else:
        again = [places[part.id] - 1 if part.id in places else None for part in waiting]
        put = Stacked(at=tuple(again), least=False)
    for part, low, (tall, _) in zip(waiting, put.at, blocks, strict=True):
        if low is not None:
            placed[part.id] = (low, low + tall)
    mounted = [_mounted(said, part, placed.get(part.id), foot, top, depth, draws) for part in parts]
    return Stood(
        units=units,
        width_m=width,
        depth_m=depth,
        foot_m=foot,
        top_m=top,
        empty=Body(said.of(rack, "weighs"), said.centre(rack, top)),
        mounted=tuple(
            sorted((each for each in mounted if each is not None), key=lambda each: (each.at, each.back))
        ),
        left_over=tuple(part.id for part, low in zip(waiting, put.at, strict=True) if low is None),
        lowest=put.least,
    )


def _units(said: Said, rack: Rack, parts: Sequence[Part]) -> float:
    """How many units it has; where nobody says, what is usual, or as many as what has a place shows it to have."""
    units = said.of(rack, "units")
    if rack.units is not None:
        return units
    return max([units, *(part.at - 1 + said.of(part, "height") for part in parts if part.at is not None)])


def _mounted(
    said: Said,
    part: Part,
    units: tuple[float, float] | None,
    foot_m: float,
    top_m: float,
    rack_m: float,
    draws: Draws,
) -> Mounted | None:
    """A part in its place; None where it has none. What stands upright hangs at the back, half-way up."""
    back = part.faces == "back"
    depth = said.of(part, "depth")
    upright = units is None and isinstance(part, Strip) and part.at is None and part.height is None
    if units is None and not upright:
        return None
    low, high = units or (0.0, 0.0)
    forward = (rack_m - depth) / 2
    middle = (foot_m + top_m) / 2 if upright else foot_m + (low + high) / 2 * UNIT_M
    mass = said.mass(part)
    return Mounted(
        thing=part.id,
        word=part.IS,
        at=0.0 if upright else low + 1,
        height=high - low,
        back=back or upright,
        depth_m=depth,
        mass_kg=mass,
        busy_w=draws.consumers.get(part.id),
        noise_db=part.noise,
        proposed=part.at is None and not upright,
        place=Body(mass, middle, -forward if back or upright else forward),
        where=part.place("at"),
    )


def free(units: float, mounted: Sequence[Mounted]) -> tuple[tuple[float, float], ...]:
    """Stretches that nothing takes from either side: first and last unit, from the bottom."""
    found, at = [], 0.0
    for low, high in sorted((each.at - 1, each.at - 1 + each.height) for each in mounted if not each.upright):
        if low - at >= 1:
            found.append((at + 1, low))
        at = max(at, high)
    if units - at >= 1:
        found.append((at + 1, units))
    return tuple(found)
