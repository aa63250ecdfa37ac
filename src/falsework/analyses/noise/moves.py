"""What does it change to take machines out of a room, or to another one?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from falsework.analyses.noise.figures import Figures
from falsework.analyses.noise.levels import level_db
from falsework.analyses.noise.result import Move, RoomNoise
from falsework.analyses.noise.sources import Source
from falsework.model.parts import Room

MOST = 6
"""Kinds of machines of a room, the loudest, and other rooms, that are tried."""
FELT_DB = 0.5
"""A move that changes less than this here is not told of."""


def moves(
    sheet: RoomNoise,
    now: Mapping[str, float],
    rooms: Mapping[str, Room],
    sources: Sequence[Source],
    through: Mapping[tuple[str, str], float],
    figures: Figures,
) -> tuple[Move, ...]:
    """What taking out one machine, or all that are like it, changes; what helps most first.

    Args:
        sheet: of the room from which they go.
        now: the level of each room.
        rooms: by name, in the same order.
        sources: all that make noise.
        through: what walls take off.
        figures: what is taken where the lab file says nothing.

    Returns:
        For each of the loudest sorts one and all, each away for good and to every other room. The ones that change
        nothing that is felt are left out.
    """
    room = rooms[sheet.room]

    def level(of: Room, sounding: Sequence[Source]) -> float:
        return level_db(of, rooms, sounding, through, figures)

    others = [name for name in rooms if name != room.id][:MOST]
    loudest = [each for each in sheet.heard if not each.through][:MOST]
    found = []
    for heard in loudest:
        source = next(each for each in sources if each.things == heard.things)
        for going, rest in _taken_out(source, sources):
            for to in ("", *others):
                after = rest if not to else [*rest, replace(source, things=going, room=to)]
                here = level(room, after)
                if now[room.id] - here < FELT_DB:
                    continue
                found.append(
                    Move(
                        things=going,
                        to=to,
                        here_db=here,
                        there_db=level(rooms[to], after) if to else None,
                        there_before_db=now[to] if to else None,
                    )
                )
    return tuple(sorted(found, key=lambda each: (each.here_db, len(each.things), each.things, each.to)))


def _taken_out(source: Source, sources: Sequence[Source]) -> Iterator[tuple[tuple[str, ...], list[Source]]]:
    """One of a sort, then all of it: who goes, and what still sounds."""
    rest = [each for each in sources if each is not source]
    if len(source.things) > 1:
        yield source.things[:1], [*rest, replace(source, things=source.things[1:])]
    yield source.things, rest
