"""Is it learnt how long a machine takes to wake, where nothing else can explain the time?"""

from __future__ import annotations

import pytest
from tests.observing import outage, probe, run
from tests.strategies import lab_of

from falsework.analyses.cold_start import cold_start
from falsework.analyses.learning import learn
from falsework.findings.learning import taught
from falsework.lab.read import read_texts
from falsework.model.build import build
from falsework.support.standing import Standing

TEXT = """
lab: t
outside: {mains: {fails: 1 /year}}
power: {A: {is: strip, fed by: mains}}
machines: {n1: {is: node, fed by: A}, n2: {is: node, fed by: A, wakes in: 2 min}, box: {is: enclosure}}
services: {mail: {on: [n1, n2], takes over: 40 s}}
probes: {see n1: {asks: ping 10.0.0.1, sees: n1}, see n2: {asks: ping 10.0.0.2, sees: n2}}
"""


@pytest.fixture(scope="module")
def standing():
    """The lab of this file."""
    return Standing(lab_of(TEXT))


def pulled(name, back_s, *more, every_s=0.1, lost=None):
    """A drill that took a machine out at 60 s and put it back at 660 s."""
    seen = probe(name, outage(60.0, back_s, every_s=every_s), name=f"see {name}", every_s=every_s)
    return run(lost or [name], seen, *more, until_s=2000.0)


def wakings(found):
    """The figures of waking that are updated."""
    return {each.thing: each for each in found.updates if each.key == "wakes in"}


def test_from_the_put_back_until_it_is_answered(standing):
    """95 s after the plug was in again; three minutes that were assumed count as a tenth of a time."""
    found = wakings(learn(standing, [pulled("n1", 755.0)]))["n1"]
    assert [(round(each.took_s), each.on) for each in found.new] == [(95, "2026-11-26 08:46:12")]
    assert (found.before, found.guessed) == (180.0, 0.1)
    assert found.after == pytest.approx((180.0**0.1 * found.new[0].took_s) ** (1 / 1.1))


def test_the_next_cold_start_goes_by_it():
    """Once it is written, what comes up on that machine comes up sooner; learnt again, nothing changes."""
    lab = lab_of(TEXT)
    runs = [pulled("n1", 755.0), pulled("n2", 750.0)]
    now = build(read_texts({**lab.files, **taught(lab, learn(Standing(lab), runs)).files}))
    before, after = cold_start(Standing(lab)).up_s["mail"], cold_start(Standing(now)).up_s["mail"]
    assert after < before
    assert not wakings(learn(Standing(now), runs))


@pytest.mark.parametrize(
    ("seen", "why"),
    [
        (pulled("n1", 755.0, every_s=60.0), "its probe asked too seldom to measure how long it took to wake"),
        (
            pulled("n1", 663.0),
            "it was back so soon that it can hardly have been without power; tell it with --took if it was",
        ),
        (
            pulled("n1", 755.0, probe("A", outage(60.0, 754.5)), lost=["n1", "A"]),
            "it waited for something else, so that how long it takes to wake can't be told",
        ),
    ],
)
def test_what_may_be_something_else_teaches_nothing(standing, seen, why):
    """And it is said why."""
    found = learn(standing, [seen])
    assert "n1" not in wakings(found)
    assert (1, "n1", why) in found.passed


def test_what_is_not_back_or_not_put_back_or_takes_no_power_says_nothing(standing):
    """Nor what another drill than a loss does."""
    for seen in (
        pulled("n1", float("inf")),
        run(["n1"], probe("n1", outage(60.0, 755.0)), put_back_s=None, until_s=2000.0),
        run(["box"], probe("box", outage(60.0, 755.0)), until_s=2000.0),
        run(["n1"], probe("n1", outage(60.0, 755.0)), until_s=2000.0, tries="cut"),
    ):
        assert not wakings(learn(standing, [seen]))
