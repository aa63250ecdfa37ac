"""Are the strips of addresses to scale, and does the report tell of the same?"""

import re
import xml.etree.ElementTree as ET

import pytest
from tests.address_labs import lab, lab_text

from falsework.analyses.addresses import addresses
from falsework.faces.report.address_map import address_sheet
from falsework.faces.report.addresses_piece import addresses_piece

TEXT = lab_text(
    ["a", "b<&>"],
    {"house": "subnet: 10.0.0.0/24, fixed: .64-.95, pool: .128-.191, reserved: .192-.255, way out: a", "six": "subnet6: fd00::/64"},
    ranges="",
)  # fmt: skip
SVG = "{http://www.w3.org/2000/svg}"


def drawn(text):
    """The plan of a lab, its drawing as a tree, and as text."""
    known = lab(text)
    plan = addresses(known)
    said = address_sheet(known, plan)
    return plan, ET.fromstring(said), said


def test_blocks_are_drawn_to_scale():
    """On 1,360 of width an address is 1360/256 wide: fixed begins a quarter in, the pool at half, each as long as it is."""
    _, root, _ = drawn(TEXT)
    boxes = {(round(float(box.get("x")), 1), round(float(box.get("width")), 1)) for box in root.iter(f"{SVG}rect") if box.get("x")}  # fmt: skip
    one = 1360 / 256
    for first, size in ((64, 32), (128, 64), (192, 64), (0, 256)):
        assert (round(20 + first * one, 1), round(size * one, 1)) in boxes


def test_every_address_that_somebody_has_is_a_bar():
    """One for each on the strip, and none more."""
    plan, root, _ = drawn(TEXT)
    group = next(each for each in root.iter(f"{SVG}g") if each.get("data-id") == "house")
    bars = next(each.get("d") for each in group.iter(f"{SVG}path") if (each.get("d") or "").count("z") == 2)
    at = [float(each) for each in re.findall(r"M([\d.]+)", bars)]
    numbers = sorted(int(each.address.rpartition(".")[2]) for each in plan.given if each.version == 4)
    one = 1360 / 256
    assert at == pytest.approx([20 + number * one + one * 0.09 for number in numbers], abs=0.06)


@pytest.mark.parametrize("subnet", ["10.0.0.0/8", "10.0.0.0/16", "10.0.0.0/29", "10.0.0.0/31"])
def test_subnets_of_any_size_are_drawn(subnet):
    """From two addresses to sixteen million, on one sheet."""
    _, root, said = drawn(lab_text(["a"], {"house": f"subnet: {subnet}"}, ranges=""))
    assert root.tag == f"{SVG}svg"
    assert len(said) < 20_000


def test_the_report_tells_the_same():
    """The headline, a row a network, and a trouble with its mend."""
    known = lab(lab_text(["a", "b"], {"house": "subnet: 10.0.0.0/24, fixed: .8-.8"}, ranges=""))
    plan = addresses(known)
    piece = addresses_piece(known, plan)
    assert piece.bad
    assert piece.tables[0].rows == (("house", "-", "10.0.0.0/24", "-", "1", "0"),)
    assert "widen `fixed`" in piece.says[0]
    assert len(piece.figures) == 1
