"""Are amounts said as people say them, and no surer than they are?"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from falsework.analyses.odds.result import Within
from falsework.faces.amounts import (
    bounds_said,
    by_order_said,
    figure_said,
    minutes_said,
    often_said,
    range_said,
    share_said,
)


@pytest.mark.parametrize(
    ("minutes", "said"),
    [
        (0.0, "0 min"),
        (0.001, "under 1 s"),
        (0.5, "30 s"),
        (34.0, "34 min"),
        (312.0, "5 h 12 min"),
        (2880.0, "2 days"),
    ],
)
def test_minutes(minutes, said):
    """Tiny amounts are bounded, not said to the millisecond."""
    assert minutes_said(minutes) == said


@pytest.mark.parametrize(
    ("per_year", "said"),
    [
        (0.0, "never"),
        (12.0, "12 times a year"),
        (2.13, "2.1 times a year"),
        (1.0, "once a year"),
        (0.96, "0.96 times a year"),
        (0.5, "once in 2 years"),
        (0.24, "once in 4.2 years"),
        (3.4e-4, "once in 2,900 years"),
    ],
)
def test_how_often(per_year, said):
    """Often is so many times a year, seldom is once in so many years, each to two figures."""
    assert often_said(per_year) == said


@given(st.floats(1e-9, 1e6))
def test_how_often_is_near_what_is_said(per_year):
    """The number said is within one part in ten of the number meant."""
    said = often_said(per_year)
    if said == "once a year":
        value = 1.0
    elif said.startswith("once in "):
        value = 1 / float(said.split()[2].replace(",", ""))
    else:
        value = float(said.split()[0].replace(",", ""))
    assert value == pytest.approx(per_year, rel=0.06)


@pytest.mark.parametrize(
    ("share", "said"),
    [
        (0.0, "0 %"),
        (0.00001, "under 0.1 %"),
        (0.004, "0.4 %"),
        (0.0999, "10 %"),
        (0.62, "62 %"),
        (1.0, "100 %"),
    ],
)
def test_shares(share, said):
    """Two figures are enough, and next to nothing is said so."""
    assert share_said(share) == said


@pytest.mark.parametrize(
    ("orders", "said"),
    [
        ((), ""),
        ((1,), "1 single part"),
        ((7, 31), "7 single parts, 31 pairs"),
        ((0, 1, 2, 1), "1 pair, 2 sets of three, 1 set of four"),
        ((0, 0, 0, 0, 3, 4000), "4,003 larger ones"),
        ((0, 0, 0, 0, 1), "1 larger one"),
    ],
)
def test_orders(orders, said):
    """Sets are counted by size, the large ones in one."""
    assert by_order_said(orders) == said


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (float("inf"), "no end"),
        (0.0312, "0.0312"),
        (1710.4, "1,710"),
        (1.2e-7, "1.2e-07"),
        (2.5e7, "2.5e+07"),
    ],
)
def test_figures(value, said):
    """Three figures, thousands in full."""
    assert figure_said(value) == said


def test_a_range_of_one_is_none():
    """Where nothing was drawn there is no range to tell."""
    assert range_said(Within(best=5.0, low=5.0, high=5.0)) == ""
    assert range_said(Within(best=5.0, low=2.0, high=60.0)) == "2 min to 1 h"


def test_bounds_that_read_alike_say_how_close_they_are():
    """Nobody is told that a figure lies between 1 h 14 min and 1 h 14 min."""
    assert bounds_said(90.0, 110.0) == "proven to lie between 1 h 30 min and 1 h 50 min"
    assert bounds_said(74.0, 74.05) == "proven to within 3 s"
