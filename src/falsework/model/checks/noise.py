"""Do rooms, walls and levels of sound contradict themselves?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework import units
from falsework.errors import listed, nearest
from falsework.model.checks.bounds import Bound, bounded
from falsework.model.entries import Tell
from falsework.model.lab import Lab
from falsework.model.parts import Part, Room, Thing, ThingId
from falsework.units import DAY_S, Dimension

LOUDEST_DB = 140.0
"""Louder than a machine can be in a room where anybody works: the threshold of pain."""
THICKEST_DB = 90.0
"""More than a wall with a door in it takes off; walls of studios take off 70 to 80 dB."""

_LEVEL = Bound(
    says="a level of {} can't be",
    dimension=Dimension.LEVEL,
    least=0.0,
    most=LOUDEST_DB,
    mend=f"give 0 to {LOUDEST_DB:.0f} dB, A-weighted, such as 45 dB",
)
_PART = {"noise": _LEVEL}
_ROOM = {
    "stands_at": _LEVEL,
    "heard_from": Bound(
        says="people can't be {} from a machine in a room",
        dimension=Dimension.LENGTH,
        least=0.1,
        most=1000.0,
        mend="give how far off their ears are, 0.1 to 1000 m",
    ),
    "absorbs": Bound(
        says="no room swallows as much sound as {} of open window",
        dimension=Dimension.AREA,
        least=0.1,
        most=100_000.0,
        mend="give 0.1 to 100,000 m2, or leave `absorbs` out",
    ),
    "stayed_in": Bound(
        says="nobody stays {} of one day in a room",
        dimension=Dimension.TIME,
        least=0.0,
        most=DAY_S,
        mend="give at most 24 h",
    ),
}


def noise(lab: Lab, firm: Sequence[Thing], tell: Tell) -> None:
    """Note what contradicts itself in levels, walls and stays.

    Args:
        lab: the lab.
        firm: its things in which no fault was met.
        tell: notes faults.
    """
    for thing in firm:
        if isinstance(thing, Part):
            bounded(thing, _PART, tell)
        if isinstance(thing, Room):
            bounded(thing, _ROOM, tell)
            _walls(lab, thing, tell)


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
