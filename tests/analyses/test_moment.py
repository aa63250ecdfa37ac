"""What stands so long after a loss, held against plain loops and against small labs worked out by hand."""

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.strategies import lab_of, texts

from falsework.analyses.moment import ALWAYS_S, APART, Now, Span, moment, stops
from falsework.analyses.verdicts import lose
from falsework.support.standing import Standing

BATTERY = """\
falsework: 1
lab: A battery of half an hour
power:
  circuit: {is: circuit, volts: 230 V, breaker: 16 A}
  battery: {is: ups, fed by: circuit, runs: {300 W: 30 min}}
  wall: {is: strip}
machines:
  a: {is: node, fed by: battery, draws: 300 W}
  b: {is: node, fed by: wall}
  c: {is: node, fed by: circuit}
services:
  mail: {on: [a, b], takes over: 40 s}
  names: [a]
  web: [c]
  clock: [b]
"""


def lost(*parts):
    """These parts lost."""
    return lose(Standing(lab_of(BATTERY)), parts)


def test_before_the_battery_is_empty_only_what_hangs_on_the_circuit_is_down():
    """At once the third machine is down; what the battery carries waits, and says until when."""
    found = moment(lost("circuit"), 0)
    assert {name: found.of(name) for name in ("web", "names", "mail", "clock", "a", "b", "c")} == {
        "web": Now.DOWN,
        "names": Now.WAITS,
        "mail": Now.WAITS,
        "clock": Now.STANDS,
        "a": Now.WAITS,
        "b": Now.STANDS,
        "c": Now.DOWN,
    }
    assert found.next_s("names") == found.next_s("mail") == 1800
    assert found.next_s("web") == found.next_s("clock") == float("inf")
    assert found.tally == {Now.STANDS: 1, Now.WAITS: 2, Now.DOWN: 1, Now.BACK: 0}


def test_at_the_moment_the_battery_is_empty_its_machine_is_down():
    """A change has happened at its own moment, and not a second before."""
    loss = lost("circuit")
    assert moment(loss, 1799).of("a") is Now.WAITS
    assert moment(loss, 1800).of("a") is Now.DOWN
    assert moment(loss, 1800).of("mail") is Now.DOWN
    assert moment(loss, 1800).next_s("mail") == 1840


def test_a_blink_ends_so_long_after_its_fall():
    """Mail is taken over 40 s after the battery is empty, not 40 s after the circuit went."""
    loss = lost("circuit")
    assert moment(loss, 1839).of("mail") is Now.DOWN
    assert moment(loss, 1840).of("mail") is Now.BACK
    assert "mail" not in moment(loss, 7 * 86_400).down
    assert {"names", "web"} <= moment(loss, 7 * 86_400).down


def test_what_is_down_already_is_down_from_the_first_moment():
    """With its battery out for long, the machine does not wait for the battery to be empty once more."""
    standing = Standing(lab_of(BATTERY), out=["circuit"])
    found = moment(lose(standing, ["b"]), 0)
    assert found.of("names") is Now.DOWN
    assert found.next_s("names") == float("inf")
    assert found.of("web") is Now.DOWN
    assert found.of("clock") is Now.DOWN


def test_stops_are_the_changes_and_the_moments_asked_about_anyway():
    """Half an hour and the take-over come between ten minutes and the hour, with what changes."""
    found = stops(lost("circuit"))
    assert [each.at_s for each in found] == [0, 10, 60, 600, 1800, 1840, 3600, 6 * 3600, 86_400, 604_800]
    by = {each.at_s: each for each in found}
    assert {"web", "c"} <= set(by[0].fallen)
    assert {"a", "names", "mail"} <= set(by[1800].fallen)
    assert by[1840].returned == ("mail",)
    assert not by[1800].always
    assert by[600].always


def test_with_nothing_lost_there_are_only_the_moments_asked_about():
    """Nothing changes then."""
    found = stops(lost())
    assert tuple(each.at_s for each in found) == ALWAYS_S
    assert not any(each.fallen or each.returned for each in found)


def test_two_moments_that_nobody_tells_apart_are_one_at_the_later():
    """A fall after 61 s joins the minute; one after 4 s stays apart from one after 5 s."""
    text = BATTERY.replace("30 min", "61 s")
    found = stops(lose(Standing(lab_of(text)), ["circuit"]))
    assert [each.at_s for each in found][:4] == [0, 10, 61, 101]
    assert found[2].always
    text = BATTERY.replace("30 min", "4 s").replace("40 s", "1 s")
    found = stops(lose(Standing(lab_of(text)), ["circuit"]))
    assert [each.at_s for each in found][:4] == [0, 4, 5, 10]


@given(text=texts(), data=st.data())
@settings(max_examples=40)
def test_every_moment_is_what_a_plain_loop_says(text, data):
    """Each thing is as its fall and its return say, and nothing but the things of the lab is told of."""
    lab = lab_of(text)
    out = data.draw(st.lists(st.sampled_from(Standing(lab).parts), max_size=1))
    standing = Standing(lab, out=out)
    if not standing.parts:
        return
    parts = data.draw(st.lists(st.sampled_from(standing.parts), max_size=3, unique=True))
    loss = lose(standing, parts, thin=False)
    at = data.draw(st.sampled_from([0.0, 5.0, 10.0, 30.0, 45.0, 60.0, 100.0, 3600.0]))
    found = moment(loss, at)
    down = set()
    for name in standing.support.things:
        if not standing.baseline.back(name):
            assert (found.of(name), found.next_s(name)) == (Now.DOWN, float("inf"))
            down.add(name)
            continue
        if name not in loss.down or loss.down[name].falls_s == float("inf"):
            assert found.of(name) is Now.STANDS
            continue
        falls, length = loss.down[name].falls_s, loss.down[name].back_s
        if falls > at:
            assert (found.of(name), found.next_s(name)) == (Now.WAITS, falls)
        elif falls + length <= at:
            assert (found.of(name), found.next_s(name)) == (Now.BACK, float("inf"))
        else:
            assert (found.of(name), found.next_s(name)) == (Now.DOWN, falls + length)
            down.add(name)
    assert found.down == down
    services = standing.support.services
    assert found.tally[Now.DOWN] == len(down & set(services))
    assert sum(found.tally.values()) == len(services)


@given(text=texts(), data=st.data())
@settings(max_examples=40)
def test_walking_the_stops_tells_every_change_once_and_never_late(text, data):
    """What fell and came back since the stop before gives what is down; no change waits for a stop far off."""
    standing = Standing(lab_of(text))
    parts = data.draw(st.lists(st.sampled_from(standing.parts), max_size=3, unique=True))
    loss = lose(standing, parts, thin=False)
    found = stops(loss)
    assert [each.at_s for each in found] == sorted({each.at_s for each in found})
    assert found[0].at_s == 0
    down: set[str] = set()
    for stop in found:
        down = (down | set(stop.fallen)) - set(stop.returned)
        assert down == moment(loss, stop.at_s).down
    for name in loss.down:
        span = Span(falls_s=loss.down[name].falls_s, back_s=loss.down[name].falls_s + loss.down[name].back_s)
        for when in (span.falls_s, span.back_s):
            if when < float("inf"):
                told = min(each.at_s for each in found if each.at_s >= when)
                assert told <= when * (1 + APART)
