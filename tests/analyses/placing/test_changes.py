"""Do the changes that are told really help, once somebody makes them in the lab file?"""

from __future__ import annotations

from random import Random

import pytest
from tests.analyses.placing.mending import mended
from tests.analyses.placing.small_labs import invented, lab_of
from tests.lengths import many

from falsework.analyses.placing import place_lab
from falsework.support.standing import Standing

pytestmark = pytest.mark.slow

SEEDS = [
    *range(12),
    *(pytest.param(seed, marks=pytest.mark.slow) for seed in range(12, many(40, at_length=400))),
]


@pytest.mark.parametrize("seed", SEEDS)
def test_what_was_told_no_longer_stands_in_the_way(seed):
    """Made in the text, the changes let all be placed, and the same reasons are not told again."""
    text = invented(Random(seed))
    found = place_lab(Standing(lab_of(text)), seconds=60, workers=1)
    if not found.would_do:
        assert found.possible or found.why_not
        return
    after = place_lab(Standing(lab_of(mended(text, found.would_do))), seconds=60, workers=1)
    assert after.possible
    # A smallest set that only has more in it says that these alone can be kept now.
    assert {each.says for each in found.why_not} != {each.says for each in after.why_not}
