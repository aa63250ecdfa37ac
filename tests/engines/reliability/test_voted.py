"""Do the formulas for tested groups agree with each other, and with exact answers where both hold?"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from falsework.engines.reliability import latent, voted
from falsework.engines.reliability.voted import Group
from falsework.errors import QuestionError


@given(st.floats(1e-9, 1e-6), st.floats(100, 10_000))
def test_without_repairs_and_shared_causes_they_are_the_simple_ones(rate, interval):
    """With hidden faults only, x/2, x^2/3, x^2 and x^3/4 come out."""
    group = Group(hidden_rate=rate, interval=interval)
    for formula, k, n in (
        (voted.on_demand_1oo1, 1, 1),
        (voted.on_demand_1oo2, 1, 2),
        (voted.on_demand_2oo2, 2, 2),
        (voted.on_demand_2oo3, 2, 3),
        (voted.on_demand_1oo3, 1, 3),
    ):
        simple = latent.hidden_share_group_simple(k, n, rate, interval)
        assert formula(group) == pytest.approx(float(simple), rel=1e-12)


@given(st.floats(1e-9, 1e-6), st.floats(100, 10_000))
def test_failures_per_time_are_the_exact_ones_for_small_x(rate, interval):
    """With hidden faults only, the failures per unit of time of pairs are exact but for a share of about n x."""
    group = Group(hidden_rate=rate, interval=interval)
    for formula, k, n in (
        (voted.per_time_1oo1, 1, 1),
        (voted.per_time_1oo2, 1, 2),
        (voted.per_time_2oo3, 2, 3),
    ):
        exact = float(latent.hidden_frequency_group(k, n, rate, interval))
        assert formula(group) == pytest.approx(exact, rel=1.1 * n * rate * interval + 1e-12)


rates = st.floats(1e-8, 1e-6)


@given(rates, rates, st.floats(0, 1), st.floats(0, 1))
def test_with_everything_shared_a_group_is_no_better_than_one(hidden, shown, mend, c):
    """With both shared parts at 1, all groups are as likely down as one part."""
    group = Group(
        hidden_rate=hidden,
        shown_rate=shown,
        interval=1000,
        mend_found=24 * mend,
        mend_shown=8 * mend,
        hidden_shared=1,
        shown_shared=1,
        found=c,
        renewal=9000,
    )
    one = float(voted.on_demand_1oo1(group))
    for formula in (voted.on_demand_1oo2, voted.on_demand_2oo3, voted.on_demand_1oo3):
        assert formula(group) == pytest.approx(one, rel=1e-9)
    for formula in (voted.per_time_1oo2, voted.per_time_2oo3, voted.per_time_1oo3):
        assert formula(group) == pytest.approx(hidden, rel=1e-9)


@given(rates, st.floats(0, 1))
def test_a_test_that_misses_some_is_two_tests(hidden, c):
    """Found at T1 with the share c and at T2 with the rest: for one part the chances add up."""
    poor = Group(hidden_rate=hidden, interval=1000, found=c, renewal=8000)
    expected = hidden * (c * 500 + (1 - c) * 4000)
    assert voted.on_demand_1oo1(poor) == pytest.approx(expected, rel=1e-9)
    perfect = Group(hidden_rate=hidden, interval=1000)
    assert voted.on_demand_1oo2(poor) >= voted.on_demand_1oo2(perfect) * (1 - 1e-12)


def test_fields_broadcast():
    """Intervals in a row against shared parts in a column give a table, rising along both."""
    group = Group(
        hidden_rate=1e-6, interval=np.array([1e3, 1e4, 2e4]), hidden_shared=np.array([[0.0], [0.1]])
    )
    table = voted.on_demand_1oo2(group)
    assert table.shape == (2, 3)
    assert (np.diff(table, axis=0) > 0).all()
    assert (np.diff(table, axis=1) > 0).all()


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"hidden_rate": 0}, "rate of all faults is 0."),
        ({"hidden_rate": -1}, "rate of hidden faults is -1."),
        ({"interval": 0}, "interval is 0."),
        ({"interval": float("nan")}, "interval is nan."),
        ({"hidden_shared": 1.2}, "shared part of hidden faults is 1.2."),
        ({"mend_shown": 2e6}, "a repair of 2e+06 is longer than the life of 1e+06 before it."),
        ({"found": 0.9}, "a test misses some faults, and no renewal is given."),
        ({"found": 0.9, "renewal": 10}, "parts are renewed more often than they are tested."),
    ],
)
def test_nonsense_is_refused(fields, said):
    """What can't be is refused in words."""
    with pytest.raises(QuestionError) as caught:
        Group(**{"hidden_rate": 1e-6, "interval": 1000, **fields})
    assert said in str(caught.value)


def test_a_formula_far_out_of_where_it_holds_says_so():
    """A chance above 1 is never given."""
    with pytest.raises(QuestionError, match="far from where it holds"):
        voted.on_demand_1oo1(Group(hidden_rate=1e-3, interval=10_000))
