"""Is there room for everything when something is gone, and for how much more?"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from falsework.analyses.room import After, RoomLeft, StoreRoom, room_left
from falsework.analyses.room.telling import (
    MORE_HEAD,
    MORE_SAYS,
    RESTARTS_HEAD,
    alike,
    headline,
    heal_says,
    heal_says_of_many,
    homeless_help,
    homeless_mend,
    homeless_why,
    like_stores,
    loss_says,
    more_rows,
    overfull_says,
    restart_rows,
    store_says,
    unsized_says,
)
from falsework.errors import counted, few
from falsework.faces.cli.lines import Line, labelled, put, put_text
from falsework.faces.cli.lose import opened
from falsework.faces.cli.progress import Told
from falsework.faces.cli.running import BROKEN, MET
from falsework.faces.cli.table import table
from falsework.faces.cli.words import without
from falsework.faces.plain_room import room_answer
from falsework.findings.finding import DATA_CAUTION
from falsework.support.standing import Standing

MOST_BROKEN = 8
"""Losses after which something finds no room that are told in full."""
MOST_LOSSES = 12
"""Losses whose restarts are listed."""
MOST_STORES = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the options."""

    lab: Path
    out: tuple[str, ...] = ()
    lose: tuple[str, ...] = ()
    add: tuple[str, ...] = ()
    more: bool = False
    json: bool = False


def look_for_room(asked: Asked) -> int:
    """Look for room after each loss, print it, return the exit status: 1 where something does not fit.

    Raises:
        FalseworkError: the file, or the question.
    """
    with Told() as tell:
        tell("reading the lab", 0, 1)
        standing = opened(asked.lab, asked.out)
        found = room_left(
            standing, lose=asked.lose, add=asked.add, more=True if asked.more else None, progress=tell
        )
    status = MET if found.fits else BROKEN
    if asked.json:
        put_text(json.dumps(room_answer(standing, found, status), indent=2, allow_nan=False) + "\n")
    else:
        put(_lines(standing, found))
    return status


def _lines(standing: Standing, found: RoomLeft) -> Iterator[Line]:
    out = without(standing.out)
    yield Line(f"{standing.lab.name}: {headline(found)}{out}", style="head")
    broken = sorted((each for each in found.after if each.homeless), key=lambda each: -len(each.homeless))
    for each in broken[:MOST_BROKEN]:
        yield Line()
        yield from _broken(each)
    if len(broken) > MOST_BROKEN:
        yield Line()
        yield Line(
            f"{counted(len(broken) - MOST_BROKEN, 'more loss', 'more losses')} like these; --json lists all."
        )
    if found.overfull:
        yield Line()
        for hole in found.overfull[:MOST_BROKEN]:
            yield labelled("remark", overfull_says(hole), style="remark")
        if len(found.overfull) > MOST_BROKEN:
            yield Line(f"        and {len(found.overfull) - MOST_BROKEN} more; --json lists all")
    if any(each.pools for each in found.after):
        yield Line()
        yield from _restarts(found)
    if found.more:
        yield Line()
        yield from _more(found)
    if not found.counted:
        yield Line()
        yield Line("In so large a lab it takes long to count how many more copies would fit; --more does.")
    stores = like_stores(found.stores)
    for those in stores[:MOST_STORES]:
        yield Line()
        yield from _stores(those)
    if len(stores) > MOST_STORES:
        rest = sum(len(those) for those in stores[MOST_STORES:])
        yield Line()
        yield Line(f"{counted(rest, 'more store')}; --json lists all.")
    if found.stores:
        yield Line()
        yield labelled("mind", DATA_CAUTION, style="quiet")
    if found.unsized:
        yield Line()
        yield Line(f"{unsized_says(found.unsized)}.")


def _broken(each: After) -> Iterator[Line]:
    """What finds no room after one loss, by how much, and what would help."""
    yield labelled("BROKEN", loss_says(each), style="broken")
    for one in each.homeless[:MOST_BROKEN]:
        yield labelled("why", homeless_why(one), style="quiet", indent=8, width=6)
    first = each.homeless[0]
    if homeless_help(first):
        yield labelled("why", homeless_help(first), style="quiet", indent=8, width=6)
    whom = f"for {first.copy}: " if len(each.homeless) > 1 else ""
    yield labelled("mend", f"{whom}{homeless_mend(first)}", style="quiet", indent=8, width=6)
    if first.where is not None:
        yield labelled("at", str(first.where), style="quiet", indent=8, width=6)
    if not all(pool.sure for pool in each.pools):
        yield labelled(
            "mind",
            "the search gave up before it was sure; a cleverer packing may house more",
            style="quiet",
            indent=8,
            width=6,
        )


def _restarts(found: RoomLeft) -> Iterator[Line]:
    """Who goes where after each loss, the tightest first."""
    rows = restart_rows(found)
    yield from table(RESTARTS_HEAD, rows[:MOST_LOSSES])
    if len(rows) > MOST_LOSSES:
        yield Line(
            f"  and {counted(len(rows) - MOST_LOSSES, 'loss', 'losses')} more, with larger holes; --json lists all"
        )


def _more(found: RoomLeft) -> Iterator[Line]:
    """How many more of each size that was asked for, and where; then the services, those with as many together."""
    yield Line(f"{MORE_SAYS}:")
    yield from table(MORE_HEAD, more_rows(found), right=(0,))


def _stores(stores: Sequence[StoreRoom]) -> Iterator[Line]:
    """How full a store is, or several that are alike, and what it does after a loss."""
    store = stores[0]
    over = store.over > 0
    names = few([each.store for each in stores], 4)
    style = ("BROKEN", "broken") if over else ("store", "head")
    each = " each" if len(stores) > 1 else ""
    yield labelled(style[0], f"{names}:{each} {store_says(store)}".replace(":  ", ": "), style=style[1])
    for those in alike(store):
        says = heal_says(store, those) if len(stores) == 1 else heal_says_of_many(store, those)
        yield labelled("", says, indent=8, width=0)
    if over:
        yield labelled(
            "mend",
            "give it more or larger drives, or move something off it",
            style="quiet",
            indent=8,
            width=6,
        )
    if store.where is not None:
        yield labelled("at", str(store.where), style="quiet", indent=8, width=6)
