"""Do batteries, the return of power and heat keep to the shapes that programs are told of?"""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest
from hypothesis import given, settings
from tests.strategies import lab_of, texts

from falsework.analyses.power.battery import batteries
from falsework.analyses.power.heat import heat
from falsework.analyses.power.inrush import inrush
from falsework.analyses.power.sheet import feeds
from falsework.faces.answers_batteries import batteries_schema
from falsework.faces.answers_heat import heat_schema
from falsework.faces.cli.lose import opened
from falsework.faces.plain_batteries import battery_plain, inrush_plain
from falsework.faces.plain_heat import heat_plain
from falsework.support.standing import Standing

EXAMPLES = Path(__file__).parents[2] / "examples"
SMALL = """
falsework: 1
lab: t
outside: {grid: the street}
places: {cellar: {is: room, cools: 100 W}}
power:
  c: {is: circuit, fed by: grid, breaker: 10 A, bears surge: 3}
  cell: {is: ups, fed by: c, in: cellar, battery: 400 Wh, left: 70 %, carries: 150 W}
machines:
  n1..2: {is: node, in: cellar, fed by: cell, draws: 20..100 W, surge: 20 A}
"""


def fits(plain, shape):
    """Whether it is of a shape, and JSON."""
    place = {"type": "object"}
    schema = {
        "$ref": f"#/$defs/{shape.replace(' ', '%20')}",
        "$defs": {**batteries_schema(), **heat_schema(), "place": place},
    }
    jsonschema.Draft202012Validator(schema).validate(json.loads(json.dumps(plain, allow_nan=False)))


@pytest.mark.parametrize("name", ["kitchen-shelf", "observatory/draft", "observatory/mended", ""])
def test_each_answer_is_of_its_shape(name):
    """Every part of the answer, of the examples and of a lab in which all is too much."""
    standing = opened(EXAMPLES / f"{name}.yaml", ()) if name else Standing(lab_of(SMALL))
    for each in batteries(standing, feeds(standing)).batteries:
        fits(battery_plain(each), "battery at its loads")
    fits(inrush_plain(inrush(standing)), "return of power")
    fits(heat_plain(heat(standing)), "heat")


def test_what_is_too_much_is_said_so():
    """200 W on 150 W and on cooling for 100 W, 40 A on 30 A, and a battery with 70 % left."""
    standing = Standing(lab_of(SMALL))
    (cell,) = batteries(standing, feeds(standing)).batteries
    plain = battery_plain(cell)
    assert plain["power_cut"][-1]["too_much"]
    assert plain["old"]
    assert inrush_plain(inrush(standing))["too_much"]
    assert inrush_plain(inrush(standing))["start"]["groups"] == 2
    assert heat_plain(heat(standing))["too_much"]


@settings(max_examples=30, deadline=None)
@given(texts())
def test_random_labs_too(text):
    """Whatever the lab, the answers have their shapes and no machine is in two groups of a start."""
    standing = Standing(lab_of(text))
    for each in batteries(standing, feeds(standing)).batteries:
        fits(battery_plain(each), "battery at its loads")
    found = inrush(standing)
    fits(inrush_plain(found), "return of power")
    fits(heat_plain(heat(standing)), "heat")
    if found.start is not None:
        names = [each.machine for each in found.start.later]
        assert len(names) == len(set(names))
        assert all(each.after_s >= 0 for each in found.start.later)
