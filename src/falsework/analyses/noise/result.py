"""What is found out about noise: who adds how much to which room, and what is allowed there?"""

from __future__ import annotations

from dataclasses import dataclass

from falsework.support.taken import Taken
from falsework.where import Where


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """Machines that are alike, as they are heard in a room.

    Attributes:
        things: their names, in lab order.
        word: what they are.
        told_db: the level of one of them at one metre.
        said: whether the lab file says that level.
        one_db: what one of them adds where people are.
        all_db: what all of them add together.
        through: the room next door that they stand in; empty where they stand in this one.
    """

    things: tuple[str, ...]
    word: str
    told_db: float
    said: bool
    one_db: float
    all_db: float
    through: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowed:
    """What one published limit says of a room.

    Attributes:
        by: who publishes it.
        hours: for so long a day one may be there; infinite where the limit does not count so low a level.
        level_db: what it allows for as long as somebody stays; None where that is more than one stay.
        dose: the share of a day's dose that those get who stay as long as they do; 1 is all of it.
        above: whether that is more than is allowed.
    """

    by: str
    hours: float
    level_db: float | None
    dose: float
    above: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """What it changes to take machines out of a room.

    Attributes:
        things: those that go, alike, in lab order.
        to: the room that they go to; empty where they are not heard any more.
        here_db: the level that is left here.
        there_db: the level there then, and `there_before_db` as it is; None where they go nowhere.
    """

    things: tuple[str, ...]
    to: str
    here_db: float
    there_db: float | None
    there_before_db: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomNoise:
    """One room.

    Attributes:
        room: its name.
        own_db: its level with all off.
        heard_from_m: how far from the machines people are.
        absorbs_m2: how much of it swallows sound; None where no echo is counted.
        stayed_h: how long somebody is in it on one day.
        stay_said: whether the lab file says so; else nothing of it is held against the room.
        heard: who is heard, in this room and through its walls, the loudest first.
        machines_db: what all of them add together; minus infinity where nothing is heard.
        level_db: with the room's own.
        allowed: by each published limit.
        moves: what taking machines out of it changes, what helps most first.
        where: its place in the lab file.
    """

    room: str
    own_db: float
    heard_from_m: float
    absorbs_m2: float | None
    stayed_h: float
    stay_said: bool
    heard: tuple[Heard, ...]
    machines_db: float
    level_db: float
    allowed: tuple[Allowed, ...]
    moves: tuple[Move, ...] = ()
    where: Where | None = None

    @property
    def above(self) -> bool:
        """Whether more is heard in it than one of the limits allows for that stay."""
        return any(each.above for each in self.allowed)

    @property
    def broken(self) -> bool:
        """Whether somebody is said to stay longer than one of them allows."""
        return self.above and self.stay_said


@dataclass(frozen=True, slots=True, kw_only=True)
class Noise:
    """All rooms.

    Attributes:
        rooms: in lab order.
        nowhere: machines of which nobody says in which room they stand.
        day: what both limits say of one who stays in all rooms in which somebody is said to stay, one after another;
            empty where that is fewer than two.
        taken: figures that were taken where the lab file gives none.
    """

    rooms: tuple[RoomNoise, ...]
    nowhere: tuple[str, ...]
    day: tuple[Allowed, ...]
    taken: tuple[Taken, ...]

    @property
    def loudest_first(self) -> tuple[RoomNoise, ...]:
        """All rooms, of equals the first in lab order."""
        return tuple(sorted(self.rooms, key=lambda room: -room.level_db))

    @property
    def above(self) -> bool:
        """Whether some room, for as long as somebody is said to stay, or the whole day is above one of the limits."""
        return any(room.broken for room in self.rooms) or any(each.above for each in self.day)
