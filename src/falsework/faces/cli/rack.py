"""What stands in each rack, what does it weigh, and could it tip?"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from falsework.analyses.rack import Racks, RackSheet, racks, way_of
from falsework.analyses.rack.telling import (
    HEAD,
    LIFT_HEAD,
    faults,
    free_says,
    headline,
    lift_row,
    lifts_say,
    mounted_row,
    name_says,
    sheet_says,
)
from falsework.errors import counted, few
from falsework.faces.cli.lines import Line, labelled, put, put_text
from falsework.faces.cli.progress import Told
from falsework.faces.cli.running import BROKEN, MET, write
from falsework.faces.cli.table import table
from falsework.faces.cli.taken import taken_lines
from falsework.faces.plain_rack import rack_answer
from falsework.findings.finding import WEIGHT_CAUTION
from falsework.model.build import load
from falsework.model.lab import Lab

MOST_RACKS = 8
"""Racks that are told in full; those with something wrong first."""
MOST_LIFTS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the options."""

    lab: Path
    ramp: float | None = None
    sill: str | None = None
    picture: Path | None = None
    json: bool = False


def tell_racks(asked: Asked) -> int:
    """Weigh every rack, print it, return the exit status: 1 where one bears too much or fails a test.

    Raises:
        FalseworkError: the file, or the place for the picture.
    """
    with Told() as tell:
        tell("reading the lab", 0, 1)
        lab = load(asked.lab)
        tell("weighing the racks", 0, 1)
        found = racks(lab, way_of(asked.ramp, asked.sill))
        if asked.picture is not None:
            # Only here: the drawing loads what no other answer needs.
            from falsework.faces.report.rack import racks_sheet

            tell("drawing", 0, 1)
            write(asked.picture, f"{racks_sheet(lab, found)}\n", over=True)
    status = BROKEN if found.bad else MET
    if asked.json:
        put_text(json.dumps(rack_answer(lab, found, status), indent=2, allow_nan=False) + "\n")
    else:
        put(_lines(lab, found))
        if asked.picture is not None:
            put([Line(), Line(f"The drawing is in {asked.picture}.")])
    return status


def _lines(lab: Lab, found: Racks) -> Iterator[Line]:
    yield Line(f"{lab.name}: {headline(found)}", style="head")
    shown = sorted(found.racks, key=lambda each: not each.bad)[:MOST_RACKS]
    for sheet in shown:
        yield Line()
        yield from _rack(sheet)
    if len(found.racks) > len(shown):
        yield Line()
        yield Line(f"{counted(len(found.racks) - len(shown), 'more rack')}; --json lists all.")
    if found.loose:
        yield Line()
        yield from _loose(found)
    yield Line()
    yield labelled("mind", WEIGHT_CAUTION, style="quiet")


def _rack(sheet: RackSheet) -> Iterator[Line]:
    for fault in faults(sheet):
        yield labelled("BROKEN", f"{sheet.rack}: {fault}", style="broken")
    yield labelled("rack", f"{name_says(sheet)}: {free_says(sheet)}", style="head")
    for says in sheet_says(sheet):
        yield labelled("", f"{says}.")
    yield labelled("at", str(sheet.where), style="quiet", indent=8, width=6)
    if sheet.mounted:
        yield Line()
        yield from table(HEAD, [mounted_row(each) for each in reversed(sheet.mounted)], right=(2, 3, 4))
        yield Line()
        yield Line(f"{lifts_say(sheet)}:")
        rows = [lift_row(each) for each in sheet.lifts]
        yield from table(LIFT_HEAD, rows[:MOST_LIFTS], right=(1, 2, 3, 4, 5))
        if len(rows) > MOST_LIFTS:
            yield Line(f"  and {len(rows) - MOST_LIFTS} that are easier; --json lists all")
    yield from taken_lines(sheet.taken)


def _loose(found: Racks) -> Iterator[Line]:
    """What stands in rooms by itself, a line a room."""
    rooms: dict[str, list[str]] = {}
    for each in found.loose:
        said = each.thing if each.mass_kg is None else f"{each.thing} {each.mass_kg:g} kg"
        rooms.setdefault(each.room, []).append(said)
    for room, those in rooms.items():
        yield Line(f"In {room}, and in no rack: {few(those, 12)}.")
