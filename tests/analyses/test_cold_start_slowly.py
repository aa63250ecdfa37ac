"""Does a cold start agree with one that is played through event by event?"""

from __future__ import annotations

import re
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

pytestmark = pytest.mark.slow

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


def later(text: str) -> str:
    """The same lab, its strips switching outlets on one after another, and batteries and circuits coming on later."""
    text = text.replace("is: strip,", "is: strip, staggers: 3 s,")
    return text.replace("is: ups,", "is: ups, comes on after: 7 s,").replace(
        "is: circuit,", "is: circuit, comes on after: 2 s,"
    )


@pytest.mark.parametrize("name", ["mended", "draft"])
def test_what_comes_on_later_rises_as_if_played_through(name):
    """The observatory without and with outlets one after another: nothing comes up sooner, and what hangs on a strip later."""
    text = (ROOT / "examples" / "observatory" / f"{name}.yaml").read_text(encoding="utf-8")
    text = re.sub(r", staggers: \d+ s", "", text)
    as_is, staggered = Standing(lab_of(text)), Standing(lab_of(later(text)))
    compare(staggered)
    before, after = (cold_start(each, hands=True).up_s for each in (as_is, staggered))
    assert set(before) == set(after)
    assert all(after[each] >= before[each] - 1e-6 for each in before)
    assert after["desk-2"] > before["desk-2"] + 9  # circuit, battery and at least one outlet before it


@given(texts())
@settings(max_examples=20, deadline=None)
def test_invented_labs_come_on_later_as_if_played_through(text):
    """Labs of any shape, everything that can wait waiting."""
    compare(Standing(lab_of(later(text))))
