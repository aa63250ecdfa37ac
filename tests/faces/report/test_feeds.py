"""Is the drawing of the feeds to scale, from the ground up, and still readable for a large lab?"""

from __future__ import annotations

import re

from tests.faces.report.pictures import HOSTILE, MENDED, TRAP, standing
from tests.strategies import lab_of

from falsework.analyses.power.sheet import feeds
from falsework.faces.report.feeds import MOST, feeds_sheet
from falsework.support.standing import Standing


def drawn(lab):
    """The drawing of a lab."""
    return feeds_sheet(lab.lab, feeds(lab))


def group(svg, name):
    """The part of a drawing that shows one source."""
    start = svg.index(f'data-id="{name}"')
    return svg[start : svg.index("</g>", start)]


def widths(svg, name):
    """The widths of the rectangles of a source."""
    return [float(each) for each in re.findall(r'<rect[^>]* width="([\d.]+)"', group(svg, name))]


def test_beams_are_to_one_scale():
    """The trap: 2,000 W of 3,680 W now, and 4,000 W are the longest beam: the lengths keep these ratios."""
    svg = drawn(standing(TRAP))
    limit, now, *_ = widths(svg, "c1")
    assert abs(now / limit - 2000 / 3680) < 0.01
    over = widths(svg, "c1")[-1]
    assert abs((limit + over) / limit - 4000 / 3680) < 0.01


def test_what_stands_on_something_is_above_it():
    """The mains lie lowest, a circuit above them, the battery above its circuit and its strip on top."""
    svg = drawn(standing(MENDED))
    heights = [
        float(re.search(r'<text[^>]* y="([\d.]+)"', group(svg, name))[1]) for name in ("c1", "battery", "A")
    ]
    assert heights == sorted(heights, reverse=True)
    mains = re.search(r'<text[^>]* y="([\d.]+)"[^>]*>mains<', svg)
    assert float(mains[1]) > heights[0]


def test_a_large_lab_shows_those_nearest_to_their_limit():
    """Of more sources than one drawing has room for, some are left out, and it says how many."""
    strips = "\n".join(f"  s{n}: {{is: strip, fed by: c{n}, breaker: 5 A}}" for n in range(60))
    circuits = "\n".join(f"  c{n}: {{is: circuit, fed by: grid, breaker: 10 A}}" for n in range(60))
    nodes = "\n".join(f"  n{n}: {{is: node, fed by: s{n}, draws: {n + 1} W}}" for n in range(60))
    lab = lab_of(
        f"falsework: 1\nlab: many\noutside: {{grid: x}}\npower:\n{circuits}\n{strips}\nmachines:\n{nodes}\n"
    )
    svg = drawn(Standing(lab))
    shown = re.findall(r'data-id="([cs]\d+)"', svg)
    assert len(shown) <= MOST
    assert "s59" in shown
    assert "c59" in shown
    assert "s0" not in shown
    assert f"{120 - len(shown)} sources further from a limit not drawn" in svg


def test_a_hostile_name_stays_text():
    """Names come out escaped, and a lab without power draws its head and caution only."""
    svg = drawn(standing("hostile"))
    assert "<script>" in HOSTILE
    assert "<script>" not in svg
