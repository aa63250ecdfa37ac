"""How loud is each room, and is that too long for those who stay in it?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from math import inf

from falsework.analyses.noise.figures import ALL, TAKEN, Figure
from falsework.analyses.noise.levels import (
    Figures,
    absorbs_m2,
    heard_from_m,
    heard_in,
    level_db,
    machines_db,
    own_db,
    walls,
)
from falsework.analyses.noise.moves import moves
from falsework.analyses.noise.result import Allowed, Noise, RoomNoise
from falsework.analyses.noise.sources import Source, sources
from falsework.engines.acoustics import (
    OSHA_CEILING_DB,
    dose,
    niosh_hours,
    niosh_level,
    osha_hours,
    osha_level,
    summed,
)
from falsework.model.lab import Lab
from falsework.model.parts import Room
from falsework.support.taken import Taken
from falsework.units import HOUR_S

OSHA = "29 CFR 1910.95 (OSHA)"
NIOSH = "NIOSH 98-126"


def noise(lab: Lab) -> Noise:
    """Every room of a lab, with what moving machines would change and what was taken where no figure is given."""
    found, nowhere = sources(lab)
    return Noise(
        rooms=tuple(
            replace(sheet, moves=moves(lab, room, found, TAKEN))
            for room, sheet in zip(lab.of(Room), room_levels(lab), strict=True)
        ),
        nowhere=nowhere,
        day=_day(lab),
        taken=tuple(_taken(lab, found)),
    )


def room_levels(lab: Lab, figures: Figures = TAKEN) -> tuple[RoomNoise, ...]:
    """Every room without its moves, in lab order; cheap.

    Args:
        lab: the lab.
        figures: what is taken where the lab file says nothing.
    """
    rooms: Mapping[str, Room] = {str(room.id): room for room in lab.of(Room)}
    found, _ = sources(lab)
    through = walls(lab)
    return tuple(_sheet(room, rooms, found, through, figures) for room in rooms.values())


def _sheet(
    room: Room,
    rooms: Mapping[str, Room],
    found: Sequence[Source],
    through: Mapping[tuple[str, str], float],
    figures: Figures,
) -> RoomNoise:
    heard = heard_in(room, rooms, found, through, figures)
    machines, own = machines_db(heard), own_db(room, figures)
    level = summed((own, machines))
    hours = stayed_h(room, figures)
    return RoomNoise(
        room=room.id,
        own_db=own,
        heard_from_m=heard_from_m(room, figures),
        absorbs_m2=absorbs_m2(room, figures),
        stayed_h=hours,
        stay_said=room.stayed_in is not None,
        heard=heard,
        machines_db=machines,
        level_db=level,
        allowed=_allowed([(level, hours)]),
        where=room.where,
    )


def stayed_h(room: Room, figures: Figures = TAKEN) -> float:
    """How many hours of one day somebody is in a room."""
    return room.stayed_in / HOUR_S if room.stayed_in is not None else figures["stayed in"] or 0.0


def _allowed(stays: Sequence[tuple[float, float]]) -> tuple[Allowed, ...]:
    """What each limit says of one who is for so many hours at each of these levels; hours are told for one only."""
    found = []
    for by, allows, level_for in ((OSHA, osha_hours, osha_level), (NIOSH, niosh_hours, niosh_level)):
        share = sum(dose(hours, allows(level)) for level, hours in stays)
        ceiling = by == OSHA and any(level > OSHA_CEILING_DB and hours > 0 for level, hours in stays)
        hours = allows(stays[0][0]) if len(stays) == 1 else inf
        if by == OSHA and len(stays) == 1 and stays[0][0] > OSHA_CEILING_DB:
            hours = 0.0
        found.append(
            Allowed(
                by=by,
                hours=hours,
                level_db=level_for(stays[0][1]) if len(stays) == 1 else None,
                dose=share,
                above=share > 1 or ceiling,
            )
        )
    return tuple(found)


def _day(lab: Lab) -> tuple[Allowed, ...]:
    """One who stays in all rooms in which somebody is said to stay, as long as said."""
    stays = [
        (sheet.level_db, sheet.stayed_h)
        for room, sheet in zip(lab.of(Room), room_levels(lab), strict=True)
        if room.stayed_in is not None
    ]
    return _allowed(stays) if len(stays) > 1 else ()


def _taken(lab: Lab, found: Sequence[Source]) -> Iterator[Taken]:
    """Each figure that was taken, with the level of the room that hangs on it most."""
    rooms: Mapping[str, Room] = {str(room.id): room for room in lab.of(Room)}
    through = walls(lab)
    for figure in ALL:
        things = _for_whom(figure, lab, found)
        if not things:
            continue
        if figure.name == "stayed in":
            yield _hours(figure, things, rooms)
            continue

        def at(value: float | None, name: str = figure.name) -> list[float]:
            figures = {**TAKEN, name: value}
            return [level_db(room, rooms, found, through, figures) for room in rooms.values()]

        low, high, now = at(figure.low), at(figure.high), at(figure.value)
        most = max(range(len(now)), key=lambda index: high[index] - low[index], default=None)
        if most is None:
            continue
        room = list(rooms)[most]
        ends = (f"{low[most]:.0f} dB", f"{high[most]:.0f} dB")
        hangs = ends[0] != ends[1]
        yield Taken(
            key=figure.key,
            things=things,
            value=figure.says,
            source=figure.source,
            of=f"the level of {room} ({now[most]:.0f} dB)" if hangs else "",
            low=ends[0] if hangs else "",
            high=ends[1] if hangs else "",
            where=lab.named(things[:1])[0].where,
        )


def _for_whom(figure: Figure, lab: Lab, found: Sequence[Source]) -> tuple[str, ...]:
    """The things for which a figure was taken."""
    if figure.key == "noise":
        return tuple(
            thing
            for source in found
            if not source.said and source.word == figure.name
            for thing in source.things
        )
    attribute = {
        "stands at": "stands_at",
        "heard from": "heard_from",
        "absorbs": "absorbs",
        "stayed in": "stayed_in",
    }[figure.name]
    loud = {source.room for source in found}
    return tuple(
        str(room.id)
        for room in lab.of(Room)
        # How far off people are, and the echo, matter where something hums only.
        if getattr(room, attribute) is None and (figure.name in ("stands at", "stayed in") or room.id in loud)
    )


def _hours(figure: Figure, things: tuple[str, ...], rooms: Mapping[str, Room]) -> Taken:
    """What is told hangs on it only where a limit counts such a level; so it has no ends."""
    return Taken(
        key=figure.key,
        things=things,
        value=figure.says,
        source=figure.source,
        where=rooms[things[0]].where,
    )
