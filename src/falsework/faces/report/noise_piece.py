"""What does the report say of noise?"""

from __future__ import annotations

from markupsafe import Markup

from falsework.analyses.noise.result import Noise
from falsework.analyses.noise.telling import (
    MOVES_HEAD,
    day_says,
    headline,
    limits_says,
    move_row,
    nowhere_says,
    room_says,
)
from falsework.errors import capital
from falsework.faces.report.chances import Figure
from falsework.faces.report.loudness import loudness_sheet
from falsework.faces.report.piece import Piece, short_table
from falsework.findings.finding import NOISE_CAUTION
from falsework.model.lab import Lab

MOST_ROOMS = 8
MOST_ROWS = 6


def noise_piece(lab: Lab, found: Noise) -> Piece | None:
    """The piece; None where the lab has no room."""
    if not found.rooms:
        return None
    rooms = found.loudest_first
    says = [f"{capital(room_says(room))}; {limits_says(room)}" for room in rooms[:MOST_ROOMS]]
    if found.day:
        says.append(capital(day_says(found.day)))
    if found.nowhere:
        says.append(nowhere_says(found.nowhere))
    loudest = rooms[0]
    moves = [move_row(each) for each in loudest.moves]
    tables = (short_table(f"What {loudest.room} would be without some of it", MOVES_HEAD, moves, MOST_ROWS),)
    return Piece(
        name="noise",
        title="Noise",
        bad=found.above,
        lead=capital(headline(found)),
        says=tuple(says),
        tables=tables if moves else (),
        taken=found.taken,
        figures=(
            Figure(
                svg=Markup(loudness_sheet(lab, found)),
                caption="Each room with all that is heard in it, to one scale.",
            ),
        ),
        caution=NOISE_CAUTION,
    )
