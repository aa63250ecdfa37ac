"""How much air carries heat away?"""

from __future__ import annotations

import pytest

from falsework.engines.cooling import INLET_C, RISE_K, air_m3_s, cfm, tons


def test_air_for_a_kilowatt():
    """1,000 W at 20 °F: 158 CFM by the trade's rule 3.16 W / dT (check H16), within 0.2 % of 1.2 kg/m3 * 1005 J/(kg K)."""
    assert cfm(air_m3_s(1000, 20 / 1.8)) == pytest.approx(158, rel=0.002)


def test_air_by_hand():
    """1,206 W warm 0.1 m3/s, that is 0.12 kg/s, by 10 K."""
    assert air_m3_s(1206, 10) == pytest.approx(0.1)


def test_a_ton_of_cooling():
    """12,000 BTU/h are 3.517 kW (check H04, from memory of the definition)."""
    assert tons(3517) == pytest.approx(1, rel=1e-3)


def test_what_is_recommended_and_taken():
    """Inlet air 18 to 27 °C (check J16, ASHRAE TC 9.9 as quoted in public notes); a rise of 20 °F is 11 K."""
    assert INLET_C == (18, 27)
    assert pytest.approx(20 / 1.8, rel=0.02) == RISE_K
