"""What is said of the room that is left after each loss?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework.analyses.room import After, RoomLeft
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
from falsework.errors import capital, few
from falsework.faces.report.piece import Piece, Table, short_table
from falsework.findings.finding import DATA_CAUTION

MOST_SAID = 8
"""Losses after which something finds no room that are told in full."""
MOST_LOSSES = 40
MOST_STORES = 20


def room_piece(found: RoomLeft) -> Piece | None:
    """The piece; None where the lab has neither a pool nor a store."""
    if not (found.after or found.stores or found.overfull or found.unsized):
        return None
    return Piece(
        name="room",
        title="Room",
        bad=not found.fits,
        lead=capital(headline(found)),
        says=tuple(map(capital, _says(found))),
        tables=tuple(each for each in _tables(found) if each.rows),
        caution=DATA_CAUTION if found.stores else "",
    )


def _says(found: RoomLeft) -> Iterator[str]:
    broken = sorted((each for each in found.after if each.homeless), key=lambda each: -len(each.homeless))
    for each in broken[:MOST_SAID]:
        yield from _broken(each)
    for hole in found.overfull[:MOST_SAID]:
        yield overfull_says(hole)
    if not found.counted:
        yield "in so large a lab it takes long to count how many more copies would fit; falsework room --more does"
    if found.unsized:
        yield unsized_says(found.unsized)


def _broken(each: After) -> Iterator[str]:
    """What finds no room after one loss, by how much, and what would help."""
    yield loss_says(each)
    for one in each.homeless[:MOST_SAID]:
        yield homeless_why(one)
    first = each.homeless[0]
    if homeless_help(first):
        yield homeless_help(first)
    whom = f"for {first.copy}: " if len(each.homeless) > 1 else ""
    yield f"what would do: {whom}{homeless_mend(first)}"
    if not all(pool.sure for pool in each.pools):
        yield "the search gave up before it was sure; a cleverer packing may house more"


def _tables(found: RoomLeft) -> Iterator[Table]:
    yield short_table(
        "Who goes where after each loss, the tightest first", RESTARTS_HEAD, restart_rows(found), MOST_LOSSES
    )
    yield short_table(MORE_SAYS, MORE_HEAD, more_rows(found), MOST_LOSSES)
    stores = like_stores(found.stores)
    rows = [
        (
            few([each.store for each in those], 4),
            store_says(those[0]),
            "; ".join(
                heal_says(those[0], losses) if len(those) == 1 else heal_says_of_many(those[0], losses)
                for losses in alike(those[0])
            ),
        )
        for those in stores
    ]
    yield short_table(
        "What lies on stores, and what they do after a loss",
        ("store", "holds", "after a loss"),
        rows,
        MOST_STORES,
    )
