"""Which layout is recommended, and what does it trade?"""

from __future__ import annotations

from collections.abc import Sequence
from math import log10

from falsework.analyses.drives.result import Layout, Wanted

ENOUGH = 1e-4
"""A chance of loss in a year that is not worth paying to lower: a slip of the hand, a theft or a fire is likelier.
Assumed; see docs/explanation/drives.md."""


def meets(layout: Layout, wanted: Wanted) -> bool:
    """Whether it gives what is wanted."""
    return layout.survives.drives >= wanted.most_lost and (
        wanted.room_bytes is None or layout.usable_bytes >= wanted.room_bytes
    )


def rank(layout: Layout, wanted: Wanted, lost: float | None = None) -> tuple[float, ...]:
    """Less is better: reachable with any one node gone; then how likely a loss is; then whether it heals itself.

    Of those that are alike in this, where a room is wanted the one that draws least, else the one with most room.
    Chances count by powers of ten down to `ENOUGH`.

    Args:
        layout: one that gives what is wanted.
        wanted: what that is.
        lost: the chance of loss, if it is not as usual.
    """
    chance = max(layout.usual.lost if lost is None else lost, ENOUGH)
    needed = layout.usable_bytes if wanted.room_bytes is None else wanted.room_bytes
    last = (
        (layout.watts.high, -layout.usable_bytes)
        if wanted.room_bytes is not None
        else (-layout.usable_bytes, layout.watts.high)
    )
    return (
        -min(layout.survives.nodes, 1),
        round(log10(chance)),
        -float(layout.heals.drive_bytes >= needed * (1 - 1e-9)),
        *last,
        layout.rebuild_s,
    )


def best(
    layouts: Sequence[Layout], wanted: Wanted, lost: Sequence[float] | None = None
) -> tuple[Layout, ...]:
    """Those that give what is wanted, the best first.

    Args:
        layouts: to choose from.
        wanted: what that is.
        lost: the chance of loss of each, if it is not as usual.
    """
    ranked = [
        (rank(each, wanted, None if lost is None else lost[number]), number, each)
        for number, each in enumerate(layouts)
        if meets(each, wanted)
    ]
    return tuple(each for _, _, each in sorted(ranked, key=lambda one: one[:2]))


def nearest(layouts: Sequence[Layout], wanted: Wanted) -> Layout | None:
    """Where none gives what is wanted: the one that survives it, or nearly, and of these has most room."""
    return max(
        layouts,
        key=lambda each: (min(each.survives.drives, wanted.most_lost), each.usable_bytes),
        default=None,
    )
