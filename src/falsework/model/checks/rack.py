"""Do racks and what is in them contradict themselves: units they lack or that a room has not, places taken twice, weights below nothing?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.model.checks.bounds import Bound, bounded
from falsework.model.entries import Tell
from falsework.model.lab import Lab
from falsework.model.parts import Node, Part, Rack, Room, Thing, ThingId
from falsework.units import Dimension

_BOUNDS = {
    "height": Bound(
        says="a height of {} is none",
        dimension=Dimension.RACK,
        mend="give the rack units that it takes, such as 1 U",
    ),
    "depth": Bound(
        says="a depth of {} is none", dimension=Dimension.LENGTH, mend="give how deep it is, such as 700 mm"
    ),
    "width": Bound(
        says="a width of {} is none",
        dimension=Dimension.LENGTH,
        mend="give how wide its base is, such as 600 mm",
    ),
    "bears": Bound(
        says="what it bears of {} is none",
        dimension=Dimension.MASS,
        mend="give what may be in it, such as 400 kg",
    ),
    "caster_bears": Bound(
        says="what a caster bears of {} is none",
        dimension=Dimension.MASS,
        mend="give what one may carry, such as 120 kg",
    ),
    "weighs": Bound(
        says="a weight of {} is none",
        dimension=Dimension.MASS,
        mend="give what it weighs, or leave `weighs` out",
    ),
}


def rack(lab: Lab, firm: Sequence[Thing], tell: Tell) -> None:
    """Note what contradicts itself in racks.

    Args:
        lab: the lab.
        firm: its things in which no fault was met.
        tell: notes faults.
    """
    mounted: dict[ThingId, list[Part]] = {}
    for thing in firm:
        if not isinstance(thing, Part):
            continue
        bounded(thing, _BOUNDS, tell)
        if isinstance(thing, Rack) and thing.casters is not None and 0 < thing.casters < 3:
            what = f"{thing.id} would roll on {thing.casters} caster{'s' if thing.casters > 1 else ''}"
            tell.fault(thing, "casters", what, "give 3 or more, or 0 where it stands on feet")
        holder = (
            lab.things.get(ThingId(thing.in_.ids[0])) if thing.in_ is not None and thing.in_.ids else None
        )
        if isinstance(holder, Rack) and thing.at is not None:
            mounted.setdefault(holder.id, []).append(thing)
        elif isinstance(holder, Room) and thing.at is not None:
            what = f"{thing.id} is at {thing.at:g} U, and {holder.id} is a room"
            tell.fault(thing, "at", what, "say `in` which rack it is, or leave `at` out")
    for name, parts in mounted.items():
        holder = lab.things[name]
        if isinstance(holder, Rack):
            _fits(holder, parts, tell)
            _apart(holder, parts, tell)


def _fits(holder: Rack, parts: Sequence[Part], tell: Tell) -> None:
    """No lower than the first unit, no higher than the last."""
    for part in parts:
        low, high = _edges(part)
        if low < 0:
            what = f"{part.id} is at {part.at:g} U, and the lowest unit of {holder.id} is 1"
            tell.fault(part, "at", what, "count units from 1, from the bottom")
        elif holder.units is not None and high > holder.units:
            top = f"{high:g} U" if part.height is not None else f"{part.at:g} U"
            what = f"{part.id} reaches to {top}, and {holder.id} has {holder.units}"
            tell.fault(part, "at", what, "put it lower, or correct `units` of the rack")


def _apart(holder: Rack, parts: Sequence[Part], tell: Tell) -> None:
    """Nothing where something else is: from the same side, or from both where together they are too deep."""
    above = sorted(parts, key=lambda each: (_edges(each)[0], _edges(each)[1]))
    told: set[str] = set()
    for position, part in enumerate(above):
        for other in above[position + 1 :]:
            if _edges(other)[0] >= _edges(part)[1]:
                break
            if _meet(holder, part, other) and other.id not in told:
                told.add(other.id)
                what = f"{other.id} is where {part.id} is: both take unit {_edges(other)[0] + 1:g} of {holder.id}"
                mend = f"give one of them another place; {part.id} is at {part.place('at')}"
                tell.fault(other, "at", what, mend)


def _meet(holder: Rack, one: Part, other: Part) -> bool:
    """Whether two in the same units are in each other's way; small nodes may stand beside each other on a shelf."""
    if isinstance(one, Node) and isinstance(other, Node) and _edges(one) == _edges(other):
        return False
    if one.faces == other.faces:
        return True
    deep = (one.depth, other.depth, holder.depth)
    return None not in deep and (one.depth or 0.0) + (other.depth or 0.0) > (holder.depth or 0.0)


def _edges(part: Part) -> tuple[float, float]:
    """Lower and upper edge in units above the lowest; one unit where nobody says how high it is."""
    low = (part.at if part.at is not None else 1.0) - 1
    return low, low + (part.height or 1.0)
