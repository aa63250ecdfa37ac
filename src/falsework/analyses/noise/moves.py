"""What does it change to take machines out of a room, or to another one?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from falsework.analyses.noise.levels import Figures, heard_in, level_db, walls
from falsework.analyses.noise.result import Move
from falsework.analyses.noise.sources import Source
from falsework.model.lab import Lab
from falsework.model.parts import Room

MOST = 6
"""Kinds of machines of a room, the loudest, and other rooms, that are tried."""
FELT_DB = 0.5
"""A move that changes less than this here is not told of."""


def moves(lab: Lab, room: Room, sources: Sequence[Source], figures: Figures) -> tuple[Move, ...]:
    """What taking out one machine, or all that are like it, changes; what helps most first.

    Args:
        lab: the lab.
        room: from which they go.
        sources: all that make noise.
        figures: what is taken where the lab file says nothing.

    Returns:
        For each of the loudest sorts one and all, each away for good and to every other room. The ones that change
        nothing that is felt are left out.
    """
    rooms: Mapping[str, Room] = {str(each.id): each for each in lab.of(Room)}
    through = walls(lab)

    def level(of: Room, sounding: Sequence[Source]) -> float:
        return level_db(of, rooms, sounding, through, figures)

    before = {name: level(each, sources) for name, each in rooms.items()}
    others = [name for name in rooms if name != room.id][:MOST]
    loudest = [each for each in heard_in(room, rooms, sources, through, figures) if not each.through][:MOST]
    found = []
    for heard in loudest:
        source = next(each for each in sources if each.things == heard.things)
        for going, rest in _taken_out(source, sources):
            for to in ("", *others):
                after = rest if not to else [*rest, replace(source, things=going, room=to)]
                here = level(room, after)
                if before[room.id] - here < FELT_DB:
                    continue
                found.append(
                    Move(
                        things=going,
                        to=to,
                        here_db=here,
                        there_db=level(rooms[to], after) if to else None,
                        there_before_db=before[to] if to else None,
                    )
                )
    return tuple(sorted(found, key=lambda each: (each.here_db, len(each.things), each.things, each.to)))


def _taken_out(source: Source, sources: Sequence[Source]) -> Iterator[tuple[tuple[str, ...], list[Source]]]:
    """One of a sort, then all of it: who goes, and what still sounds."""
    rest = [each for each in sources if each is not source]
    if len(source.things) > 1:
        yield source.things[:1], [*rest, replace(source, things=source.things[1:])]
    yield source.things, rest
