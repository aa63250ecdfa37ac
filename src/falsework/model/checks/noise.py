"""Do rooms, walls and levels of sound contradict themselves?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework import units
from falsework.errors import listed, nearest
from falsework.model.entries import Tell
from falsework.model.lab import Lab
from falsework.model.parts import Part, Room, Thing, ThingId
from falsework.units import DAY_S, Dimension

LOUDEST_DB = 140.0
"""Louder than a machine can be in a room where anybody works: the threshold of pain."""
THICKEST_DB = 90.0
"""More than a wall with a door in it takes off; walls of studios take off 70 to 80 dB."""

NEAR_FAR_M = (0.1, 1000.0)
ABSORBS_M2 = (0.1, 100_000.0)


def noise(lab: Lab, firm: Sequence[Thing], tell: Tell) -> None:
    """Note what contradicts itself in levels, walls and stays.

    Args:
        lab: the lab.
        firm: its things in which no fault was met.
        tell: notes faults.
    """
    for thing in firm:
        if isinstance(thing, Part):
            _level(thing, "noise", thing.noise, tell)
        if isinstance(thing, Room):
            _level(thing, "stands_at", thing.stands_at, tell)
            _lengths(thing, tell)
            _walls(lab, thing, tell)


def _level(thing: Part, attribute: str, level: float | None, tell: Tell) -> None:
    if level is not None and not 0 <= level <= LOUDEST_DB:
        what = f"a level of {units.format(level, Dimension.LEVEL)} can't be"
        tell.fault(thing, attribute, what, f"give 0 to {LOUDEST_DB:.0f} dB, A-weighted, such as 45 dB")


def _lengths(room: Room, tell: Tell) -> None:
    """Distances and areas of something, and stays that a day holds."""
    low, high = NEAR_FAR_M
    if room.heard_from is not None and not low <= room.heard_from <= high:
        what = f"people can't be {units.format(room.heard_from, Dimension.LENGTH)} from a machine in a room"
        tell.fault(room, "heard_from", what, f"give how far off their ears are, {low:g} to {high:g} m")
    low, high = ABSORBS_M2
    if room.absorbs is not None and not low <= room.absorbs <= high:
        what = (
            f"no room swallows as much sound as {units.format(room.absorbs, Dimension.AREA)} of open window"
        )
        tell.fault(room, "absorbs", what, f"give {low:g} to {high:,.0f} m2, or leave `absorbs` out")
    if room.stayed_in is not None and not 0 <= room.stayed_in <= DAY_S:
        what = f"nobody stays {units.format(room.stayed_in, Dimension.TIME)} of one day in a room"
        tell.fault(room, "stayed_in", what, "give at most 24 h")


def _walls(lab: Lab, room: Room, tell: Tell) -> None:
    """Rooms next door are rooms, and others."""
    names = [str(each.id) for each in lab.of(Room) if each is not room]
    for other, takes_off in room.next_door.items():
        beyond = lab.things.get(ThingId(other))
        if other == room.id:
            tell.fault(
                room, "next_door", f"{other} is named as next door to itself", "name the room beyond the wall"
            )
        elif beyond is None:
            close = nearest(other, names)
            known = f"known rooms: {listed(names)}" if names else "there is no other room in `places`"
            mend = f"did you mean {close}? " if close else ""
            tell.fault(room, "next_door", f"no room is called '{other}'", mend + known)
        elif not isinstance(beyond, Room):
            tell.fault(
                room, "next_door", f"'{other}' is a {beyond.IS}, not a room", "name a room of `places`"
            )
        elif not 0 <= takes_off <= THICKEST_DB:
            what = f"a wall that takes off {units.format(takes_off, Dimension.LEVEL)} can't be"
            tell.fault(
                room,
                "next_door",
                what,
                f"give 0 to {THICKEST_DB:.0f} dB, such as 35 dB for a wall with a door",
            )
