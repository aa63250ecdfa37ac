"""Which drills prove what the plan promises, and may one be done today?"""

from falsework.analyses.drilling.asked import plan_for
from falsework.analyses.drilling.foretold import foretold
from falsework.analyses.drilling.may import MayDrill, may_drill
from falsework.analyses.drilling.result import Broken, Claim, Drills, Foretold, Plan, Sort
from falsework.analyses.drilling.whole import drills

__all__ = [
    "Broken",
    "Claim",
    "Drills",
    "Foretold",
    "MayDrill",
    "Plan",
    "Sort",
    "drills",
    "foretold",
    "may_drill",
    "plan_for",
]
