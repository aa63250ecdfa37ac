"""Majorities, layouts and ranges of addresses."""

import ipaddress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from falsework.model.rules import address_range, layout, majority_of


@pytest.mark.parametrize(
    ("serves", "copies", "needed"),
    [
        ("any", 5, 1),
        ("all", 5, 5),
        ("majority", 3, 2),
        ("majority", 4, 3),
        ("majority", 5, 3),
        ("at least 2", 5, 2),
    ],
)
def test_how_many_copies_must_serve(serves, copies, needed):
    """Any is one, all is all, a majority of five is three."""
    assert majority_of(serves, copies) == needed


@given(st.integers(1, 10_000))
def test_two_majorities_always_meet(copies):
    """Two majorities have a copy in common, and no smaller number would do."""
    needed = majority_of("majority", copies)
    assert 2 * needed > copies
    assert 2 * (needed - 1) <= copies


@pytest.mark.parametrize("serves", ["most", "at least 0", "at least two", "", "at least 1000000"])
def test_strange_words_for_serving_are_refused(serves):
    """Words that do not say how many are an error, not a guess."""
    with pytest.raises(ValueError, match="does not say how many copies must serve"):
        majority_of(serves, 3)


@pytest.mark.parametrize(
    ("text", "drives", "least", "survives", "usable"),
    [
        ("single", 3, 1, 0, 1.0),
        ("mirror", 2, 2, 1, 0.5),
        ("mirror", 6, 2, 1, 0.5),
        ("parity", 5, 3, 1, 0.8),
        ("double parity", 8, 4, 2, 0.75),
        ("triple parity", 6, 5, 3, 0.5),
        ("3 copies", 9, 3, 2, 1 / 3),
        ("4+2 pieces", 6, 6, 2, 4 / 6),
    ],
)
def test_what_a_layout_survives_and_leaves(text, drives, least, survives, usable):
    """Each layout has its least drives, the losses it survives whichever they are, and its usable share."""
    found = layout(text, drives)
    assert (found.least, found.survives) == (least, survives)
    assert found.usable == pytest.approx(usable)


def test_mirrors_come_in_pairs():
    """More than two drives are paired, each pair for itself; an odd number can't be."""
    assert layout("mirror", 6).group == 2
    assert layout("mirror", 2).group == 0
    with pytest.raises(ValueError, match="can't be paired"):
        layout("mirror", 3)


@pytest.mark.parametrize("text", ["", "5", "1 copies", "0+2 pieces", "quadruple parity"])
def test_unknown_layouts_are_refused(text):
    """Words that name no layout are an error."""
    with pytest.raises(ValueError, match="is no layout"):
        layout(text, 4)


def test_a_range_of_addresses_in_its_subnet():
    """An end that begins with a dot takes what is missing from the subnet."""
    low, high = address_range(".100-.199", "10.20.10.0/24")
    assert (low, high) == (ipaddress.ip_address("10.20.10.100"), ipaddress.ip_address("10.20.10.199"))
    assert address_range(".1.0-.2.9", "10.20.0.0/16")[1] == ipaddress.ip_address("10.20.2.9")
    assert address_range("fd00::1-fd00::ff", "fd00::/64")[0] == ipaddress.ip_address("fd00::1")


@pytest.mark.parametrize(
    ("text", "subnet", "what"),
    [
        (".1-.9", "", "has no subnet to lie in"),
        (".9-.1", "10.0.0.0/24", "runs backwards"),
        (".1", "10.0.0.0/24", "does not have two ends"),
        (".1-.300", "10.0.0.0/24", "is no address"),
        ("10.1.0.1-10.1.0.9", "10.0.0.0/24", "lies outside 10.0.0.0/24"),
    ],
)
def test_ranges_without_sense_are_refused(text, subnet, what):
    """A range must have two ends, in order, in the subnet."""
    with pytest.raises(ValueError, match=what):
        address_range(text, subnet)
