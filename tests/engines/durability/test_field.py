"""Does what is taken for drives, and what is told of the field, agree with what was published?"""

from __future__ import annotations

from pathlib import Path

import pytest

from falsework.engines.durability.chain import durability
from falsework.engines.durability.formulas import pair_mttdl
from falsework.engines.durability.group import Group
from falsework.engines.durability.redundant import Alike
from falsework.model.defaults import DEFAULTS
from falsework.units import YEAR_S

PAGE = (Path(__file__).parents[3] / "docs/explanation/durability.md").read_text(encoding="utf-8")


def test_e15_the_rate_that_is_taken_lies_within_the_band():
    """E15, Schroeder and Gibson (2007), FAST, abstract: above 1 %, 2 to 4 % common, up to 13 %."""
    (fails,) = (each for each in DEFAULTS["drive"] if each.key == "fails")
    assert 0.01 < fails.value.low < fails.value.high <= 0.13
    assert (fails.value.low, fails.value.high) == (0.02, 0.04)
    assert "Schroeder and Gibson (2007)" in fails.source
    assert "typically above 1 %, commonly 2 to 4 %, and up to 13 %" in PAGE


def test_e16_the_published_fleet_is_told_as_one_operators():
    """E16, published quarterly drive reports: the four rates, and whose they are."""
    told = next(line for line in PAGE.splitlines() if "278,656 drives" in line)
    for rate in ("1.41 %", "1.53 %", "1.54 %", "1.21 %"):
        assert rate in told
    assert "That is one operator's fleet" in PAGE


def test_the_page_is_right_about_its_mirror():
    """The worked example: every figure that it tells of two drives of 4 TB."""
    drive = Alike(count=2, rate=0.03 / YEAR_S, size_bytes=4e12, bytes_per_s=100e6)
    group = Group(members=(drive,), tolerated=1, load_leaves=0.5)
    bare = durability(group)
    assert bare.rebuild_s == ((80_000.0,),)
    assert round(bare.mean_s / YEAR_S) == 219_200
    assert pair_mttdl(mttf=1 / 0.03, mttr=80_000 / YEAR_S) == pytest.approx(219_150, abs=5)
    assert bare.lost == pytest.approx(4.6e-6, abs=5e-8)
    read = Alike(count=2, rate=0.03 / YEAR_S, size_bytes=4e12, bytes_per_s=100e6, read_errors=1e-15)
    found = durability(Group(members=(read,), tolerated=1, load_leaves=0.5))
    assert found.lost == pytest.approx(0.0019, abs=5e-5)
    assert 380 < found.lost / bare.lost < 430
    assert durability(Group(members=(read,), tolerated=1, load_leaves=0.5), reads=False) == bare
    batch = Alike(count=2, rate=0.03 / YEAR_S, size_bytes=4e12, bytes_per_s=100e6, batch="k7", in_common=0.05)
    assert durability(Group(members=(batch,), tolerated=1, load_leaves=0.5)).together == pytest.approx(
        0.0015, abs=1e-5
    )
