from __future__ import annotations

import pytest
from hypothesis import given, settings
from tests.strategies import lab_of, texts

from falsework.analyses.cold_start import cold_start
from falsework.support.graph import Phase
from falsework.support.standing import Standing

LAB = """
falsework: 1
lab: After the cut
outside: {mains: the wall, uplink: the world}
power:
  socket: {is: circuit, fed by: mains}
  strip: {is: strip, fed by: socket}
machines:
  a: {is: node, fed by: strip, wakes in: 120 s, power back: on}
  b: {is: node, fed by: strip, wakes in: 60 s, power back: stays off}
  sw: {is: switch, fed by: strip, wakes in: 30 s, power back: on}
wire: {cables: [a -- sw, b -- sw]}
services:
  names: {on: a, restarts in: 10 s}
  files: {on: a, restarts in: 20 s, needs: [names]}
  pages: {on: b, restarts in: 5 s, needs: [files]}
  logs: {on: a, restarts in: 1 s, needs: {to run: [names]}}
  mirror: {on: a, restarts in: 1 s, needs: [uplink]}
people: {owner: {comes in: 40 min}}
"""


def start(text, **given_):
    """A cold start of a lab in a text."""
    return cold_start(Standing(lab_of(text)), **given_)


def test_rise_times_worked_out_by_hand():
    """Each thing is up when what it needs to start is up, plus its own time; nothing without power waits for less.

    Node a wakes by 120 s, names restart by 130 s, files wait for names: 150 s; logs need names only to run: they
    begin at 121 s, and serve once names do.
    """
    found = start(LAB)
    expected = {
        "mains": 0,
        "strip": 0,
        "sw": 30,
        "a": 120,
        "names": 130,
        "files": 150,
        "logs": 130,
        "mirror": 121,
    }
    assert {name: found.up_s[name] for name in expected} == pytest.approx(expected)
    assert found.stuck == ("b", "pages")
    assert found.by_hand == ("b",)
    assert not found.whole
    assert found.circles == ()


def test_hands_switch_on_what_stays_off_once_they_are_there():
    """With people, who come in 40 min, b is up after that and its 60 s, and pages 5 s later."""
    found = start(LAB, hands=True)
    assert found.whole
    assert found.up_s["b"] == pytest.approx(2400 + 60)
    assert found.up_s["pages"] == pytest.approx(2400 + 60 + 5)
    nobody = LAB.replace("people: {owner: {comes in: 40 min}}\n", "")
    assert start(nobody, hands=True).up_s["b"] == pytest.approx(1800 + 60)


def test_outside_help_may_be_missing():
    """Without the outside world only what needs it is stuck; power still comes from the wall."""
    found = start(LAB, hands=True, outside=False)
    assert found.stuck == ("mirror",)


def test_a_circle_is_named_and_what_hangs_on_it_is_stuck():
    """Two services that need each other to start stand for ever and are never raised; the circle is told once."""
    text = LAB.replace(
        "  mirror:",
        "  first: {on: a, needs: [second]}\n  second: {on: a, needs: [first]}\n  third: {on: a, needs: [second]}\n  mirror:",
    )
    found = start(text, hands=True)
    assert found.stuck == ("first", "second", "third")
    (circle,) = found.circles
    assert circle[0] == circle[-1]
    assert set(circle) == {"first", "first.1", "second", "second.1"}


def test_needing_each_other_only_to_run_is_no_circle():
    """Two services that need each other to run, not to start, both come up and then serve."""
    text = LAB.replace(
        "  mirror:",
        "  first: {on: a, needs: {to run: [second]}}\n  second: {on: a, needs: {to run: [first]}}\n  mirror:",
    )
    found = start(text, hands=True)
    assert found.whole
    assert found.circles == ()


def test_who_tries_once_must_not_come_too_early():
    """What starts with its host and tries once stays down if what it needs is up only later; else it comes up."""
    text = LAB.replace("files: {on: a,", "files: {on: a, tries: once,")
    found = start(text, hands=True)
    assert found.too_early == ("files.1",)
    assert found.stuck == ("files", "pages")
    found = start(LAB.replace("logs: {on: a,", "logs: {on: a, tries: once,"), hands=True)
    assert found.too_early == ()
    assert found.whole


@pytest.mark.parametrize("moving", ["takes over: 40 s", "floats: 10.0.0.9 in 40 s"])
def test_nothing_is_taken_over_at_a_cold_start(moving):
    """A service whose first copy comes up serves as soon as that does: there is nothing to take over from."""
    text = f"""
falsework: 1
lab: x
machines: {{n1..2: {{is: node, wakes in: 60 s, power back: on}}}}
services: {{s: {{on: [n1, n2], {moving}, restarts in: 10 s}}}}
"""
    assert start(text).up_s["s"] == pytest.approx(70)


def test_what_is_out_beforehand_stays_out_and_is_not_called_stuck():
    """A part that is known to be out does not come up; what falls with it was down already."""
    found = cold_start(Standing(lab_of(LAB), out=["b"]))
    assert "b" not in found.up_s
    assert found.stuck == ()


@given(texts())
@settings(max_examples=40)
def test_nothing_rises_before_what_it_stands_on(text):
    """Whatever comes up is up no sooner than enough of each thing it needs to start, and then takes its own time."""
    standing = Standing(lab_of(text))
    found = cold_start(standing, hands=True)
    for name, at in found.up_s.items():
        thing = standing.support.things[name]
        for lean in thing.leans:
            if (
                Phase.START in lean.phases
                and "later" in lean.times
                and thing.word not in ("room", "rack", "cable")
            ):
                ready = sorted(found.up_s.get(each, float("inf")) for each in lean.on)
                own = (0.0 if thing.word == "service" else thing.returns_s or 0.0) + thing.wakes_s
                assert at + 1e-6 >= ready[lean.enough - 1] + own, (name, lean)


@given(texts())
@settings(max_examples=40)
def test_what_comes_up_stands(text):
    """A cold start reaches nothing that does not stand while all is well, and helpers only add to it."""
    standing = Standing(lab_of(text))
    alone, helped = cold_start(standing, outside=False), cold_start(standing, hands=True)
    assert set(alone.up_s) <= set(helped.up_s)
    assert all(standing.baseline.back(name) for name in helped.up_s)
    words = ("service", "node", "alarm", "switch")
    for name, thing in standing.support.things.items():
        if thing.word in words and standing.baseline.back(name):
            assert (name in helped.up_s) != (name in helped.stuck)


WAKING = """
falsework: 1
lab: Waking
machines: {a: {is: node, wakes in: 3 min}, b: {is: node, wakes in: 1 min, WAKES}, c: {is: node, wakes in: 5 min}}
services:
  time: {on: a, restarts in: 60 s}
  book: {on: b, restarts in: 10 s}
  store: {on: [a, b], restarts in: 10 s, FIRST}
"""


def waking(wakes="power back: on", first="serves: any", **given_):
    """A cold start of that lab, with something said of one host and of the store."""
    return start(WAKING.replace("WAKES", wakes).replace("FIRST", first), **given_)


def test_a_host_without_the_time_starts_nothing_before_it_has_it():
    """`clock from` delays what runs there until the time serves; without it nothing waits."""
    assert waking().up_s["book"] == 70.0
    assert waking("clock from: time").up_s["book"] == 250.0


def test_the_time_service_does_not_wait_for_itself():
    """Its own copy on a host without the time starts."""
    assert start(WAKING.replace("WAKES", "clock from: book").replace(", FIRST", "")).up_s["book"] == 70.0


def test_where_nobody_knows_who_stopped_last_each_waits_for_all():
    """`first up: last to stop`: no copy starts before the hosts of all are up."""
    assert waking().up_s["store"] == 70.0
    assert waking(first="first up: last to stop").up_s["store"] == 190.0


def test_a_person_picks_the_first_copy():
    """`first up: by hand`: nothing without hands, and with them it comes up."""
    assert "store" in waking(first="first up: by hand").stuck
    assert waking(first="first up: by hand", hands=True).up_s["store"] >= 70.0


RUNNING_OUT = """
falsework: 1
lab: Run out
machines: {a: {is: node, wakes in: 1 min}}
services:
  certs: {on: a, restarts in: 30 s, NEEDS}
  pages: {on: a, restarts in: 10 s, needs: {to start: [seal]}}
people: {me: {comes in: 10 min}}
keys: {seal: {kept in: a, lasts: 30 days, RENEWED}}
"""
DAY_S = 86400.0


def after(days, needs="stops in: 1 s", renewed="renewed by: certs", **given_):
    """A cold start of that lab after so many days."""
    text = RUNNING_OUT.replace("NEEDS", needs).replace("RENEWED", renewed)
    return start(text, off_s=days * DAY_S, **given_)


def test_a_key_that_ran_out_counts_once_it_is_renewed():
    """Off for less than a key lasts nothing waits; as long or longer, pages wait for certs: 60 + 30 + 10 s."""
    assert (
        start(RUNNING_OUT.replace("NEEDS", "stops in: 1 s").replace("RENEWED", "enough: 1")).up_s["pages"]
        == 70
    )
    assert after(29.9).up_s["pages"] == 70
    assert (after(29.9).expired, after(30).expired) == ((), ("seal",))
    assert after(30).up_s["pages"] == 100


def test_a_key_that_nobody_renews_stays_expired():
    """What needs it is stuck, with or without hands."""
    found = after(31, renewed="enough: 1", hands=True)
    assert found.stuck == ("pages",)
    assert found.circles == ()


def test_what_renews_through_what_needs_the_key_is_a_circle():
    """The renewer that needs pages to start waits for itself, by way of the key; before it ran out nothing did."""
    assert after(29, needs="needs: {to start: [pages]}").whole
    found = after(31, needs="needs: {to start: [pages]}")
    assert found.stuck == ("certs", "pages")
    assert {"seal", "certs", "pages"} <= set(found.circles[0])


def test_who_renews_by_hand_must_be_there():
    """A person renews only with hands."""
    assert after(31, renewed="renewed by: me").stuck == ("pages",)
    assert after(31, renewed="renewed by: me", hands=True).whole


def test_a_third_of_its_time_off_is_a_doubt():
    """From a third of what it lasts a key may have run out, if it was not fresh; it is counted as good."""
    assert [after(days).doubtful for days in (9.9, 10, 29.9, 30)] == [(), ("seal",), ("seal",), ()]
