"""What does the report say of drives?"""

from __future__ import annotations

from markupsafe import Markup

from falsework.analyses.drives.result import Drives
from falsework.analyses.drives.telling import (
    HEAD,
    STORES_HEAD,
    chosen_says,
    disputed_says,
    headline,
    heap_says,
    layout,
    nearest_says,
    needed_says,
    remarks,
    row,
    shown,
    store_row,
)
from falsework.errors import capital
from falsework.faces.report.chances import Figure
from falsework.faces.report.layouts import layouts_sheet
from falsework.faces.report.piece import Piece, Table, short_table
from falsework.findings.finding import DATA_CAUTION
from falsework.model.lab import Lab

MOST_ROWS = 6
MOST_STORES = 20


def drives_piece(lab: Lab, found: Drives) -> Piece:
    """The piece, of a lab that has a heap or a store."""
    says: list[str] = []
    tables: list[Table] = []
    for heap in found.heaps:
        says.append(heap_says(heap))  # it begins with a name
        says.extend(capital(each) for each in remarks(heap))
        chosen, close = layout(heap, heap.recommended), layout(heap, heap.nearest)
        if chosen is not None:
            says.extend(
                _sentence(each) for each in (*list(chosen_says(chosen))[1:], heap.reason, *heap.trades)
            )
            says.extend(f"In dispute: {disputed_says(each)}" for each in heap.disputed)
        elif close is not None:
            says.extend(capital(each) for each in (nearest_says(heap, close), needed_says(heap)))
        rows = [row(each) for each in shown(heap)]
        if rows:
            tables.append(
                Table(
                    says=f"Layouts of {heap.heap}; d/n/e: drives, nodes, enclosures that may be lost at once",
                    heads=HEAD,
                    rows=tuple(rows[:MOST_ROWS]),
                    more=max(sum(each.front for each in heap.layouts) - MOST_ROWS, 0),
                )
            )
    if found.stores:
        stores = [store_row(each) for each in found.stores]
        tables.append(short_table("The stores as they are laid out today", STORES_HEAD, stores, MOST_STORES))
    figures = (
        Figure(
            svg=Markup(layouts_sheet(lab, found, prefix="drives")),
            caption="Each layout by its room and by how rarely it loses data.",
        ),
    )
    return Piece(
        name="drives",
        title="Drives",
        bad=not found.met,
        lead=capital(headline(found)),
        says=tuple(says),
        tables=tuple(tables),
        taken=found.all_taken,
        figures=figures if found.heaps else (),
        caution=DATA_CAUTION,
    )


def _sentence(clause: str) -> str:
    """A clause, with its subject where it begins with its verb."""
    return (
        f"It {clause}" if clause.split(" ")[0] in ("survives", "loses", "heals", "does") else capital(clause)
    )
