"""How long until a drive that failed is replaced, and how fast may a rebuild go?"""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, log

from falsework.analyses.drives.enduring import Mending
from falsework.analyses.drives.figures import AS_TAKEN, REBUILD_GETS, Figures
from falsework.analyses.drives.result import Plan
from falsework.model.lab import Lab
from falsework.model.parts import Drive
from falsework.support.lives import hands_after_s
from falsework.units import Quantity

_Z95 = 1.6448536269514722
"""The 95 percent point of the normal distribution."""


def mending(
    lab: Lab, drives: Sequence[Drive], rebuild_gets: float | None, figures: Figures = AS_TAKEN
) -> Mending:
    """How rebuilds of these drives go.

    A drive is replaced once somebody has seen that it failed and has come, with the drive; an alarm would be sooner.
    A drive that a layout leaves over, as large as the largest that it takes, is at hand; else one from the shelf, else
    one that is ordered. Of a kind of which nobody says anything one is taken to be at hand, as everywhere.
    """
    hands_s = hands_after_s(lab)
    fix_s = max((_mean(each.mends_in) for each in drives if each.mends_in), default=0.0)
    sizes = {str(each.id): each.size or 0.0 for each in drives}
    kinds = {str(each.id): each.kind_name for each in drives}

    def replaced_s(plan: Plan) -> float:
        used = [each for group in plan.groups for each in group.sticks]
        largest = max(each.size_bytes for each in used)
        if any(sizes.get(name, 0.0) >= largest for name in plan.idle):
            return hands_s + fix_s
        waits = [
            spare.comes_in or 0.0
            for kind in {kinds.get(each.name, "") for each in used}
            if (spare := lab.spares.get(kind)) is not None and not spare.shelf
        ]
        return hands_s + fix_s + max(waits, default=0.0)

    return Mending(
        load_leaves=rebuild_gets
        if rebuild_gets is not None
        else figures.get(REBUILD_GETS.key, REBUILD_GETS.value),
        replaced_s=replaced_s,
    )


def _mean(time: Quantity) -> float:
    """The mean of a lognormal time whose 5 and 95 percent are the ends of its range, seconds.

    As `falsework.support.lives.mends`, without the library that takes longer to load than all else here.
    """
    if time.low <= 0 or time.low == time.high:
        return (time.low + time.high) / 2
    sigma = (log(time.high) - log(time.low)) / (2 * _Z95)
    return exp((log(time.high) + log(time.low)) / 2 + sigma**2 / 2)
