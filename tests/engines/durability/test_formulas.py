"""Do the short formulas give what was published?"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.engines.durability import formulas
from falsework.errors import QuestionError

PATTERSON = {"mttf": 30_000.0, "mttr": 1.0, "data": 100}


@pytest.mark.parametrize(
    ("check", "group", "hours", "within"),
    [
        # Patterson, Gibson, Katz (1988), SIGMOD, as quoted in a public review: MTTF 30,000 h, MTTR 1 h, 100 disks.
        pytest.param(0, 10, 300, 1e-12, id="E01 no redundancy"),
        pytest.param(1, 1, 4_500_000, 1e-12, id="E02 mirrored pairs"),
        pytest.param(4, 10, 494_500, 1e-3, id="E03 four check disks per ten"),
        pytest.param(1, 10, 820_000, 5e-3, id="E04 one parity per ten"),
        pytest.param(1, 10, 818_182, 1e-6, id="E04 exactly"),
    ],
)
def test_arrays_of_1988(check, group, hours, within):
    """The published mean times of arrays of a hundred disks."""
    found = formulas.array_mttdl(**PATTERSON, group=group, check=check)
    assert found == pytest.approx(hours, rel=within)


def test_e06_a_mirrored_pair():
    """E06, a published worked problem: MTTF 6,000,000 h and MTTR 120 h make 1.5e11 h."""
    assert formulas.pair_mttdl(mttf=6e6, mttr=120) == 1.5e11


def test_e07_drives_for_a_wanted_time():
    """E07, the same problem: five drives for 1,200,000 h."""
    assert formulas.drives_for(mttf=6e6, wanted=1.2e6) == 5


def test_drives_for_keeps_a_whole_quotient_whole():
    """A quotient that is whole but for rounding is not cut down."""
    assert formulas.drives_for(mttf=0.3, wanted=0.1) == 3


def test_e09_read_errors_of_a_rebuild():
    """E09, open storage textbook, Example 16.17: 7 x 16 TB at 1e-14 are 8.96 errors."""
    assert formulas.expected_read_errors(bytes_read=7 * 16e12, per_bit=1e-14) == pytest.approx(8.96)


def test_e10_chance_of_a_read_error():
    """E10, the same example: virtually certain, 0.99987."""
    assert formulas.read_error_chance(bytes_read=7 * 16e12, per_bit=1e-14) == pytest.approx(0.99987, abs=1e-5)


@pytest.mark.parametrize(("per_bit", "size"), [(1e-14, 12.5e12), (1e-15, 125e12), (1e-17, 12.5e15)])
def test_e12_bytes_for_each_error(per_bit, size):
    """E12, the same textbook: 12.5 TB, 125 TB, 12.5 PB."""
    assert formulas.bytes_per_read_error(per_bit) == pytest.approx(size)


def test_e13_errors_of_a_terabyte():
    """E13, Hetzler (2012), storage series part 2: 8 % a TB at 1e-14; exactly 7.69 %."""
    assert formulas.expected_read_errors(bytes_read=1e12, per_bit=1e-14) == pytest.approx(0.08)
    assert formulas.read_error_chance(bytes_read=1e12, per_bit=1e-14) == pytest.approx(0.0769, abs=5e-5)


def test_e14_rate_of_a_data_sheet():
    """E14, Schroeder and Gibson (2007), FAST, abstract: 1,000,000 h are 0.88 %; as a chance 0.872 %."""
    rate = formulas.yearly_rate(1e6)
    assert round(rate.linear * 100, 2) == 0.88
    assert rate.chance * 100 == pytest.approx(0.872, abs=5e-4)


def test_e18_rate_from_drive_days():
    """E18, the definition of published drive reports: 3 failures in 10,000 drive-days are 10.95 % a year."""
    assert formulas.observed_rate(failures=3, drive_days=10_000) == pytest.approx(0.1095)


@pytest.mark.parametrize(
    ("check", "in_year"),
    [
        # The open model `erasure-coding-durability` (README): 17+3, 0.00405 a year, 6.5 days.
        pytest.param(3, 7.354e-12, id="E19 four lost are too many"),
        pytest.param(1, 5.545e-5, id="E22 two lost are too many"),
        pytest.param(0, 7.781e-2, id="E22 one lost is too many"),
    ],
)
def test_the_period_model(check, in_year):
    """The published chances of losing pieces of an erasure code."""
    found = formulas.period_model(data=20 - check, check=check, rate_per_year=0.00405, period_days=6.5)
    assert found.lost_in_year == pytest.approx(in_year, rel=1e-3)


def test_e20_one_period():
    """E20, the same README: four or more in one period have 1.310e-13."""
    found = formulas.period_model(data=17, check=3, rate_per_year=0.00405, period_days=6.5)
    assert found.lost == pytest.approx(1.310e-13, rel=1e-3)


@pytest.mark.parametrize(
    ("data", "check", "share"),
    [(17, 3, 0.85), (4, 2, 2 / 3), (7, 1, 7 / 8), (1, 1, 0.5), (1, 2, 1 / 3)],
)
def test_e23_usable_share(data, check, share):
    """E23, by definition: k / (k + m)."""
    assert formulas.usable_share(data, check) == pytest.approx(share)


@pytest.mark.parametrize(
    ("size", "speed", "hours", "digits"), [(16e12, 200e6, 22.2, 1), (4e12, 112e6, 9.92, 2)]
)
def test_e26_floor_of_a_rebuild(size, speed, hours, digits):
    """E26, common practice: size over rate, to the digits that were printed."""
    found = formulas.rebuild_floor_s(size_bytes=size, bytes_per_s=speed) / 3600
    assert round(found, digits) == hours


@settings(max_examples=30, deadline=None)
@given(st.integers(1, 20), st.integers(0, 4), st.floats(0, 2), st.floats(0.01, 400))
def test_one_more_check_piece_never_harms(data, check, rate, days):
    """With the same pieces in all, bearing one more is never worse; a chance stays one."""
    worse = formulas.period_model(data=data + 1, check=check, rate_per_year=rate, period_days=days)
    better = formulas.period_model(data=data, check=check + 1, rate_per_year=rate, period_days=days)
    assert 0 <= better.lost_in_year <= worse.lost_in_year <= 1


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: formulas.array_mttdl(mttf=1e6, mttr=0, data=4, group=4, check=1),
        lambda: formulas.array_mttdl(mttf=1e6, mttr=1, data=5, group=4, check=1),
        lambda: formulas.expected_read_errors(bytes_read=-1, per_bit=1e-14),
        lambda: formulas.yearly_rate(float("nan")),
        lambda: formulas.usable_share(0, 1),
    ],
)
def test_numbers_that_cannot_be_are_refused(wrong):
    """Each with a word on how to mend it."""
    with pytest.raises(QuestionError, match="Give"):
        wrong()
