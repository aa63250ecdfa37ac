"""Is the placement of a whole lab what looking at every placement, with the real verdicts, finds?"""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.analyses.placing.looking import hold_aims, hold_cuts, hold_levels, hold_moves, looked
from tests.analyses.placing.small_labs import broken, invented, lab_of, placements
from tests.lengths import many

from falsework.analyses.placing import place_lab
from falsework.support.standing import Standing

SEVERAL = [
    *range(6),
    *(pytest.param(seed, marks=pytest.mark.slow) for seed in range(6, many(20, at_length=200))),
]


def hold(text):
    """All that is claimed of a placement."""
    at = looked(lab_of(text))
    found = place_lab(Standing(at.lab), seconds=60, workers=1)
    hold_aims(at, found)
    hold_levels(at, found)
    hold_cuts(at)
    _, broke = hold_moves(at, found)
    assert not broke, "a clean move breaks an aim that both ends meet"


@pytest.mark.parametrize("seed", SEVERAL)
@pytest.mark.slow
def test_no_placement_is_better(seed):
    """It keeps the rules, meets the aims where that can be, costs the least, and moves without breaking an aim."""
    hold(invented(Random(seed)))


@pytest.mark.slow
@settings(
    deadline=None,
    max_examples=many(12, at_length=400),
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.large_base_example],
)
@given(st.randoms(use_true_random=False))
def test_no_placement_is_better_of_many(random):
    """The same of labs that shrink when the claim fails."""
    hold(invented(random))


@pytest.mark.slow
def test_looking_at_all_knows_good_from_bad():
    """The labs that are invented have some that all meet, some that few do, and some that none does."""
    least, most = set(), 0
    for seed in range(30):
        lab = lab_of(invented(Random(seed)))
        counts = [broken(lab, each) for each in list(placements(lab))[:40]]
        least.add(min(counts, default=None))
        most += len(set(counts)) > 1
    assert {None, 0, 1} <= least
    assert most >= 3
