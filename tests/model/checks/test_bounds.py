"""Figures beyond what they can be."""

import pytest
from tests.model.texts import lab_of, told


@pytest.mark.parametrize("height", ["0.01 U", "40 U"])
def test_what_is_above_nothing_and_has_no_most_may_be_anything(height):
    """A height needs only to be more than nothing."""
    lab_of(f"machines: {{n: {{is: node, height: {height}}}}}")


@pytest.mark.parametrize(
    ("share", "fine"), [("1 %", True), ("100 %", True), ("0.9 %", False), ("101 %", False)]
)
def test_both_ends_are_allowed(share, fine):
    """The least and the most lie inside; what is a little beyond is told, with its value."""
    text = f"power: {{u: {{is: ups, usable: {share}}}}}"
    if fine:
        lab_of(text)
    else:
        assert f"how far a battery may be drained can't be {share}" in "".join(told(text))


def test_a_word_has_no_bounds():
    """An efficiency may be a level by name: there is nothing to bound."""
    lab_of("machines: {n: {is: node, efficiency: gold}}")
