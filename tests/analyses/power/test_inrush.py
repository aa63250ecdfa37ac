"""Do the breakers bear what comes on together when power returns?"""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.strategies import lab_of

from falsework.analyses.power.inrush import BEARS, BEARS_MOST, inrush
from falsework.support.standing import Standing

HEAD = """
falsework: 1
lab: t
outside: {grid: the street}
power:
"""
FOUR = f"""{HEAD}
  c: {{is: circuit, fed by: grid, volts: 230 V, breaker: 10 A}}
  A: {{is: strip, fed by: c}}
machines:
  n1..4: {{is: node, fed by: A, draws: 100..230 W, power factor: 1, surge: 12 A}}
"""


def found(text, out=()):
    """The return of power of a text."""
    return inrush(Standing(lab_of(text), out=out))


def rush(got, name):
    """One source of it."""
    return next(each for each in got.sources if each.source == name)


def test_all_at_once():
    """Four times 12 A on a breaker of 10 A that bears 30: it may trip; by a figure that was taken, so not for certain."""
    got = found(FOUR)
    c = rush(got, "c")
    assert (c.worst.amperes, c.limit_a, c.over, c.sure) == (48, 30, True, False)
    assert not got.bad
    assert rush(got, "A").limit_a is None
    said = found(FOUR.replace("breaker: 10 A", "breaker: 10 A, bears surge: 3"))
    assert rush(said, "c").sure
    assert said.bad
    assert not found(FOUR.replace("breaker: 10 A", "breaker: 10 A, bears surge: 5")).sources[0].over


def test_the_default_lies_where_the_standard_is_quoted():
    """Type B trips at once between 3 and 5 times its rating (IEC 60898-1, as commonly quoted): the lower is taken."""
    assert (BEARS, BEARS_MOST) == (3, 5)
    (taken,) = found(FOUR).taken
    assert (taken.key, taken.low, taken.high) == ("bears surge", "30 A", "50 A")


def test_a_strip_with_a_breaker_of_its_own():
    """It bears three times 8 A; there is no key to say it, so it is told under `breaker`."""
    got = found(FOUR.replace("A: {is: strip, fed by: c}", "A: {is: strip, fed by: c, breaker: 8 A}"))
    assert (rush(got, "A").limit_a, rush(got, "A").over) == (24, True)
    assert [(each.key, each.things) for each in got.taken] == [("bears surge", ("c",)), ("breaker", ("A",))]


def test_a_strip_that_staggers():
    """Outlets 2 s apart: 12 A each, and those before draw 1 A each (230 W at 230 V, power factor 1)."""
    got = found(FOUR.replace("A: {is: strip, fed by: c}", "A: {is: strip, fed by: c, staggers: 2 s}"))
    c = rush(got, "c")
    assert [(each.at_s, each.surge_a, each.running_a) for each in c.moments] == [
        (0, 12, 0),
        (2, 12, 1),
        (4, 12, 2),
        (6, 12, 3),
    ]
    assert not c.over
    assert got.start is None


def test_the_fewest_groups():
    """30 A less the 4 A of all that run leave 26: two of 12 A go together, so two groups, proved."""
    start = found(FOUR).start
    assert (start.groups, start.proved, start.fits, start.alone) == (2, True, True, ())
    assert [each.after_s for each in start.later] == [0, 0, 2, 2]


def test_what_is_proposed_helps():
    """The delays of the proposal, written into the file, leave no breaker that may trip."""
    start = found(FOUR).start
    lines = "\n".join(
        f"  {each.machine}: {{is: node, fed by: A, draws: 100..230 W, power factor: 1, surge: 12 A, "
        f"comes on after: {each.after_s:g} s}}"
        for each in start.later
    )
    again = found(FOUR[: FOUR.index("  n1..4")] + lines + "\n")
    assert not any(each.over for each in again.sources)


def test_one_that_is_too_much_alone():
    """A machine of 40 A is in no group: nothing helps it but a breaker that bears more."""
    start = found(FOUR + "  big: {is: node, fed by: A, draws: 50 W, surge: 40 A}\n").start
    assert start.alone == ("big",)
    assert "big" not in {each.machine for each in start.later}


def test_both_feeds_see_the_whole_surge():
    """A machine in two strips counts whole at each, and once where both lie behind one circuit."""
    text = f"""{HEAD}
  c: {{is: circuit, fed by: grid, breaker: 16 A}}
  A: {{is: strip, fed by: c}}
  B: {{is: strip, fed by: c}}
machines:
  n: {{is: node, fed by: [A, B], draws: 100 W, surge: 30 A}}
"""
    got = found(text)
    assert [each.worst.surge_a for each in got.sources] == [30, 30, 30]


def test_behind_a_battery():
    """What hangs on an empty battery comes on with it, at what feeds it too; its own surge counts."""
    text = f"""{HEAD}
  c: {{is: circuit, fed by: grid, breaker: 16 A}}
  cell: {{is: ups, fed by: c, battery: 400 Wh, surge: 20 A, comes on after: 10 s}}
machines:
  n: {{is: node, fed by: cell, draws: 100 W, surge: 30 A}}
  m: {{is: node, fed by: c, draws: 100 W, surge: 15 A}}
"""
    c = rush(found(text), "c")
    assert [(each.at_s, each.machines, each.surge_a) for each in c.moments] == [
        (0, ("m",), 15),
        (10, ("cell", "n"), 50),
    ]
    start = found(text).start
    assert {each.machine: (each.at_s, each.after_s) for each in start.later} == {"n": (12, 2), "m": (12, 12)}
    assert start.fits


def test_what_stays_off_or_is_out_does_not_come_on():
    """`power back: stays off` and parts out beforehand add nothing."""
    text = FOUR + "  off: {is: node, fed by: A, draws: 50 W, surge: 40 A, power back: stays off}\n"
    assert rush(found(text), "c").worst.surge_a == 48
    assert rush(found(FOUR, out=["n1"]), "c").worst.surge_a == 36
    assert found(FOUR, out=["A"]).sources == ()


def test_a_surge_that_nobody_says():
    """Ten times what it draws when busy: 230 W at 230 V are 1 A, so 10 A; from 5 to 30 A by what is usual."""
    text = FOUR.replace(", surge: 12 A", "")
    got = found(text)
    assert rush(got, "c").worst.surge_a == pytest.approx(40)
    surge = next(each for each in got.taken if each.key == "surge")
    assert (surge.low, surge.high) == ("20 A", "120 A")
    assert not found(text.replace("breaker: 10 A", "breaker: 10 A, bears surge: 3")).bad


def test_who_says_nothing_at_all():
    """Neither surge nor draw: it is named."""
    assert found(FOUR + "  dark: {is: node, fed by: A}\n").silent == ("dark",)


def test_those_come_first_on_whom_others_lean():
    """The switch, then the machine that three services stand on, then the others."""
    text = f"""{HEAD}
  c: {{is: circuit, fed by: grid, volts: 230 V, breaker: 10 A, bears surge: 3}}
machines:
  n1..3: {{is: node, fed by: c, draws: 10 W, power factor: 1, surge: 25 A}}
  sw: {{is: switch, ports: 8, fed by: c, draws: 10 W, power factor: 1, surge: 25 A}}
services: {{s: {{on: n2}}, t: {{on: n2}}, u: {{on: n3}}}}
"""
    assert [each.machine for each in found(text).start.later] == ["sw", "n2", "n3", "n1"]


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.tuples(st.sampled_from(["A", "B", "[A, B]"]), st.integers(1, 29)), min_size=1, max_size=5),
    st.integers(0, 12),
)
def test_the_fewest_against_every_way(machines, ups_s):
    """No start in fewer groups is borne by both circuits, added up by hand; the one proposed is."""
    lines = "".join(
        f"  n{k}: {{is: node, fed by: {fed}, draws: 23 W, power factor: 1, surge: {amperes} A}}\n"
        for k, (fed, amperes) in enumerate(machines)
    )
    text = f"""{HEAD}
  ca: {{is: circuit, fed by: grid, volts: 230 V, breaker: 10 A}}
  cb: {{is: circuit, fed by: grid, volts: 230 V, breaker: 12 A}}
  u: {{is: ups, fed by: ca, battery: 9 Wh, comes on after: {ups_s} s}}
  A: {{is: strip, fed by: u}}
  B: {{is: strip, fed by: cb}}
machines:
{lines}"""
    start = found(text).start
    if start is None:
        return
    assert start.fits
    assert start.alone == ()
    running = {
        side: sum(0.1 / (2 if "," in fed else 1) for fed, _ in machines if side in fed) for side in "AB"
    }
    fewest = min(
        len(set(group))
        for group in itertools.product(range(len(machines)), repeat=len(machines))
        if all(
            sum(
                amperes
                for (fed, amperes), own in zip(machines, group, strict=True)
                if own == number and side in fed
            )
            + running[side]
            <= limit
            for number in set(group)
            for side, limit in (("A", 30), ("B", 36))
        )
    )
    assert (start.groups, start.proved) == (fewest, True)
