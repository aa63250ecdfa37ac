"""How loud is each room, and is that too long for those who stay in it?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from math import inf

from falsework.analyses.noise.figures import FIGURES, TAKEN
from falsework.analyses.noise.levels import (
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
    rooms, through = _rooms(lab), walls(lab)
    sheets = _sheets(rooms, found, through)
    now = {sheet.room: sheet.level_db for sheet in sheets}
    return Noise(
        rooms=tuple(
            replace(sheet, moves=moves(sheet, now, rooms, found, through, TAKEN)) for sheet in sheets
        ),
        nowhere=nowhere,
        day=_day(sheets),
        taken=tuple(_taken(lab, rooms, found, through, now)),
    )


def room_levels(lab: Lab) -> tuple[RoomNoise, ...]:
    """Every room without its moves, in lab order; cheap."""
    return _sheets(_rooms(lab), sources(lab)[0], walls(lab))


def _rooms(lab: Lab) -> Mapping[str, Room]:
    return {str(room.id): room for room in lab.of(Room)}


def _sheets(
    rooms: Mapping[str, Room], found: Sequence[Source], through: Mapping[tuple[str, str], float]
) -> tuple[RoomNoise, ...]:
    return tuple(_sheet(room, rooms, found, through) for room in rooms.values())


def _sheet(
    room: Room,
    rooms: Mapping[str, Room],
    found: Sequence[Source],
    through: Mapping[tuple[str, str], float],
) -> RoomNoise:
    heard = heard_in(room, rooms, found, through, TAKEN)
    machines, own = machines_db(heard), own_db(room, TAKEN)
    level = summed((own, machines))
    hours = room.stayed_in / HOUR_S if room.stayed_in is not None else TAKEN["stayed in"]
    return RoomNoise(
        room=room.id,
        own_db=own,
        heard_from_m=heard_from_m(room, TAKEN),
        absorbs_m2=absorbs_m2(room, TAKEN),
        stayed_h=hours,
        stay_said=room.stayed_in is not None,
        heard=heard,
        machines_db=machines,
        level_db=level,
        allowed=_allowed([(level, hours)]),
        where=room.where,
    )


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


def _day(sheets: Sequence[RoomNoise]) -> tuple[Allowed, ...]:
    """One who stays in all rooms in which somebody is said to stay, as long as said."""
    stays = [(sheet.level_db, sheet.stayed_h) for sheet in sheets if sheet.stay_said]
    return _allowed(stays) if len(stays) > 1 else ()


def _taken(
    lab: Lab,
    rooms: Mapping[str, Room],
    found: Sequence[Source],
    through: Mapping[tuple[str, str], float],
    now: Mapping[str, float],
) -> Iterator[Taken]:
    """Each figure that was taken, with the level of the room that hangs on it most."""
    for name, figure in FIGURES.items():
        things = _for_whom(name, lab, found)
        if not things:
            continue
        where = lab.named(things[:1])[0].where
        if name == "stayed in":
            # What is told hangs on it only where a limit counts such a level; so it has no ends.
            yield figure.taken(things, where=where)
            continue

        def at(value: float, name: str = name) -> list[float]:
            figures = {**TAKEN, name: value}
            return [level_db(room, rooms, found, through, figures) for room in rooms.values()]

        low, high = at(figure.low), at(figure.high)
        most = max(range(len(rooms)), key=lambda index: high[index] - low[index], default=None)
        if most is None:
            continue
        room = list(rooms)[most]
        ends = (f"{low[most]:.0f} dB", f"{high[most]:.0f} dB")
        yield figure.taken(
            things,
            of=f"the level of {room} ({now[room]:.0f} dB)" if ends[0] != ends[1] else "",
            low=ends[0],
            high=ends[1],
            where=where,
        )


def _for_whom(name: str, lab: Lab, found: Sequence[Source]) -> tuple[str, ...]:
    """The things for which a figure was taken."""
    if FIGURES[name].key == "noise":
        return tuple(
            thing for source in found if not source.said and source.word == name for thing in source.things
        )
    attribute = {
        "stands at": "stands_at",
        "heard from": "heard_from",
        "absorbs": "absorbs",
        "stayed in": "stayed_in",
    }[name]
    loud = {source.room for source in found}
    return tuple(
        str(room.id)
        for room in lab.of(Room)
        # How far off people are, and the echo, matter where something hums only.
        if getattr(room, attribute) is None and (name in ("stands at", "stayed in") or room.id in loud)
    )
