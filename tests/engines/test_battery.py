"""How long does a battery last?"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.engines.battery import (
    LEAST_LEFT,
    LIFE_S,
    exponent_from,
    lasts_by_one_ampere_h,
    lasts_by_rating_h,
    lasts_s,
    left_after,
)


def test_capacity_told_at_one_ampere():
    """250 Ah at 20 A with 1.3: 5.0886 h, 101.77 Ah (check H06; public tutorials on Peukert's law)."""
    hours = lasts_by_one_ampere_h(250, 20, 1.3)
    assert hours == pytest.approx(5.0886, rel=1e-5)
    assert hours * 20 == pytest.approx(101.77, rel=1e-4)


def test_capacity_told_over_hours():
    """100 Ah over 20 h at 10 A with 1.2: 8.7 h, 87 Ah (check H08; an encyclopaedia's example, recalled)."""
    hours = lasts_by_rating_h(100, 20, 10, 1.2)
    assert hours == pytest.approx(8.7, abs=0.05)
    assert hours * 10 == pytest.approx(87, abs=0.5)


def test_the_exponent_from_two_ratings():
    """100 Ah at 5 A and 60 Ah at 20 A give 1.368 (check H09; figures from a public battery page, own calculation)."""
    assert exponent_from((100, 5), (60, 20)) == pytest.approx(1.368, abs=1e-3)
    with pytest.raises(ValueError, match="one current"):
        exponent_from((100, 5), (90, 5))


def test_the_two_conventions_are_not_the_same():
    """Traps of the checks: the same label read either way differs, here by the factor 5^0.3 = 1.62."""
    rated, at_one = lasts_by_rating_h(100, 20, 20, 1.3), lasts_by_one_ampere_h(100, 20, 1.3)
    assert rated / at_one == pytest.approx(5**0.3)
    assert 1.5 < rated / at_one < 2


def test_the_energy_form():
    """432 Wh, 0.8, 0.9, 300 W: 62.2 min (check H15, own calculation from the definition)."""
    assert lasts_s(432, 300, usable=0.8, inverter=0.9) == pytest.approx(62.208 * 60, rel=1e-4)


def test_a_loss_by_hand():
    """333 W of a battery of 432 Wh over 20 h with 1.2: 20 h (21.6 / 333.3)^1.2 x 0.8 = 36.0 min."""
    got = lasts_s(432, 300, usable=0.8, inverter=0.9, rated_h=20, exponent=1.2)
    assert got == pytest.approx(0.8 * 20 * (21.6 / (300 / 0.9)) ** 1.2 * 3600)
    assert got / 60 == pytest.approx(36.0, abs=0.1)


def test_slower_than_rated_nothing_is_gained():
    """At half its rated load a battery gives its label and no more."""
    slow = lasts_s(400, 10, usable=1, inverter=1, rated_h=20, exponent=1.3)
    assert slow == pytest.approx(40 * 3600)


@settings(max_examples=60, deadline=None)
@given(st.floats(1.0, 1.6), st.floats(0.2, 40), st.floats(1, 3000), st.floats(1, 3000))
def test_more_load_never_lasts_longer(exponent, rated_h, one, other):
    """Whatever the law's figures, and never longer than without a loss."""
    low, high = sorted((one, other))
    lasts = [
        lasts_s(500, w, usable=0.8, inverter=0.9, rated_h=rated_h, exponent=exponent) for w in (low, high)
    ]
    assert lasts[0] >= lasts[1] * (1 - 1e-12)
    assert lasts[1] <= lasts_s(500, high, usable=0.8, inverter=0.9) * (1 + 1e-12)


@settings(max_examples=40, deadline=None)
@given(st.floats(20, 400), st.floats(1, 50), st.floats(1.01, 1.5), st.floats(1.5, 8))
def test_the_exponent_comes_back(capacity, amperes, exponent, faster):
    """Two points of one law give its exponent again."""
    points = [(lasts_by_one_ampere_h(capacity, i, exponent) * i, i) for i in (amperes, amperes * faster)]
    assert exponent_from(points[0], points[1]) == pytest.approx(exponent)


def test_age():
    """All of it new, 80 % after five years (common practice), never less than a fifth."""
    assert left_after(0) == 1
    assert left_after(LIFE_S) == pytest.approx(0.8)
    assert left_after(100 * LIFE_S) == LEAST_LEFT
