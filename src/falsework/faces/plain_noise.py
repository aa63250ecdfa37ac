"""What does an answer on noise look like to a program?"""

from __future__ import annotations

from typing import Any

from falsework.analyses.noise.result import Allowed, Heard, Move, Noise, RoomNoise
from falsework.analyses.noise.telling import headline, limits_says, room_says
from falsework.faces.errors import place
from falsework.faces.head import lab_head
from falsework.faces.taken import taken_plain
from falsework.faces.values import finite
from falsework.findings.finding import NOISE_CAUTION
from falsework.model.lab import Lab

Plain = dict[str, Any]


def noise_answer(lab: Lab, found: Noise, status: int) -> Plain:
    """Every room with who is heard in it, what is allowed, and what moving machines changes."""
    return {
        **lab_head("noise", lab, status),
        "above": found.above,
        "says": headline(found),
        "rooms": [_room(each) for each in found.rooms],
        "whole_day": [_allowed(each) for each in found.day],
        "in_no_room": list(found.nowhere),
        "taken": [taken_plain(each) for each in found.taken],
        "caution": NOISE_CAUTION,
    }


def _room(room: RoomNoise) -> Plain:
    return {
        "room": room.room,
        "level_db": room.level_db,
        "own_db": room.own_db,
        "machines_db": finite(room.machines_db),
        "heard_from_m": room.heard_from_m,
        "absorbs_m2": room.absorbs_m2,
        "stayed_h": room.stayed_h,
        "stay_said": room.stay_said,
        "heard": [_heard(each) for each in room.heard],
        "allowed": [_allowed(each) for each in room.allowed],
        "above": room.above,
        "moves": [_move(each) for each in room.moves],
        "says": f"{room_says(room)}; {limits_says(room)}",
        "where": place(room.where),
    }


def _heard(heard: Heard) -> Plain:
    return {
        "machines": list(heard.things),
        "is": heard.word,
        "at_one_metre_db": heard.told_db,
        "said": heard.said,
        "one_db": heard.one_db,
        "all_db": heard.all_db,
        "through": heard.through or None,
    }


def _allowed(allowed: Allowed) -> Plain:
    return {
        "by": allowed.by,
        "hours": finite(allowed.hours),
        "level_db": allowed.level_db,
        "dose": allowed.dose,
        "above": allowed.above,
    }


def _move(move: Move) -> Plain:
    return {
        "machines": list(move.things),
        "to": move.to or None,
        "here_db": move.here_db,
        "there_db": move.there_db,
        "there_before_db": move.there_before_db,
    }
