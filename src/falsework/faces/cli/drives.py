"""Which ways are there to lay out drives, which is recommended, and how durable is what is laid out?"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from falsework.analyses.drives.result import Drives, HeapLayouts
from falsework.analyses.drives.telling import (
    HEAD,
    STORES_HEAD,
    chosen_says,
    disputed_says,
    group_says,
    headline,
    heap_says,
    idle_says,
    layout,
    nearest_says,
    needed_says,
    nothing_says,
    remarks,
    row,
    shown,
    store_row,
    where_says,
)
from falsework.analyses.drives.whole import drives
from falsework.errors import counted
from falsework.faces.cli.lines import Line, labelled, put, put_text
from falsework.faces.cli.progress import Told
from falsework.faces.cli.running import BROKEN, MET, write
from falsework.faces.cli.table import table
from falsework.faces.cli.taken import taken_lines
from falsework.faces.plain_drives import drives_answer
from falsework.findings.finding import DATA_CAUTION
from falsework.model.build import load
from falsework.model.lab import Lab

MOST_GROUPS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the options."""

    lab: Path
    heap: tuple[str, ...] = ()
    want: str | None = None
    all: bool = False
    picture: Path | None = None
    json: bool = False


def compare_layouts(asked: Asked) -> int:
    """Compare layouts, print them, return the exit status: 1 where none of a heap gives what is wanted.

    Raises:
        FalseworkError: the file, the heap, the room, or the place for the picture.
    """
    with Told() as tell:
        tell("reading the lab", 0, 1)
        lab = load(asked.lab)
        found = drives(lab, heaps=asked.heap, want=asked.want, every=asked.all, tell=tell)
        if asked.picture is not None:
            # Only here: the drawing loads what no other answer needs.
            from falsework.faces.report.layouts import layouts_sheet

            tell("drawing", 0, 1)
            write(asked.picture, f"{layouts_sheet(lab, found)}\n", over=True)
    status = MET if found.met else BROKEN
    if asked.json:
        put_text(json.dumps(drives_answer(lab, found, status), indent=2, allow_nan=False) + "\n")
    else:
        put(_lines(lab, found, every=asked.all))
    return status


def _lines(lab: Lab, found: Drives, *, every: bool) -> Iterator[Line]:
    yield Line(f"{lab.name}: {headline(found)}", style="head")
    for heap in found.heaps:
        yield Line()
        yield from _heap(heap, every=every)
    if found.stores:
        yield Line()
        yield Line("The stores as they are laid out today; drives: how many it survives, whichever they are")
        yield from table(STORES_HEAD, [store_row(each) for each in found.stores], right=(1, 2))
    yield from taken_lines(found.all_taken)
    yield Line()
    yield labelled("mind", DATA_CAUTION, style="quiet")


def _heap(heap: HeapLayouts, *, every: bool) -> Iterator[Line]:
    yield Line(f"{heap_says(heap)}.")
    for says in remarks(heap):
        yield labelled("remark", says, style="remark", indent=2)
    chosen, close = layout(heap, heap.recommended), layout(heap, heap.nearest)
    if chosen is not None:
        yield Line()
        first, *more = chosen_says(chosen)
        yield labelled(f"no {chosen.number}", f"is recommended: {first}", style="stands", indent=2)
        for says in more:
            yield labelled("", says, indent=2)
        yield labelled("bays", where_says(chosen), style="quiet", indent=2)
        groups = tuple(group_says(chosen))
        for says in groups[:MOST_GROUPS]:
            yield labelled("", says, style="quiet", indent=2)
        if len(groups) > MOST_GROUPS:
            yield labelled("", f"and {counted(len(groups) - MOST_GROUPS, 'group')} more; --json lists all", style="quiet", indent=2)  # fmt: skip
        if idle_says(chosen):
            yield labelled("", idle_says(chosen), style="quiet", indent=2)
        yield labelled("why", heap.reason, indent=2)
        for says in heap.trades:
            yield labelled("or", says, indent=2)
    else:
        says = nearest_says(heap, close) if close is not None else nothing_says(heap)
        yield labelled("BROKEN", says, style="broken", indent=2)
        yield labelled("mend", needed_says(heap), style="quiet", indent=10, width=6)
        if heap.where is not None:
            yield labelled("at", str(heap.where), style="quiet", indent=10, width=6)
    rows = heap.layouts if every else shown(heap)
    if rows:
        yield Line()
        yield Line(
            "  d/n/e: how many drives, nodes, enclosures may be lost at once, whichever they are",
            style="quiet",
        )
        yield from table(HEAD, [row(each) for each in rows], right=(0, 1))
        left = len(heap.layouts) - len(rows)
        if left > 0:
            yield Line(f"  and {left} more on the front; --json lists them, --all the worse ones too")
    if heap.disputed:
        yield Line()
        yield Line("In dispute:")
        for each in heap.disputed:
            yield labelled("", disputed_says(each), indent=2, width=0)
            yield labelled("", each.source, style="quiet", indent=4, width=0)
