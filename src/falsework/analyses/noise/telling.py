"""How is told how loud it is, so that every face says the same?"""

from __future__ import annotations

from collections.abc import Sequence
from math import isinf

from falsework.analyses.noise.result import Allowed, Heard, Move, Noise, RoomNoise
from falsework.engines.acoustics import LEAST_DB
from falsework.errors import counted, few
from falsework.units import HOUR_S, Dimension
from falsework.units import format as said

HEARD_HEAD = ("level", "of that each", "at 1 m", "who")
MOVES_HEAD = ("here then", "there then", "there now", "take away")

LIKE = (
    (25.0, "a quiet night"),
    (35.0, "a quiet bedroom"),
    (45.0, "a library"),
    (55.0, "a quiet office"),
    (65.0, "people talking beside you"),
    (75.0, "a vacuum cleaner"),
    (85.0, "a busy street"),
    (95.0, "a lawn mower"),
    (float("inf"), "a circular saw or louder"),
)
"""What a level up to this is about as loud as. Common practice; such comparisons differ by ten decibels."""

FAINT_DB = 20.0
"""What is so much below the level of its room is not told one by one: it adds less than 0.05 dB."""


def headline(found: Noise) -> str:
    """One line: is some room too loud for those who stay in it, and which is the loudest?"""
    if not found.rooms:
        return "no room is told of, so nothing can be heard in one"
    above = [room for room in found.rooms if room.broken]
    if above:
        more = (
            f"; {counted(len(above) - 1, 'more room is', 'more rooms are')} above a limit"
            if len(above) > 1
            else ""
        )
        return f"{above_says(above[0])}{more}"
    if any(each.above for each in found.day):
        return day_says(found.day)
    loudest = found.loudest_first[0]
    doubtful = [room for room in found.rooms if room.above]
    if doubtful:
        return above_says(doubtful[0])
    level = f"{loudest.level_db:.0f} dB, about as loud as {like(loudest.level_db)}"
    # Where a limit counts what is heard, it is the stay that keeps it.
    stays = " for as long as people stay" if loudest.level_db >= LEAST_DB else ""
    if len(found.rooms) == 1:
        return f"{loudest.room} is within both published limits{stays}: {level}"
    return f"every room is within both published limits{stays}; the loudest is {loudest.room}, {level}"


def like(level: float) -> str:
    """What a level is about as loud as."""
    return next(words for up_to, words in LIKE if level < up_to)


def above_says(room: RoomNoise) -> str:
    """For how long one may stay, and for how long somebody does; of the stricter limit that is broken."""
    worst = max((each for each in room.allowed if each.above), key=lambda each: each.dose)
    stays = said(room.stayed_h * HOUR_S, Dimension.TIME)
    allows = (
        f"{worst.by} allows nobody to stay"
        if worst.hours == 0
        else f"{worst.by} allows {hours_said(worst)} a day"
    )
    who = f"somebody stays {stays}" if room.stay_said else f"nobody says whether it is less than {stays}"
    return f"{room.room} has {room.level_db:.0f} dB: {allows}, and {who}"


def hours_said(allowed: Allowed) -> str:
    """`2 h`, `all day`, `no time at all`."""
    if allowed.hours >= 24:
        return "all day"
    return said(allowed.hours * HOUR_S, Dimension.TIME) if allowed.hours > 0 else "no time at all"


def above_mend(room: RoomNoise) -> str:
    """What would help most."""
    less = "stay for less long, or wear ear protection"
    if room.moves:
        best = room.moves[0]
        change = f"{room.level_db:.0f} to {best.here_db:.0f} dB"
        return f"take {few(best.things, 4)} out of it ({change}), or {less}"
    if room.heard and not room.heard[0].through:
        return f"take {few(room.heard[0].things, 4)} out of it, or {less}"
    return less


def room_says(room: RoomNoise) -> str:
    """The level of a room and what it is made of."""
    if isinf(room.machines_db):
        return f"{room.room}: {room.own_db:.0f} dB, its own; no machine is heard there"
    return (
        f"{room.room}: {room.level_db:.0f} dB at {said(room.heard_from_m, Dimension.LENGTH)} from the machines, "
        f"about as loud as {like(room.level_db)}; {room.machines_db:.0f} dB of machines and "
        f"{room.own_db:.0f} dB of its own"
    )


def limits_says(room: RoomNoise) -> str:
    """What both limits say of a stay."""
    stays = said(room.stayed_h * HOUR_S, Dimension.TIME)
    if all(isinf(each.hours) for each in room.allowed):
        return f"a stay of {stays} a day: neither limit counts what is below 80 dB"
    each = "; ".join(f"{one.by} allows {hours_said(one)}, {dose_said(one)}" for one in room.allowed)
    return f"a stay of {stays} a day: {each}"


def dose_said(allowed: Allowed) -> str:
    """`40 % of a day's dose`."""
    return f"{allowed.dose * 100:.0f} % of a day's dose"


def day_says(day: Sequence[Allowed]) -> str:
    """One who stays in all rooms, one after another."""
    each = "; ".join(f"{dose_said(one)} by {one.by}" for one in day)
    return f"whoever stays in all rooms as long as said gets {each}"


def heard_row(heard: Heard) -> tuple[str, str, str, str]:
    """A row for machines that are alike."""
    through = f", through the wall of {heard.through}" if heard.through else ""
    told = f"{heard.told_db:.0f} dB" if heard.said else f"{heard.told_db:.0f} dB taken"
    return (f"{heard.all_db:.0f} dB", f"{heard.one_db:.0f} dB", told, f"{few(heard.things, 6)}{through}")


def worth_telling(room: RoomNoise) -> tuple[Heard, ...]:
    """Who is heard at all, the loudest first."""
    return tuple(each for each in room.heard if each.all_db > room.level_db - FAINT_DB)


def unheard_says(room: RoomNoise) -> str:
    """How many are left out of that; empty where none is."""
    many = sum(len(each.things) for each in room.heard) - sum(
        len(each.things) for each in worth_telling(room)
    )
    return f"and {counted(many, 'machine')} that can't be heard beside these" if many else ""


def move_row(move: Move) -> tuple[str, str, str, str]:
    """A row for what goes away."""
    to = f"to {move.to}" if move.to else "for good"
    return (
        f"{move.here_db:.0f} dB",
        "" if move.there_db is None else f"{move.there_db:.0f} dB",
        "" if move.there_before_db is None else f"{move.there_before_db:.0f} dB",
        f"{few(move.things, 4)} {to}",
    )


def nowhere_says(things: Sequence[str]) -> str:
    """Machines that stand in no room; without a full stop."""
    return (
        f"Nobody says in which room {few(things, 8)} {'stands' if len(things) == 1 else 'stand'}; "
        "they are heard nowhere here"
    )
