"""Tipping, casters and lifting agree with what is published, and with plain geometry."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from falsework.engines import mechanics
from falsework.engines.mechanics import Body, caster_kg, centre, pressed, pushed, tip_deg


def test_rack_units_and_panels():
    """J01, EIA-310-D, public summaries: 44.45 mm, 482.6 mm; 42 units are 1866.9 mm (own arithmetic)."""
    assert pytest.approx(0.04445, abs=1e-12) == mechanics.UNIT_M
    assert pytest.approx(0.4826, abs=1e-12) == mechanics.PANEL_M
    assert pytest.approx(1.8669, abs=1e-12) == 42 * mechanics.UNIT_M


def test_holes_fill_one_unit():
    """J02, EIA-310, from memory: 15.875 + 15.875 + 12.70 mm make one unit."""
    assert mechanics.HOLES_M == (0.015875, 0.015875, 0.0127)
    assert sum(mechanics.HOLES_M) == pytest.approx(mechanics.UNIT_M, abs=1e-12)


def test_the_tests_of_stability():
    """J03 and J04, IEC 62368-1 ed. 3, stability clause, as quoted on a product-safety mailing list: 10 degrees; 13 % of the weight,
    at most 250 N, at up to 1.5 m; downwards 50 %, at most 100 N.
    """
    assert mechanics.TILT_DEG == 10.0
    light = Body(50.0, 0.5)
    assert pushed(0.3, light, top_m=1.0).force_n == pytest.approx(0.13 * 50 * mechanics.GRAVITY)
    assert pushed(0.3, light, top_m=1.0).tips_nm == pytest.approx(0.13 * 50 * mechanics.GRAVITY * 1.0)
    assert pushed(0.3, Body(1000.0, 0.5), top_m=2.0).tips_nm == pytest.approx(250.0 * 1.5)
    assert pressed(0.3, Body(10.0, 0.5), beyond_m=0.5).force_n == pytest.approx(0.5 * 10 * mechanics.GRAVITY)
    assert pressed(0.3, Body(200.0, 0.5), beyond_m=0.5).force_n == 100.0


def test_tip_angle():
    """J05, geometry: a base 0.6 m deep and a centre 1.0 m high tip at 16.70 degrees, and so pass at 10."""
    assert tip_deg(0.3, Body(1.0, 1.0)) == pytest.approx(16.70, abs=0.005)


def test_moments_of_the_push():
    """J07: 200 kg, 0.6 m deep: 13 % is 255 N, capped at 250 N; 375 N m against 588.6 N m (own arithmetic with g = 9.81)."""
    test = pushed(0.3, Body(200.0, 1.0), top_m=2.0)
    assert pytest.approx(255, rel=1e-3) == 0.13 * 200 * mechanics.GRAVITY
    assert (test.force_n, test.tips_nm) == (250.0, 375.0)
    assert test.holds_nm == pytest.approx(588.6, rel=1e-3)
    assert test.passes


def test_centre_of_a_stack():
    """J08, weighted mean: 20 kg at 0.2 m, 15 kg at 0.5 m, 40 kg at 1.0 m lie at 0.6867 m (own arithmetic)."""
    whole = centre([Body(20, 0.2), Body(15, 0.5), Body(40, 1.0)])
    assert whole.mass_kg == 75
    assert whole.height_m == pytest.approx(0.6867, abs=5e-5)


def test_three_casters_may_carry_all():
    """J09, guidance of caster makers: 300 kg on four casters, 100 kg each."""
    assert caster_kg(300.0, 4) == 100.0
    with pytest.raises(ValueError, match="fewer than three"):
        caster_kg(300.0, 2)


def test_lifting_constant_and_index():
    """J11, NIOSH 94-110 (1994) pp. 2, 20: 23 kg (51 lb); above 1.0 raised risk, above 3.0 nearly all at raised risk."""
    assert (mechanics.LOAD_KG, mechanics.LOAD_LB) == (23.0, 51.0)
    assert (mechanics.AT_RISK, mechanics.MOST_AT_RISK) == (1.0, 3.0)
    assert pytest.approx(23, abs=0.15) == 51 * 0.45359237


def test_manual_example_4():
    """J12, NIOSH 94-110 (1994) fig. 14 p. 46, origin: 51 x 1.0 x .94 x .87 x 1.0 x .88 x .95 = 34.9 lb; with DM in full
    (.82 + 1.8/37) 34.8 lb.
    """
    assert mechanics.limit(51, 1.0, 0.94, 0.87, 1.0, 0.88, 0.95) == pytest.approx(34.9, abs=0.05)
    assert mechanics.limit(51, 1.0, 0.94, mechanics.distance_in(37), 1.0, 0.88, 0.95) == pytest.approx(
        34.8, abs=0.05
    )


def test_manual_example_1():
    """J13, NIOSH 94-110 (1994) fig. 6 (from memory), origin: 16.3 lb, and 2.7 for 44 lb."""
    limit = mechanics.limit(51, 0.44, 0.89, 0.86, 1, 1, 0.95)
    assert limit == pytest.approx(16.3, abs=0.05)
    assert mechanics.index(44, limit) == pytest.approx(2.7, abs=0.05)


def test_metric_multipliers():
    """J15, NIOSH 94-110 (1994), from memory: 25/H, 1 - .003 |V - 75|, .82 + 4.5/D, 1 - .0032 A, with the manual's ends."""
    assert [mechanics.horizontal(h) for h in (20, 25, 50, 63, 64)] == [1, 1, 0.5, 25 / 63, 0]
    assert [mechanics.vertical(v) for v in (0, 75, 175, 176)] == pytest.approx([0.775, 1, 0.7, 0])
    assert [mechanics.distance(d) for d in (10, 25, 45, 176)] == pytest.approx([1, 1, 0.92, 0])
    assert [mechanics.turned(a) for a in (0, 90, 135, 136)] == pytest.approx([1, 0.712, 0.568, 0])
    assert mechanics.index(10, 0) == math.inf


bodies = st.lists(
    st.builds(Body, st.floats(0.1, 100), st.floats(0.05, 2), st.floats(-0.3, 0.3)), min_size=1, max_size=8
)


@given(bodies)
def test_a_centre_lies_among_the_bodies(given_bodies):
    """Neither above the highest nor below the lowest, and two halves weigh as one."""
    whole = centre(given_bodies)
    heights = [each.height_m for each in given_bodies]
    assert min(heights) - 1e-9 <= whole.height_m <= max(heights) + 1e-9
    parts = [centre(half) for half in (given_bodies[::2], given_bodies[1::2]) if half]
    again = centre(parts)
    assert (again.mass_kg, again.height_m, again.forward_m) == pytest.approx(
        (whole.mass_kg, whole.height_m, whole.forward_m)
    )


@given(st.floats(0.1, 1), st.floats(0.1, 2), st.floats(1, 500))
def test_tilted_by_its_tip_angle_it_stands_on_its_edge(half, height, mass):
    """Turned about the edge by that angle, the centre is straight above it."""
    angle = math.radians(tip_deg(half, Body(mass, height)))
    assert -half * math.cos(angle) + height * math.sin(angle) == pytest.approx(0, abs=1e-9)


def test_leaning_on_a_ramp_and_a_sill():
    """Geometry: 20 mm under one side of 600 mm lean by asin(1/30), 1.91 degrees, on top of the ramp."""
    assert mechanics.lean_deg(6.0, 0.02, 0.6) == pytest.approx(7.91, abs=0.005)
    assert mechanics.lean_deg(5.0, 0.0, 0.6) == 5.0
    assert mechanics.lean_deg(0.0, 0.3, 0.6) == pytest.approx(30.0)


def test_nothing_has_no_centre():
    """Without weight there is nothing to ask."""
    with pytest.raises(ValueError, match="no centre"):
        centre([])
