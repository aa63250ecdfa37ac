"""What is said of the room that is left after each loss?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

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
from falsework.where import Where

MOST_SAID = 8
"""Losses after which something finds no room that are told in full."""
MOST_LOSSES = 40
MOST_STORES = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomLoss:
    """A loss after which something finds no room.

    Attributes:
        says: what, a sentence without its full stop.
        why: by how much, and what would not help, likewise.
        mend: what would do.
        where: the place in the lab file.
        sure: whether no packing at all would do.
    """

    says: str
    why: tuple[str, ...]
    mend: str
    where: Where | None
    sure: bool


def room_piece(found: RoomLeft) -> Piece | None:
    """The piece, without what `room_losses` tells; None where the lab has neither a pool nor a store."""
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


def room_losses(found: RoomLeft) -> tuple[RoomLoss, ...]:
    """The losses after which something finds no room, that with most of them first."""
    broken = sorted((each for each in found.after if each.homeless), key=lambda each: -len(each.homeless))
    return tuple(map(_loss, broken[:MOST_SAID]))


def _loss(each: After) -> RoomLoss:
    first = each.homeless[0]
    whom = f"for {first.copy}: " if len(each.homeless) > 1 else ""
    why = [homeless_why(one) for one in each.homeless[:MOST_SAID]]
    if homeless_help(first):
        why.append(homeless_help(first))
    return RoomLoss(
        says=capital(loss_says(each)),
        why=tuple(why),
        mend=f"{whom}{homeless_mend(first)}",
        where=first.where,
        sure=all(pool.sure for pool in each.pools),
    )


def _says(found: RoomLeft) -> Iterator[str]:
    for hole in found.overfull[:MOST_SAID]:
        yield overfull_says(hole)
    if not found.counted:
        yield "in so large a lab it takes long to count how many more copies would fit; falsework room --more does"
    if found.unsized:
        yield unsized_says(found.unsized)


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
