"""Do levels add up as printed, and do the two limits give the printed hours?"""

from __future__ import annotations

from math import inf, log10

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.engines import acoustics
from falsework.errors import QuestionError

levels = st.floats(0, 120)
few = settings(max_examples=50, deadline=None)


@pytest.mark.parametrize(
    ("of", "together"),
    [
        pytest.param((90, 90), 93, id="I01 public acoustics pages"),
        pytest.param((85, 85), 88, id="I01 85"),
        pytest.param((65, 65), 68, id="I01 65"),
        pytest.param((70, 75, 80), 81.5, id="I03 public worked example"),
        pytest.param((21,) * 7, 29.5, id="I06 seven fans, not 147"),
    ],
)
def test_levels_together(of, together):
    """The published sums, to a twentieth of a decibel."""
    assert acoustics.summed(of) == pytest.approx(together, abs=0.05)


@pytest.mark.parametrize(("apart", "more"), [(1, 2.5), (10, 0.4)])
def test_i04_how_much_the_quieter_one_adds(apart, more):
    """I04, public worked example: 2.5 dB where levels differ by one, 0.4 where they differ by ten."""
    assert acoustics.summed((60, 60 - apart)) - 60 == pytest.approx(more, abs=0.05)


def test_i07_twice_the_distance():
    """I07, standard: twice as far from a point source is 6.02 dB less."""
    assert acoustics.at_distance(60, told_at_m=1, distance_m=2) == pytest.approx(60 - 6.02, abs=0.005)


@pytest.mark.parametrize(("level", "hours"), [(90, 8), (95, 4), (100, 2), (105, 1), (110, 0.5), (115, 0.25)])
def test_i08_permitted_hours(level, hours):
    """I08, 29 CFR 1910.95, Table G-16."""
    assert acoustics.osha_hours(level) == hours


@pytest.mark.parametrize(
    ("level", "hours", "digits"), [(80, 32, 0), (81, 27.9, 1), (85, 16, 0), (120, 0.125, 3), (130, 0.031, 3)]
)
def test_i10_reference_hours(level, hours, digits):
    """I10, the same, Appendix A, Table G-16a, to one unit of the last printed digit."""
    assert acoustics.osha_hours(level) == pytest.approx(hours, abs=10**-digits)


@pytest.mark.parametrize(
    ("level", "hours"), [(82, 16), (85, 8), (91, 2), (94, 1), (97, 0.5), (100, 0.25), (103, 0.125)]
)
def test_i12_recommended_hours(level, hours):
    """I12, NIOSH 98-126, Table 1-1."""
    assert acoustics.niosh_hours(level) == pytest.approx(hours, rel=1e-12)


@pytest.mark.parametrize(("percent", "level"), [(50, 82.0), (100, 85.0), (200, 88.0), (500, 92.0)])
def test_i14_dose_as_a_mean_level(percent, level):
    """I14, NIOSH 98-126, Table 1-2."""
    assert acoustics.niosh_mean(percent / 100) == pytest.approx(level, abs=0.05)


@few
@given(st.floats(80, 115), st.floats(0.1, 24))
def test_the_mean_of_a_dose_gives_the_dose_back(level, hours):
    """Eight hours at the mean level are the same dose; exactly by one limit, to 3 % by the other, which prints 10 for 9.97."""
    share = acoustics.dose(hours, acoustics.osha_hours(level))
    same = acoustics.osha_mean(share)
    if same >= acoustics.LEAST_DB:
        assert acoustics.dose(8, acoustics.osha_hours(same)) == pytest.approx(share)
    share = acoustics.dose(hours, acoustics.niosh_hours(level))
    same = acoustics.niosh_mean(share)
    if same >= acoustics.LEAST_DB:
        assert acoustics.dose(8, acoustics.niosh_hours(same)) == pytest.approx(share, rel=0.03)
    assert acoustics.osha_mean(0.5) == pytest.approx(16.61 * log10(0.5) + 90, abs=0.01)


@few
@given(st.floats(0.25, 16))
def test_levels_for_hours_are_hours_for_levels(hours):
    """The two ways to ask agree, within 80 dB and the ceilings."""
    assert acoustics.osha_hours(acoustics.osha_level(hours)) == pytest.approx(hours)
    assert acoustics.niosh_hours(acoustics.niosh_level(hours)) == pytest.approx(hours)
    assert acoustics.osha_level(0) == acoustics.OSHA_CEILING_DB
    assert acoustics.niosh_level(0) == acoustics.NIOSH_CEILING_DB


def test_below_80_db_nothing_counts():
    """Neither limit knows a level below 80 dBA."""
    assert acoustics.osha_hours(79.9) == acoustics.niosh_hours(79.9) == inf
    assert acoustics.dose(24, inf) == 0


@few
@given(st.lists(levels, min_size=1, max_size=8))
def test_a_sum_is_between_the_loudest_and_all_as_loud(of):
    """And it does not hang on their order; silence adds nothing."""
    together = acoustics.summed(of)
    assert max(of) <= together + 1e-9
    assert together <= max(of) + 10 * log10(len(of)) + 1e-9
    assert acoustics.summed(sorted(of)) == pytest.approx(acoustics.summed([*of, acoustics.SILENCE]))
    assert acoustics.summed([]) == acoustics.SILENCE


@few
@given(levels, st.floats(0.2, 50), st.floats(1, 500))
def test_an_echo_only_adds(level, distance, area):
    """A bare room is louder than a padded one, and that louder than none; none is the inverse square law."""
    power = acoustics.power_level(level)
    free = acoustics.in_room(power, distance_m=distance, absorbs_m2=None)
    assert free == pytest.approx(acoustics.at_distance(level, told_at_m=1, distance_m=distance))
    padded = acoustics.in_room(power, distance_m=distance, absorbs_m2=2 * area)
    bare = acoustics.in_room(power, distance_m=distance, absorbs_m2=area)
    assert free < padded < bare


def test_a_room_by_hand():
    """60 dB at 1 m over a floor are 68.0 dB of power; at 2 m in 10 m2 of absorption 64.4 dB, 10.4 more than free."""
    power = acoustics.power_level(60)
    assert power == pytest.approx(67.98, abs=0.01)
    # Q / (4 pi r^2) = 2 / 50.27 = 0.0398; 4 / A = 0.4; 10 log10(0.4398) = -3.57.
    assert acoustics.in_room(power, distance_m=2, absorbs_m2=10) == pytest.approx(64.41, abs=0.01)


def test_a_wall_takes_off_what_it_takes_off():
    """54 dB behind a wall of 45 dB are 9 dB."""
    assert acoustics.behind(54, takes_off=45) == 9


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: acoustics.at_distance(60, told_at_m=1, distance_m=0),
        lambda: acoustics.in_room(60, distance_m=2, absorbs_m2=0),
        lambda: acoustics.power_level(60, directivity=-1),
        lambda: acoustics.dose(-1, 8),
        lambda: acoustics.dose(1, 0),
        lambda: acoustics.niosh_mean(0),
    ],
)
def test_numbers_that_cannot_be_are_refused(wrong):
    """Each with a word on how to mend it."""
    with pytest.raises(QuestionError, match="Give"):
        wrong()
