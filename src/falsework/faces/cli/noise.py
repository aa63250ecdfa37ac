"""How loud is each room, for how long is that safe, and what would moving a machine change?"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from falsework.analyses.noise.result import Noise, RoomNoise
from falsework.analyses.noise.telling import (
    HEARD_HEAD,
    MOVES_HEAD,
    above_mend,
    above_says,
    day_says,
    headline,
    heard_row,
    limits_says,
    move_row,
    nowhere_says,
    room_says,
    unheard_says,
    worth_telling,
)
from falsework.analyses.noise.whole import noise
from falsework.errors import counted
from falsework.faces.cli.lines import Line, labelled, put, put_text
from falsework.faces.cli.progress import Told
from falsework.faces.cli.running import BROKEN, MET, write
from falsework.faces.cli.table import table
from falsework.faces.cli.taken import taken_lines
from falsework.faces.plain_noise import noise_answer
from falsework.findings.finding import NOISE_CAUTION
from falsework.model.build import load
from falsework.model.lab import Lab

MOST_ROWS = 12
MOST_MOVES = 6
MOST_ROOMS = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the options."""

    lab: Path
    picture: Path | None = None
    json: bool = False


def tell_noise(asked: Asked) -> int:
    """Add up noise, print it, return the exit status: 1 where somebody stays longer than a limit allows.

    Raises:
        FalseworkError: the file, or the place for the picture.
    """
    with Told() as tell:
        tell("reading the lab", 0, 1)
        lab = load(asked.lab)
        tell("adding up", 0, 1)
        found = noise(lab)
        if asked.picture is not None:
            # Only here: the drawing loads what no other answer needs.
            from falsework.faces.report.loudness import loudness_sheet

            tell("drawing", 0, 1)
            write(asked.picture, f"{loudness_sheet(lab, found)}\n", over=True)
    status = BROKEN if found.above else MET
    if asked.json:
        put_text(json.dumps(noise_answer(lab, found, status), indent=2, allow_nan=False) + "\n")
    else:
        put(_lines(lab, found))
    return status


def _lines(lab: Lab, found: Noise) -> Iterator[Line]:
    yield Line(f"{lab.name}: {headline(found)}", style="head")
    for room in found.rooms:
        if room.above:
            yield Line()
            label = "BROKEN" if room.broken else "remark"
            yield labelled(label, above_says(room), style=label.lower())
            yield labelled("mend", above_mend(room), style="quiet", indent=8, width=6)
            if room.where is not None:
                yield labelled("at", str(room.where), style="quiet", indent=8, width=6)
    rooms = found.loudest_first
    for room in rooms[:MOST_ROOMS]:
        yield Line()
        yield from _room(room)
    if len(rooms) > MOST_ROOMS:
        yield Line()
        yield Line(f"{counted(len(rooms) - MOST_ROOMS, 'quieter room')}; --json lists all.")
    if found.day:
        yield Line()
        yield Line(f"{day_says(found.day)}.")
    if found.nowhere:
        yield Line()
        yield Line(f"{nowhere_says(found.nowhere)}.")
    yield from taken_lines(found.taken)
    yield Line()
    yield labelled("mind", NOISE_CAUTION, style="quiet")


def _room(room: RoomNoise) -> Iterator[Line]:
    """Who is heard, what is allowed, and what moving changes."""
    yield Line(f"{room_says(room)}.")
    yield Line(f"  {limits_says(room)}")
    heard = worth_telling(room)
    if heard:
        yield from table(HEARD_HEAD, [heard_row(each) for each in heard[:MOST_ROWS]], right=(0, 1, 2))
    if len(heard) > MOST_ROWS:
        yield Line(f"  and {counted(len(heard) - MOST_ROWS, 'quieter sort')}; --json lists all")
    if unheard_says(room):
        yield Line(f"  {unheard_says(room)}")
    if room.moves:
        yield from table(MOVES_HEAD, [move_row(each) for each in room.moves[:MOST_MOVES]], right=(0, 1, 2))
