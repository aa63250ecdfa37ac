"""Which breakers may trip when power returns, by surges that the owner told?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework.analyses.power.inrush import inrush
from falsework.analyses.power.inrush_telling import ranked_rushes, rush_mend, rush_why, rushes_say
from falsework.findings.finding import POWER_CAUTION, Finding, Level
from falsework.support.standing import Standing

BRANCHES = 2000
"""A check is to be quick: a few groups do for a mend, and `falsework power` looks for the fewest."""


def at_once(standing: Standing) -> Iterator[Finding]:
    """Breakers that do not bear what comes on together, told once since one order of start mends them all.

    Surges that were only taken alarm nobody.
    """
    found = inrush(standing, branches=BRANCHES)
    over = [rush for rush in ranked_rushes(found) if rush.told]
    if not over:
        return
    worst = over[0]
    yield Finding(
        code="too much at once",
        level=Level.REMARK,
        says=rushes_say(over),
        why=(rush_why(worst),),
        mend=rush_mend(found),
        where=worst.where,
        things=tuple(
            dict.fromkeys(
                (*(each.source for each in over), *(name for each in over for name in each.worst.machines))
            )
        ),
        caution=POWER_CAUTION,
    )
