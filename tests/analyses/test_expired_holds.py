"""A hold that is over before the loss bridges nothing: what is out beforehand has been out for long."""

from hypothesis import assume, given, settings
from hypothesis import strategies as st
from tests.strategies import lab_of, texts

from falsework.analyses.margin import margins_left
from falsework.analyses.taking_down import May, taking_down
from falsework.analyses.verdicts import Verdict, lose
from falsework.support.standing import Standing

LAB = """\
falsework: 1
lab: Half an hour
power:
  circuit: {is: circuit, volts: 230 V, breaker: 16 A}
  battery: {is: ups, fed by: circuit, runs: {300 W: 30 min}}
machines:
  a: {is: node, fed by: battery, draws: 300 W}
  b: node
services:
  mail: {on: [a, b]}
"""


def test_a_battery_behind_a_circuit_that_is_out_is_empty():
    """Lost together with the circuit the other machine leaves half an hour; with the circuit long out, nothing."""
    together = lose(Standing(lab_of(LAB)), ["circuit", "b"])
    assert together.of("mail").falls_s == 1800
    after = lose(Standing(lab_of(LAB), out=["circuit"]), ["b"])
    assert (after.of("mail").verdict, after.of("mail").falls_s) == (Verdict.FALLS, 0.0)


def test_nobody_is_told_to_be_done_before_an_empty_battery_is_empty():
    """With the circuit out the machine may not be taken down, not even for a moment."""
    standing = Standing(lab_of(LAB), out=["circuit"])
    loss = lose(standing, ["b"])
    found = taking_down(standing, loss, margins_left(standing, loss.lost))
    assert found.may is May.NO
    assert found.within_s == float("inf")


@given(text=texts(), data=st.data())
@settings(max_examples=60)
def test_what_is_out_beforehand_never_gives_more_time_than_losing_it_now(text, data):
    """A thing that stands with a part out falls no later than where that part is lost only now."""
    lab = lab_of(text)
    whole = Standing(lab)
    assume(len(whole.parts) > 1)
    parts = data.draw(st.lists(st.sampled_from(whole.parts), min_size=2, max_size=3, unique=True))
    first, *rest = parts
    out = Standing(lab, out=[first])
    assume(out.support.things == whole.support.things)  # nothing moved, or other copies are asked about
    before, now = lose(out, rest, thin=False), lose(whole, parts, thin=False)
    for name, down in now.down.items():
        if name in before.down and not out.baseline.up(name):
            continue  # down already
        if name in before.down:
            assert before.down[name].falls_s <= down.falls_s
