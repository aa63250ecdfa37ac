"""Ratings of supplies, efficiency and prices of energy are read with their units, or refused with a mend."""

import pytest
from tests.model.texts import lab_of, told

from falsework.model.ratings import LEVELS, Rating, Tariff


def node(key, value):
    """A lab of one node that says one thing."""
    return f"lab: l\nmachines:\n  n: {{is: node, {key}: {value}}}\n"


@pytest.mark.parametrize(
    ("value", "ratings"),
    [
        ("750 W", (Rating(None, 750.0),)),
        ("{230 V: 750 W, 115 V: 600 W}", (Rating(115.0, 600.0), Rating(230.0, 750.0))),
    ],
)
def test_what_a_supply_gives_is_read_by_rising_voltage(value, ratings):
    """One power for all voltages, or one for each."""
    assert lab_of(node("supply gives", value)).things["n"].supply_gives == ratings


@pytest.mark.parametrize("value", ["{}", "0 W", "{0 V: 10 W}", "[750 W]", "750 V"])
def test_what_no_supply_gives_is_refused(value):
    """Nothing, zero, or another dimension is a fault with its place."""
    (message,) = told(node("supply gives", value))
    assert message.startswith("lab.yaml:3:")


@pytest.mark.parametrize("level", LEVELS)
def test_an_efficiency_is_a_level(level):
    """Each level of certification is a word."""
    assert lab_of(node("efficiency", level)).things["n"].efficiency == level


def test_an_efficiency_is_a_share():
    """Or a share that somebody measured."""
    assert lab_of(node("efficiency", "91 %")).things["n"].efficiency == pytest.approx(0.91)


@pytest.mark.parametrize(
    ("value", "mend"),
    [("golden", "Did you mean 'gold'?"), ("0 %", "Give more than 0"), ("120 %", "Give more than 0")],
)
def test_what_is_no_efficiency_is_refused(value, mend):
    """A misspelt level gets its neighbour; no supply gives more than it takes, or nothing."""
    (message,) = told(node("efficiency", value))
    assert mend in message


def outside(value):
    """A lab whose mains have a price."""
    return f"lab: l\noutside:\n  mains: {{energy costs: {value}}}\n"


@pytest.mark.parametrize(
    ("value", "tariff"),
    [
        ("0.30 EUR/kWh", Tariff(0.30, "EUR")),
        ("0.3 € per kWh", Tariff(0.3, "€")),
        ("2 kr/kWh", Tariff(2.0, "kr")),
    ],
)
def test_a_price_of_energy_has_a_currency(value, tariff):
    """An amount, a currency, and a kilowatt-hour."""
    assert lab_of(outside(value)).things["mains"].energy_costs == tariff


@pytest.mark.parametrize("value", ["0.30", "0.30 EUR", "-1 EUR/kWh", "EUR/kWh", "0.3 EUR/Wh"])
def test_what_is_no_price_is_refused(value):
    """Without currency or per what, nobody knows what is meant."""
    (message,) = told(outside(f"'{value}'"))
    assert "Write a price such as 0.30 EUR/kWh." in message
