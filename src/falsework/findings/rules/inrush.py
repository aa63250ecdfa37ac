"""Which breaker may trip when power returns, by surges that the owner told?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework.analyses.power.inrush import inrush
from falsework.analyses.power.inrush_telling import ranked_rushes, rush_mend, rush_says, rush_why
from falsework.findings.finding import POWER_CAUTION, Finding, Level
from falsework.support.standing import Standing


def at_once(standing: Standing) -> Iterator[Finding]:
    """Breakers that do not bear what comes on together; surges that were only taken alarm nobody."""
    found = inrush(standing)
    for rush in ranked_rushes(found):
        limit = rush.limit_a or 0.0
        if not any(each.said_a > limit * (1 + 1e-9) for each in rush.moments):
            continue
        yield Finding(
            code="too much at once",
            level=Level.REMARK,
            says=rush_says(rush),
            why=(rush_why(rush),),
            mend=rush_mend(found),
            where=rush.where,
            things=(rush.source, *rush.worst.machines),
            caution=POWER_CAUTION,
        )
