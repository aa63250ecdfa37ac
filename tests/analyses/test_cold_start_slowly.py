"""Does a cold start agree with one that is played through event by event?"""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from tests.raising_strategies import bare_texts
from tests.slow_rises import slow_rises
from tests.strategies import lab_of, texts

from falsework.analyses.cold_start import cold_start
from falsework.analyses.cold_start.scene import hands_s
from falsework.model.build import load
from falsework.support.standing import Standing

ROOT = Path(__file__).parents[2]
LABS = sorted(
    path
    for pattern in ("tests/labs/traps/*/*.yaml", "tests/labs/starting/*/*.yaml", "examples/**/*.yaml")
    for path in ROOT.glob(pattern)
    if path.name != "expect.yaml"
)


def compare(standing: Standing) -> None:
    """Alone and with hands, the same things come up, in the same second."""
    for hands in (False, True):
        found = cold_start(standing, hands=hands).up_s
        slow = slow_rises(
            standing.support, out=standing.out, hands_s=hands_s(standing.lab) if hands else None
        )
        assert set(found) == set(slow)
        assert found == pytest.approx(slow)


@pytest.mark.parametrize("path", LABS, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_small_labs_rise_as_if_played_through(path):
    """Every small lab and every example."""
    compare(Standing(load(path)))


@given(texts())
@settings(max_examples=30, deadline=None)
def test_invented_labs_rise_as_if_played_through(text):
    """Labs of any shape."""
    compare(Standing(lab_of(text)))


@given(bare_texts())
@settings(max_examples=15, deadline=None)
def test_labs_to_be_raised_rise_as_if_played_through(text):
    """Labs with needs to build, keys and stand-ins."""
    compare(Standing(lab_of(text)))
