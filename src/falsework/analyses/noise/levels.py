"""What is heard in each room, given who stands where?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import isfinite, log10

from falsework.analyses.noise.figures import Figures
from falsework.analyses.noise.result import Heard
from falsework.analyses.noise.sources import Source
from falsework.engines.acoustics import behind, in_room, power_level, summed
from falsework.model.lab import Lab
from falsework.model.parts import Room


def walls(lab: Lab) -> dict[tuple[str, str], float]:
    """What the wall between two rooms takes off, from the first to the second.

    A wall is the same from either side, unless both say it.
    """
    said: dict[tuple[str, str], float] = {
        (str(room.id), other): db for room in lab.of(Room) for other, db in room.next_door.items()
    }
    return {(other, room): db for (room, other), db in said.items()} | said


def own_db(room: Room, figures: Figures) -> float:
    """The level of a room with all off."""
    return room.stands_at if room.stands_at is not None else figures["stands at"]


def heard_from_m(room: Room, figures: Figures) -> float:
    """How far from the machines people are in it."""
    return room.heard_from if room.heard_from is not None else figures["heard from"]


def absorbs_m2(room: Room, figures: Figures) -> float | None:
    """How much of it swallows sound; None where no echo is counted."""
    found = room.absorbs if room.absorbs is not None else figures["absorbs"]
    return found if isfinite(found) else None


def heard_in(
    room: Room,
    rooms: Mapping[str, Room],
    sources: Sequence[Source],
    through: Mapping[tuple[str, str], float],
    figures: Figures,
) -> tuple[Heard, ...]:
    """Who is heard in a room, the loudest first.

    What comes through a wall is what is heard beyond it where people would be there, less what the wall takes off; what
    would have to come through two walls is not counted.
    """
    found = []
    for source in sources:
        if source.room == room.id:
            off = 0.0
        elif (source.room, room.id) in through:
            off = through[source.room, room.id]
        else:
            continue
        stands = rooms[source.room]
        told = source.level_db(figures)
        at = in_room(
            power_level(told),
            distance_m=heard_from_m(stands, figures),
            absorbs_m2=absorbs_m2(stands, figures),
        )
        one = behind(at, takes_off=off)
        found.append(
            Heard(
                things=source.things,
                word=source.word,
                told_db=told,
                said=source.said,
                one_db=one,
                all_db=one + 10 * log10(len(source.things)),
                through="" if source.room == room.id else source.room,
            )
        )
    return tuple(sorted(found, key=lambda each: (-each.all_db, each.things)))


def machines_db(heard: Iterable[Heard]) -> float:
    """What all that is heard adds together."""
    return summed(each.all_db for each in heard)


def level_db(
    room: Room,
    rooms: Mapping[str, Room],
    sources: Sequence[Source],
    through: Mapping[tuple[str, str], float],
    figures: Figures,
) -> float:
    """The level of a room, its own included."""
    heard = heard_in(room, rooms, sources, through, figures)
    return summed((own_db(room, figures), machines_db(heard)))
