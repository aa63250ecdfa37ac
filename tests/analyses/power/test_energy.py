"""Is the energy of a year what a meter would count, and the bill what it costs where it comes from?"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from tests.strategies import lab_of, texts

from falsework.analyses.power.energy import energy
from falsework.analyses.power.energy_telling import alike, energy_notes, energy_row, energy_says, money_said
from falsework.analyses.power.sheet import feeds
from falsework.support.standing import Standing

TWO = """
falsework: 1
lab: t
outside:
  grid: {about: the street, energy costs: 0.30 EUR/kWh}
  barn: {about: panels, energy costs: 0.10 EUR/kWh}
  wind: a wheel
power:
  a: {is: strip, fed by: grid}
  b: {is: strip, fed by: barn}
  c: {is: strip, fed by: wind}
machines:
  one: {is: node, fed by: a, draws: 50..200 W, usually draws: 100 W}
  both: {is: node, fed by: [a, b], draws: 100 W}
  free: {is: node, fed by: c, draws: 10 W}
"""


def year(text, out=()):
    """The energy of a text."""
    standing = Standing(lab_of(text), out=out)
    return energy(standing, feeds(standing))


def used(found, name):
    """One machine of it."""
    return next(each for each in found.used if each.name == name)


def test_a_hundred_watts_all_year():
    """H14: 100 W are 876 kWh and 262.80 at 0.30 a kWh (own arithmetic from the definition)."""
    one = used(year(TWO), "one")
    assert one.kwh == pytest.approx(876)
    assert one.costs[0].amount == pytest.approx(262.80)
    assert (one.low_kwh, one.high_kwh) == (pytest.approx(438), pytest.approx(1752))
    assert (one.costs[0].low, one.costs[0].high) == (pytest.approx(131.40), pytest.approx(525.60))


def test_a_machine_pays_where_its_supplies_take():
    """Half from the street at 0.30, half from the panels at 0.10: 876 kWh cost 175.20."""
    both = used(year(TWO), "both")
    assert both.kwh == pytest.approx(876)
    (money,) = both.costs
    assert money.amount == pytest.approx(438 * 0.30 + 438 * 0.10)


def test_what_has_no_price_is_in_no_bill():
    """The wheel says no price: its energy counts, and is named apart."""
    found = year(TWO)
    assert used(found, "free").costs == ()
    assert (found.unpriced, found.unpriced_kwh) == (("wind",), pytest.approx(87.6))
    assert found.kwh == pytest.approx(876 + 876 + 87.6)
    assert found.costs[0].amount == pytest.approx(262.80 + 175.20)
    assert "88 kWh of it are in no sum of money" in energy_notes(found)[0]


def test_two_currencies_stay_apart():
    """Amounts of different currencies are never added up."""
    found = year(TWO.replace("0.10 EUR", "0.90 NOK"))
    assert [(each.currency, round(each.amount, 2)) for each in found.costs] == [
        ("EUR", 394.20),
        ("NOK", 394.20),
    ]


def test_what_is_out_or_dark_uses_nothing():
    """With strip a out the first node is dark, and the second takes all of it from the panels."""
    found = year(TWO, out=["a"])
    assert [each.name for each in found.used] == ["both", "free"]
    assert used(found, "both").costs[0].amount == pytest.approx(87.60)
    assert [each.name for each in year(TWO, out=["one"]).used] == ["both", "free"]


def test_what_a_battery_loses_is_paid_too():
    """A battery that passes on 90 % takes 111.1 W for 100: 97.3 kWh more, in a row of its own."""
    text = TWO.replace("a: {is: strip, fed by: grid}", "a: {is: ups, fed by: grid, efficiency: 90 %}")
    found = year(text.replace("fed by: [a, b]", "fed by: b"))
    lost = used(found, "a")
    assert lost.loss
    assert lost.kwh == pytest.approx((100 / 0.9 - 100) * 8.76)
    assert lost.costs[0].amount == pytest.approx(lost.kwh * 0.30)


def test_words():
    """The short answer, cents where it is little, and machines that are alike in one row."""
    found = year(TWO.replace("both:", "twin-1..3:"))
    assert energy_says(found).startswith(
        "3,592 kWh a year on ordinary days, 788 EUR (3,154 to 4,468 kWh if all"
    )
    assert money_said(used(found, "one").costs[0]) == "263 EUR"
    assert money_said(year(TWO.replace("0.30", "0.03")).used[0].costs[0]) == "26.28 EUR"
    assert energy_row(found, alike(found)[0])[0] == "twin-1, twin-2 and twin-3, each"
    assert energy_says(year("falsework: 1\nlab: t\nmachines: {n: {is: node}}\n")).startswith("nobody says")


@given(texts())
@settings(max_examples=30, deadline=None)
def test_the_whole_is_the_sum_of_its_parts(text):
    """Whatever the lab: the total is what its sources carry, and lies between always idle and always busy."""
    standing = Standing(lab_of(text))
    sheet = feeds(standing)
    found = energy(standing, sheet)
    assert found.kwh == pytest.approx(sum(each.kwh for each in found.used))
    assert found.low_kwh <= found.kwh + 1e-9
    assert found.kwh <= found.high_kwh + 1e-9
    carried = sum(
        feed.usual.watts for feed in sheet.feeds if feed.fed_by not in {each.id for each in sheet.feeds}
    )
    assert found.kwh >= carried * 8.76 - 1e-6
