"""Can each state be told from each other by one who sees no colour?"""

import re
from itertools import combinations
from xml.etree import ElementTree

from falsework.analyses.verdicts import Verdict
from falsework.faces.report import beams, failure_map, hatching
from falsework.faces.report.svg import COLOURS


def grey(markup):
    """Markup with every colour but paper replaced by one, and without classes."""
    for role, value in COLOURS.items():
        if role != "paper":
            markup = markup.replace(value, "#000000")
    return re.sub(r' class="[^"]*"', "", markup)


def test_beams_differ_without_colour():
    """A beam that stands, is thin, blinks, falls or is lost has a sign of its own besides colour."""
    drawn = [grey(beams.bar_of(verdict.word, 0, 0, 60, 10)) for verdict in Verdict]
    assert all(one != other for one, other in combinations(drawn, 2))


def test_shapes_differ_without_colour():
    """A machine that stands, comes back, falls, is lost or was out before looks different in grey."""
    drawn = [
        grey(hatching.box(0, 0, 30, 30, **hatching.look(state)))
        for state in ("stands", "blinks", "falls", "lost", "out")
    ]
    assert all(one != other for one, other in combinations(drawn, 2))


def test_marks_of_the_map_differ_without_colour():
    """Every verdict has its own mark in the failure map."""
    drawn = [grey(failure_map._mark(verdict, 0, 0, 27, 17)) for verdict in Verdict if verdict]
    assert all(one != other for one, other in combinations(drawn, 2))


def test_hatching_stays_in_its_box():
    """No line of a hatching leaves the box by more than a rounding."""
    for name in hatching.HATCHES:
        made = ElementTree.fromstring(f"<g>{hatching.box(10, 20, 53, 17, fill=hatching.hatch(name))}</g>")
        lines = made.find("path").get("d")
        for x, y, dx, dy in re.findall(r"M([\d.]+) ([\d.]+)l([\d.-]+) ([\d.-]+)", lines):
            for end_x, end_y in ((float(x), float(y)), (float(x) + float(dx), float(y) + float(dy))):
                assert 9.8 <= end_x <= 63.2
                assert 19.8 <= end_y <= 37.2
        assert "M" in lines


def test_a_tiny_box_may_have_no_line():
    """A box too small for a slant is still drawn."""
    assert (
        ElementTree.fromstring(f"<g>{hatching.box(1, 1, 0.1, 0.1, fill=hatching.hatch('thin'))}</g>").find(
            "rect"
        )
        is not None
    )
