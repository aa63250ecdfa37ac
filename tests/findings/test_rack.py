"""Racks are remarked on where their owner told the weights, and left alone where all is guessed."""

import pytest
from tests.model.texts import lab_of

from falsework.findings.finding import CODES, WEIGHT_CAUTION
from falsework.findings.rules.rack import rack

LAB = """\
lab: l
places:
  r: {is: rack, units: 20, weighs: 40 kg, foot: 10 cm, width: 600 mm, depth: 800 mm, bears: 100 kg}
machines:
  a: {is: node, in: r, at: 1 U, height: 2 U, depth: 500 mm, weighs: 20 kg}
  b: {is: node, in: r, at: 3 U, height: 2 U, depth: 500 mm, weighs: 20 kg}
"""


def codes(text):
    """The codes of what is found."""
    return [each.code for each in rack(lab_of(text))]


def test_a_sound_rack_is_no_finding():
    """Nothing is said where nothing is wrong."""
    assert codes(LAB) == []


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ("bears: 100 kg", "bears: 30 kg", "rack overloaded"),
        ("bears: 100 kg", "casters: 4, caster bears: 20 kg", "rack overloaded"),
        ("width: 600 mm", "width: 150 mm", "rack could tip"),
        ("weighs: 40 kg", "weighs: 5 kg", "rack could tip"),
        ("depth: 800 mm", "depth: 450 mm", "deeper than its rack"),
        ("at: 3 U", "at: 15 U", "heavy high up"),
    ],
)
def test_what_is_wrong_is_told_with_place_mend_and_caution(old, new, code):
    """Too heavy, weak casters, narrow, light with machines on rails, too shallow, heavy at the top of a free rack."""
    text = LAB.replace(old, new)
    if "5 kg" in new:
        text = text.replace("depth: 500 mm, weighs: 20 kg", "depth: 780 mm, weighs: 60 kg", 1)
    (found,) = [each for each in rack(lab_of(text)) if each.code == code]
    assert code in CODES
    assert found.where is not None
    assert found.mend
    assert found.caution == WEIGHT_CAUTION


def test_a_rack_of_guesses_is_left_alone():
    """Where no weight is told, nothing is said of tipping, however narrow the rack is."""
    text = (
        LAB.replace(", weighs: 20 kg", "")
        .replace("weighs: 40 kg, ", "")
        .replace("width: 600 mm", "width: 150 mm")
    )
    assert codes(text) == []
    assert codes("lab: l\nmachines:\n  n: {is: node}\n") == []
