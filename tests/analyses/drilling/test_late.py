"""When is what a drill foretells late?"""

import math

import pytest

from falsework.analyses.drilling import Foretold, Plan
from falsework.analyses.drilling.late import back_by_s, given_up_s, last_back, late_s, over_s
from falsework.analyses.drilling.words import time, to_stop
from falsework.analyses.verdicts import Verdict

BLINKS = Foretold(service="mail", verdict=Verdict.BLINKS, falls_s=0.0, back_s=5.0)
LATER = Foretold(service="web", verdict=Verdict.BLINKS, falls_s=100.0, back_s=160.0)
FALLS = Foretold(service="shop", verdict=Verdict.FALLS, falls_s=1800.0, back_s=math.inf)


def plan(*effects, **said):
    """A drill that does just this."""
    return Plan(name="it", title="it", effects=effects, **said)


@pytest.mark.parametrize(("foretold_s", "late"), [(0.0, 30.0), (5.0, 35.0), (30.0, 60.0), (180.0, 360.0)])
def test_twice_as_long_and_half_a_minute_at_the_least(foretold_s, late):
    """The longer of both counts."""
    assert late_s(foretold_s) == late


def test_the_plan_says_the_very_moment_that_counts():
    """What is told of the last to come back is what a drill goes by, whatever falls after it."""
    it = plan(BLINKS, LATER, FALLS)
    assert last_back(it.effects) is LATER
    assert back_by_s(it) == 320.0
    assert f"is not back {time(back_by_s(it))} after the beginning" in to_stop(it.effects, None, "loss")[0]
    assert (over_s(it), given_up_s(it)) == (1800.0, 3600.0)


def test_what_the_owner_says_counts_whatever_happens():
    """`stop after` stands before all else; without it, it is never given up before all is watched."""
    assert given_up_s(plan(BLINKS, stop_after_s=7.0)) == 7.0
    assert given_up_s(plan(BLINKS, lasts_s=600.0)) == 600.0
    assert given_up_s(plan(lasts_s=600.0, tries="restore")) == 30.0


def test_what_never_comes_back_is_not_waited_for():
    """Neither what waits for the put-back, nor a cold start, whose power comes back nobody knows when."""
    assert back_by_s(plan(FALLS)) == math.inf
    assert last_back((FALLS,)) is None
    assert back_by_s(plan(BLINKS, tries="cold start")) == math.inf
    assert over_s(plan(BLINKS, tries="cold start")) == 0.0
