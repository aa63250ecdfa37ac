"""Forms of a single value: what each takes, and what it says of what it does not."""

import datetime

import pytest
from tests.model.texts import read, refused

from falsework.model.simple import Addresses, Amount, Choice, Count, Day, Flag, Ranged, Subnet, Text
from falsework.units import Dimension, Quantity


@pytest.mark.parametrize(
    ("form", "text", "value"),
    [
        (Text(), "on the shelf", "on the shelf"),
        (Text(), "12", "12"),
        (Text(), "''", ""),
        (Count(1, 16), "16", 16),
        (Amount(Dimension.DATA, "1 GiB"), "2 GiB", 2 * 2**30),
        (Ranged(Dimension.POWER, "1 W"), "18..65 W", Quantity(low=18, high=65)),
        (Ranged(Dimension.POWER, "1 W"), "20 W", Quantity(low=20, high=20)),
        (Choice("on", "as it was"), "as it was", "as it was"),
        (Flag(), "yes", True),
        (Flag(), "no", False),
        (Day(), "2026-05-31", datetime.date(2026, 5, 31)),
        (Addresses(), "10.0.0.5", ("10.0.0.5",)),
        (Addresses(), "[10.0.0.5, 'FD00::1']", ("10.0.0.5", "fd00::1")),
        (Subnet(4, "10.0.0.0/8"), "10.20.0.0/16", "10.20.0.0/16"),
    ],
)
def test_a_fitting_value_is_read(form, text, value):
    """Each form reads what it says it wants."""
    assert read(form, text) == value


@pytest.mark.parametrize(
    ("form", "text", "message"),
    [
        (Text("a name"), "[a]", "lab.yaml:1:4 (k): found a list. Write a name."),
        (Text("a name"), "{a: b}", "lab.yaml:1:4 (k): found a mapping. Write a name."),
        (Text("a name"), "", "lab.yaml:1:3 (k): found nothing. Write a name."),
        (Count(1, 16), "17", "lab.yaml:1:4 (k): found '17'. Write a whole number from 1 to 16."),
        (Count(1, 16), "-1", "lab.yaml:1:4 (k): found '-1'. Write a whole number from 1 to 16."),
        (Count(1, 16), "NaN", "lab.yaml:1:4 (k): found 'NaN'. Write a whole number from 1 to 16."),
        (Count(0, 16), "1e1", "lab.yaml:1:4 (k): found '1e1'. Write a whole number from 0 to 16."),
        (
            Amount(Dimension.TIME, "6 h"),
            "NaN",
            "lab.yaml:1:4 (k): 'NaN' is not a finite number. Write for example 18 min.",
        ),
        (
            Amount(Dimension.TIME, "6 h"),
            "3 W",
            "lab.yaml:1:4 (k): '3 W' is a power, and a time is wanted here. Write for example 18 min.",
        ),
        (
            Choice("on", "as it was"),
            "as it wass",
            "lab.yaml:1:4 (k): found 'as it wass'. Did you mean 'as it was'?",
        ),
        (Choice("on", "off"), "x", "lab.yaml:1:4 (k): found 'x'. Write one of on, off."),
        (Flag(), "true", "lab.yaml:1:4 (k): found 'true'. Write yes or no."),
        (Day(), "2026-13-31", "lab.yaml:1:4 (k): found '2026-13-31'. Write a date, such as 2026-05-31."),
        (
            Addresses(),
            "10.0.0",
            "lab.yaml:1:4 (k): found '10.0.0'. Write an address such as 10.20.10.5, or a list.",
        ),
        (
            Subnet(4, "10.0.0.0/8"),
            "10.0.0.1/8",
            "lab.yaml:1:4 (k): found '10.0.0.1/8': 10.0.0.1/8 has host bits set. Write a subnet such as 10.0.0.0/8.",
        ),
        (
            Subnet(6, "fd00::/64"),
            "10.0.0.0/8",
            "lab.yaml:1:4 (k): found '10.0.0.0/8'. Write a subnet such as fd00::/64.",
        ),
    ],
)
def test_a_misfit_is_told_with_place_value_and_mend(form, text, message):
    """What does not fit is told in one line: where, what was found, how to mend it."""
    assert refused(form, text) == [message]
