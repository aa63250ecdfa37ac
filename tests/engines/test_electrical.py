"""Are the formulas of electricity those that the sources print?"""

from __future__ import annotations

import pytest

from falsework.engines.electrical import (
    BTU_H_PER_W,
    COUPLER_A,
    LEVELS,
    TON_BTU_H,
    amperes,
    apparent_va,
    btu_per_hour,
    efficiency_at,
    kwh_a_year,
    lasting_limit,
    output_w,
    rating_at,
    same_system,
)


@pytest.mark.parametrize(("breaker", "lasting"), [(15, 12), (20, 16)])
def test_a_lasting_load_takes_at_most_four_fifths_of_its_breaker(breaker, lasting):
    """H01: NEC 210.20(A), as quoted in public notes: 12 A of 15 A, 16 A of 20 A."""
    assert lasting_limit(breaker) == pytest.approx(lasting)
    assert breaker == pytest.approx(1.25 * lasting)


def test_watts_become_heat():
    """H03: 75 W at 3.412 are 255.9 BTU/h (a public test's comment)."""
    assert btu_per_hour(75) == pytest.approx(255.9, abs=0.1)


def test_a_ton_of_cooling():
    """H04: 12,000 BTU/h are 3.517 kW, from memory of the standard."""
    assert pytest.approx(3.517, abs=1e-3) == TON_BTU_H / BTU_H_PER_W / 1000


def test_volt_amperes_and_watts():
    """H05: 120 V, 16 A at a power factor of 0.9 are 1920 VA and 1728 W (the definition)."""
    assert apparent_va(1728, 0.9) == pytest.approx(1920)
    assert amperes(1920, 120) == pytest.approx(16)


@pytest.mark.parametrize(
    ("level", "published"),
    [
        ("plain", (80, 80, 80)),
        ("bronze", (82, 85, 82)),
        ("silver", (85, 88, 85)),
        ("gold", (87, 90, 87)),
        ("platinum", (90, 92, 89)),
        ("titanium", (92, 94, 90)),
    ],
)
def test_certified_levels(level, published):
    """H10: the published levels at 115 V, internal, at 20, 50 and 100 % load (a public encyclopaedia's table)."""
    got = tuple(round(100 * efficiency_at(LEVELS[level], share)) for share in (0.2, 0.5, 1.0))
    assert got == published


def test_the_highest_level_is_told_at_a_tenth_too():
    """H10: titanium at 10 % load is 90 %."""
    assert efficiency_at(LEVELS["titanium"], 0.1) == pytest.approx(0.90)


def test_between_and_outside_the_points_of_a_level():
    """Half-way between 20 and 50 % it is half-way; below the least and above the most it stays."""
    gold = LEVELS["gold"]
    assert efficiency_at(gold, 0.35) == pytest.approx(0.885)
    assert efficiency_at(gold, 0.0) == 0.87
    assert efficiency_at(gold, 1.4) == 0.87


def test_what_a_supply_takes_and_loses():
    """H12: 400 W out at 80 % take 500 W and leave 100 W as heat (a public explainer)."""
    given = output_w(500, 1000, LEVELS["plain"])
    assert given == pytest.approx(400)
    assert 500 - given == pytest.approx(100)


@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize("taken", [0.0, 13.0, 150.0, 480.0, 900.0])
def test_what_comes_out_is_what_goes_in_times_the_efficiency_there(level, taken):
    """What `output_w` finds solves its equation, for every level and from nothing to too much."""
    out = output_w(taken, 750, LEVELS[level])
    assert out == pytest.approx(taken * efficiency_at(LEVELS[level], out / 750))


def test_couplers():
    """H13: IEC 60320-1, as public notes quote it: C13 and C14 10 A, C19 and C20 16 A, at 250 V."""
    assert [COUPLER_A[each] for each in ("C13", "C14", "C19", "C20")] == [10, 10, 16, 16]


RATINGS = ((115.0, 600.0), (230.0, 750.0))


@pytest.mark.parametrize(
    ("volts", "watts"),
    [
        (230, 750),
        (240, 750),
        (220, 750),
        (208, 600),
        (120, 600),
        (110, 600),
        (100, None),
        (None, 600),
    ],
)
def test_a_rating_is_the_nearest_below(volts, watts):
    """At 208 V nobody promised what is told for 230 V; 220 and 230 V are one system; below 115 V nothing is told."""
    assert rating_at(RATINGS, volts) == watts


def test_a_rating_for_any_voltage():
    """What is told without a voltage is so at all of them; nothing told is nothing known."""
    assert rating_at(((None, 400.0),), 100) == 400
    assert rating_at((), 230) is None


@pytest.mark.parametrize(
    ("one", "other", "same"), [(220, 240, True), (110, 120, True), (115, 230, False), (208, 240, False)]
)
def test_one_system_of_voltages(one, other, same):
    """220 to 240 V are one system, 110 to 120 V another."""
    assert same_system(one, other) is same


def test_energy_of_a_year():
    """H14: 100 W all year are 876 kWh, at 0.30 a kWh 262.80 (own arithmetic from the definition)."""
    assert kwh_a_year(100) == pytest.approx(876)
    assert kwh_a_year(100) * 0.30 == pytest.approx(262.80)
