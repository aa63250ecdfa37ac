"""Do the figures of the page on heat hold?"""

from __future__ import annotations

from pathlib import Path

import pytest

from falsework.engines.cooling import air_m3_s, cfm, tons
from falsework.engines.electrical import btu_per_hour

PAGE = (Path(__file__).parents[3] / "docs" / "explanation" / "heat.md").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("said", "value"),
    [
        ("{:,.0f} BTU/h", btu_per_hour(480)),
        ("{:.2f} tons", tons(480)),
        ("{:.4f} m³/s", air_m3_s(480, 11)),
        ("{:.0f} m³/h", air_m3_s(480, 11) * 3600),
        ("{:.0f} CFM", cfm(air_m3_s(480, 11))),
        ("{:.1f} CFM", 3.16 * 480 / 19.8),
        ("takes {:.0f} W", 400 / 0.9),
        ("so {:.0f} W more", 400 / 0.9 - 400),
    ],
)
def test_each_figure_is_on_the_page(said, value):
    """What is worked by hand there is what the functions give."""
    assert said.format(value) in PAGE
