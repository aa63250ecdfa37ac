"""What contradicts itself in racks is told with its place and a mend; what is only unwise is not."""

import pytest
from tests.model.texts import lab_of, told

LAB = """\
lab: l
places:
  r: {is: rack, units: 10, depth: 800 mm}
machines:
  a: {is: node, in: r, at: 1 U, height: 2 U, depth: 500 mm}
  b: {is: enclosure, in: r, at: 5 U, height: 2 U, depth: 500 mm}
"""


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (
            "at: 5 U",
            "at: 10 U",
            "lab.yaml:6:33 (machines.b.at): b reaches to 11 U, and r has 10. Put it lower",
        ),
        ("at: 5 U", "at: 2 U", "lab.yaml:6:33 (machines.b.at): b is where a is: both take unit 2 of r."),
        ("at: 1 U", "at: 0 U", "a is at 0 U, and the lowest unit of r is 1. Count units from 1"),
        ("height: 2 U, depth: 500 mm}\n  b", "height: 0 U, depth: 500 mm}\n  b", "a height of 0 U is none."),
        ("depth: 800 mm", "depth: 0 mm", "a depth of 0 mm is none."),
        ("units: 10", "units: 10, casters: 2", "r would roll on 2 casters. Give 3 or more, or 0"),
        (
            "r: {is: rack, units: 10",
            "room: {is: room}\n  r: {is: rack, in: room, at: 2 U, units: 10",
            "lab.yaml:4:31 (places.r.at): r is at 2 U, and room is a room. Say `in` which rack it is",
        ),
        ("units: 10", "units: 10, bears: 0 kg", "what it bears of 0 g is none."),
        ("at: 1 U", "at: 1 U, weighs: 0 kg", "a weight of 0 g is none."),
        (
            "at: 5 U, height: 2 U, depth: 500 mm",
            "at: 2 U, height: 2 U, depth: 500 mm, faces: back",
            "b is where a is: both take unit 2 of r.",
        ),
    ],
)
def test_a_contradiction_is_told(old, new, message):
    """One fault, at its place, with a mend."""
    assert old in LAB
    (said,) = told(LAB.replace(old, new))
    assert message in said


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("at: 5 U", "at: 9 U"),
        ("at: 5 U, height: 2 U, depth: 500 mm", "at: 2 U, height: 2 U, depth: 300 mm, faces: back"),
        ("at: 5 U, height: 2 U, depth: 500 mm", "at: 2 U, height: 2 U, faces: back"),
        ("units: 10", "units: 10, casters: 0"),
        ("b: {is: enclosure, in: r, at: 5 U", "b: {is: node, in: r, at: 1 U"),
        ("at: 5 U, ", ""),
        ("b: {is: enclosure, in: r, at: 5 U", "b: {is: enclosure, at: 5 U"),
        ("depth: 800 mm", "depth: 400 mm"),
    ],
)
def test_what_is_possible_is_read(old, new):
    """The top unit, two nodes beside each other on a shelf, back to back where there is depth or nobody says, feet, no place yet, a shallow rack."""
    assert old in LAB
    assert lab_of(LAB.replace(old, new)).things


def test_a_contradiction_in_a_kind_is_told_once():
    """Three things of one kind at one place: told for the second and third, each at the one place of the kind."""
    text = """\
lab: l
kinds: {box: {is: enclosure, in: r, at: 2 U, height: 1 U}}
places: {r: {is: rack, units: 10}}
machines: {n-1..3: box}
"""
    said = told(text)
    assert len(said) == 2
    assert all("is where n-1 is: both take unit 2 of r" in each for each in said)
