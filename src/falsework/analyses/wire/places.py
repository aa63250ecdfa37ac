"""Where does a machine stand, and how long must a cable be between two?"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from falsework.engines.mechanics import UNIT_M
from falsework.model.lab import Lab
from falsework.model.parts import Part, Rack, Room, Thing, ThingId

RACK_WIDTH_M = 0.6
"""Taken where nobody says how wide a rack is: the common outer width."""
RACK_UNITS = 42
"""Taken where nobody says how many units a rack has: the common full height."""
SLACK_M = 0.5
"""At both ends together, to pull a machine out and to dress the cable: common practice."""
ACROSS_M = 5.0
"""Taken between two places in one room that are not in one rack: assumed; nobody says where they stand."""
ACROSS_USUAL_M = (3.0, 10.0)
"""The ends of what is usual for that: assumed."""
STOCK_M = (0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 5.0, 7.0, 10.0, 15.0, 20.0, 30.0)
"""Lengths that ready-made cables are sold in: common practice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Room and rack of a thing, empty where nobody says, and its lowest unit there."""

    room: str = ""
    rack: str = ""
    unit: float | None = None


def place_of(things: Mapping[ThingId, Thing], name: str) -> Place:
    """Where a machine stands: it may be in a box that is in a rack that is in a room."""
    rack = room = ""
    unit: float | None = None
    at = things.get(ThingId(name))
    while isinstance(at, Part):
        if isinstance(at, Rack):
            rack = rack or at.id
        elif isinstance(at, Room):
            room = room or at.id
        elif unit is None and not rack:
            unit = at.at
        at = things.get(ThingId(at.in_.ids[0])) if at.in_ is not None and at.in_.ids else None
    return Place(room=room, rack=rack, unit=unit if rack else None)


def proposed_m(lab: Lab, one: Place, other: Place, *, across_m: float = ACROSS_M) -> float | None:
    """A length for a cable between two places, metres, in a length that is sold; None where nobody could say.

    In one rack: along its height from unit to unit (all of its height where one is not known), once across, and
    slack. In one room: from both racks' units to the floor and back up, a walk between, and slack. From room to room
    somebody must measure.
    """
    if one.rack and one.rack == other.rack:
        high, wide = _size(lab, one.rack)
        along = (
            abs(one.unit - other.unit) * UNIT_M if one.unit is not None and other.unit is not None else high
        )
        return stock_m(along + wide + SLACK_M)
    if one.room and one.room == other.room:
        return stock_m(_down_m(lab, one) + across_m + _down_m(lab, other) + SLACK_M)
    return None


def stock_m(least: float) -> float:
    """The shortest length that is sold and not shorter, metres; beyond the longest, whole tens of metres."""
    # A length that only rounding makes longer than one that is sold is that one.
    found = next((each for each in STOCK_M if least <= each + 1e-9), None)
    return found if found is not None else math.ceil(least / 10 - 1e-9) * 10.0


def _size(lab: Lab, name: str) -> tuple[float, float]:
    rack = lab.things[ThingId(name)]
    assert isinstance(rack, Rack)
    return (rack.units or RACK_UNITS) * UNIT_M, rack.width or RACK_WIDTH_M


def _down_m(lab: Lab, place: Place) -> float:
    """From where it is in its rack to the floor; nothing where it is in none."""
    if not place.rack:
        return 0.0
    high, _ = _size(lab, place.rack)
    return place.unit * UNIT_M if place.unit is not None else high
