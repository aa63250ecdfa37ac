"""Assumed figures, each with its source."""

import pytest
from tests.model.texts import lab_of

from falsework.model.assume import completed
from falsework.model.declare import declared
from falsework.model.defaults import DEFAULTS
from falsework.model.parts import KINDS, Cable, Card, Controller, Supply
from falsework.model.services import Pool, Service
from falsework.units import Dimension, Quantity
from falsework.where import Where

CLASSES = {**KINDS, **{each.IS: each for each in (Supply, Card, Controller, Cable, Service, Pool)}}
EVERY = [(word, default) for word, defaults in DEFAULTS.items() for default in defaults]


@pytest.mark.parametrize(("word", "default"), EVERY, ids=lambda each: str(getattr(each, "key", each)))
def test_every_default_fits_its_key(word, default):
    """Each assumed figure is for a key that is there, of its dimension, in order, and has a source."""
    key = declared(CLASSES[word])[default.key]
    assert default.source
    if isinstance(default.value, Quantity):
        assert 0 < default.value.low <= default.value.high
        assert isinstance(key.form.dimension, Dimension)


def test_only_what_was_not_said_is_assumed():
    """A key that was written stays, the others of the class are completed."""
    supply = Supply(where=Where("lab.yaml", 1, 1), fails=Quantity(low=0.5, high=0.5))
    whole, assumed, corrected = completed(supply)
    assert whole.fails == supply.fails
    assert not corrected
    assert [each.key for each in assumed] == ["mends in"]
    assert whole.mends_in == assumed[0].value


def test_assumptions_are_listed_with_things_value_and_source():
    """What is assumed alike for many things is listed once, as the file would say it."""
    lab = lab_of("machines: {n-1..2: node, m: {is: node, fails: 1 %/year}}")
    fails = [each for each in lab.assumptions if each.key == "fails"]
    assert [(each.things, each.value, each.source) for each in fails] == [
        (("n-1", "n-2"), "3..10 %/year", "common practice")
    ]


def test_implied_parts_are_assumed_about_too():
    """Figures of supplies and cables, of which nobody can speak, are listed as well."""
    text = """
        power: {s: {is: strip}}
        machines: {n: {is: node, fed by: s}, hub: switch}
        wire: {cables: [n -- hub]}
        """
    listed = {(each.things, each.key) for each in lab_of(text).assumptions}
    assert (("n.supply-1",), "fails") in listed
    assert (("n.1 -- hub.1",), "mends in") in listed


def test_every_reliability_figure_of_a_part_is_there():
    """However little a file says, each part fails and is mended at some assumed rate."""
    text = """
        places: {hall: room, left: rack}
        outside: {mains: the wall}
        power: {c: {is: circuit, fed by: mains}, u: {is: ups, fed by: c}, s: {is: strip, fed by: u}}
        kinds: {hd: {is: drive}}
        machines:
          n: {is: node, fed by: s, drives: hd, ports: 2, cards: {k: '1'}, controller: '2'}
          hub: switch
          box: {is: enclosure}
        wire: {cables: [n -- hub]}
        """
    lab = lab_of(text)
    assert {each.IS for each in lab.things.values()} == {
        *("room", "rack", "outside", "circuit", "ups", "strip", "node", "drive"),
        *("switch", "enclosure", "supply", "card", "controller", "cable"),
    }
    assert all(each.fails and each.mends_in for each in lab.things.values())
