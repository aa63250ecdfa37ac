"""Is what happens to a service, and how a thing is at a moment, said in the right words?"""

import re
from xml.etree import ElementTree

import pytest
from tests.faces.report.pictures import MENDED, lost, standing

from falsework.analyses.moment import Now, moment
from falsework.analyses.verdicts import Effect, Verdict
from falsework.faces.report.elevation import elevation
from falsework.faces.report.states import UPRIGHT, States, said, tally_line, time

NS = "{http://www.w3.org/2000/svg}"
LOSS = lost(MENDED, "c1")
FRONT = LOSS.of("front")


def then(at_s):
    """The states so many seconds after the circuit is out."""
    return States(standing=standing(MENDED), loss=LOSS, moment=moment(LOSS, at_s))


def row(at_s, name):
    """The row of a service as drawn at a moment: its state and its words."""
    made = ElementTree.fromstring(elevation(standing(MENDED), LOSS, at=moment(LOSS, at_s)))
    group = next(each for each in made.iter(f"{NS}g") if each.get("data-id") == name)
    return group.get("data-state"), [text.text for text in group.iter(f"{NS}text")]


def test_a_blink_is_as_long_as_it_lasts():
    """The length of an interruption is counted from when it begins, not from the loss."""
    late = Effect(service="a", verdict=Verdict.BLINKS, falls_s=1020.0, blinks_s=4.0)
    assert said(late) == "blinks 4 s after 17 min"
    assert (
        States(standing=standing(MENDED), loss=LOSS)
        .says("front")
        .endswith(f"back {time(FRONT.falls_s + FRONT.blinks_s)} after the loss")
    )


def test_the_example_blinks_late():
    """The loss that these tests look at has a service that is interrupted for seconds, after minutes."""
    assert FRONT.verdict is Verdict.BLINKS
    assert FRONT.falls_s > 600
    assert 0 < FRONT.blinks_s < 60


def test_before_its_fall_a_service_stands_and_says_when():
    """At a moment before, the beam is whole and its words tell the fall."""
    state, texts = row(600.0, "front")
    assert state == "waits"
    assert f"blinks at {time(FRONT.falls_s)} for {time(FRONT.blinks_s)}" in texts
    assert then(600.0).says("front").startswith(f"falls in {time(FRONT.falls_s - 600)}")


def test_within_its_blink_a_service_says_when_it_is_back():
    """While it is interrupted, the words count down to its return."""
    state, texts = row(FRONT.falls_s + 1, "front")
    assert state == "blinks"
    assert f"down, back in {time(FRONT.blinks_s - 1)}" in texts


def test_after_its_blink_a_service_is_back():
    """Afterwards it stands again, and says since how long."""
    state, texts = row(FRONT.falls_s + FRONT.blinks_s + 40, "front")
    assert state == "back"
    assert "back for 40 s" in texts


def test_what_is_lost_is_lost_from_the_first_moment():
    """The part itself is out at once and stays so."""
    assert {then(each).of("c1") for each in (0.0, 600.0, 1e6)} == {"lost"}


@pytest.mark.parametrize("at_s", [0.0, 600.0, 1026.0, 1e5])
def test_a_drawing_agrees_with_its_moment(at_s):
    """What is drawn as down at a moment is what the moment says is down."""
    states = then(at_s)
    assert states.moment is not None
    for name in LOSS.down:
        if name not in LOSS.lost:
            assert (states.of(name) not in UPRIGHT) == (states.moment.of(name) is Now.DOWN), name


def test_in_the_end_a_moment_is_the_loss():
    """Long after, everything but what blinked is as the drawing without a moment says."""
    last, settled = then(1e9), States(standing=standing(MENDED), loss=LOSS)
    for name in standing(MENDED).support.things:
        expected = settled.of(name)
        assert last.of(name) == ("back" if expected == "blinks" else expected)


def test_the_count_is_of_the_moment():
    """The line on top counts the services that are down, wait, are back and stand, all of them once."""
    line = tally_line(moment(LOSS, 600.0))
    assert sum(map(int, re.findall(r"\d+", line))) == len(LOSS.effects)
    assert "2 are down · 4 stand and fall later" in line
