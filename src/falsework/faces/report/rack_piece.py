"""What does the report say of racks?"""

from __future__ import annotations

from markupsafe import Markup

from falsework.analyses.rack import Racks
from falsework.analyses.rack.telling import (
    HEAD,
    free_says,
    headline,
    lifts_say,
    mounted_row,
    sheet_says,
)
from falsework.errors import capital
from falsework.faces.report.chances import Figure
from falsework.faces.report.piece import Piece, Table, short_table
from falsework.faces.report.rack import racks_sheet
from falsework.findings.finding import WEIGHT_CAUTION
from falsework.model.lab import Lab

MOST_ROWS = 20


def rack_piece(lab: Lab, found: Racks) -> Piece | None:
    """The piece; None where the lab has no rack."""
    if not found.racks:
        return None
    says: list[str] = []
    tables: list[Table] = []
    for sheet in found.racks:
        says.extend((*sheet_says(sheet), f"{sheet.rack}: {free_says(sheet)}", lifts_say(sheet)))
        rows = [mounted_row(each) for each in reversed(sheet.mounted)]
        tables.append(short_table(f"In {sheet.rack}, from the top", HEAD, rows, MOST_ROWS))
    return Piece(
        name="rack",
        title="Racks and weight",
        bad=found.bad,
        lead=capital(headline(found)),
        says=tuple(says),
        tables=tuple(tables),
        taken=tuple(each for sheet in found.racks for each in sheet.taken),
        figures=(
            Figure(
                svg=Markup(racks_sheet(lab, found, prefix="racks")),
                caption="Each rack from the front, from behind and from the side, all to one scale.",
            ),
        ),
        caution=WEIGHT_CAUTION,
    )
