"""When is what a drill foretells late, so that the drill is given up?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache

from falsework.analyses.drilling.result import Foretold, Plan
from falsework.analyses.verdicts import Verdict

LATE, LEAST_LATE_S = 2.0, 30.0
"""What takes twice as long as foretold, and half a minute more at the least, is not what was foretold."""


def late_s(foretold_s: float) -> float:
    """From when on something is late that is foretold for a moment, seconds, both from the same beginning."""
    return max(LATE * foretold_s, foretold_s + LEAST_LATE_S)


def last_back(effects: Sequence[Foretold]) -> Foretold | None:
    """The last to come back by itself; None if nothing does."""
    back = [each for each in effects if each.verdict is Verdict.BLINKS and not math.isinf(each.back_s)]
    return max(back, key=lambda each: each.back_s, default=None)


@cache
def over_s(plan: Plan) -> float:
    """Seconds from the action until the last of what is foretold has come, and gone where it does so by itself.

    In a cold start only until all is down: what comes back then counts from the moment when the power is back.
    """
    cold = plan.tries == "cold start"
    ends = [
        each.falls_s if cold or math.isinf(each.back_s) else each.back_s
        for each in plan.effects
        if each.verdict >= Verdict.BLINKS and not math.isinf(each.falls_s)
    ]
    return max(ends, default=0.0)


def back_by_s(plan: Plan) -> float:
    """Seconds from the action after which it is given up if something is not back that comes back by itself.

    Infinity where nothing does, and in a cold start, in which nobody knows beforehand when the power is back.
    """
    last = last_back(plan.effects)
    return math.inf if last is None or plan.tries == "cold start" else late_s(last.back_s)


def given_up_s(plan: Plan) -> float:
    """Seconds from the action after which it is given up if it is not over, at the latest.

    Where the plan says when, that counts, whatever has happened.
    """
    if plan.stop_after_s is not None:
        return plan.stop_after_s
    waited_s = 0.0 if plan.tries in ("cold start", "restore") else plan.lasts_s
    return max(late_s(over_s(plan)), waited_s)
