from __future__ import annotations

from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.strategies import lab_of

from falsework.analyses.wire.pauses import pauses
from falsework.support.carriers import Wires
from falsework.support.standing import Standing

RING = """
falsework: 1
lab: A ring
machines:
  n1..3: {is: node, ports: {a: 1 Gb/s}}
  s1..3: {is: switch, ports: 8, loops cut by: spanning tree}
wire:
  cables: [n1 -- s1, n2 -- s2, n3 -- s3, s1.1 -- s2.1, s2.2 -- s3.2, s3.1 -- s1.2]
services:
  votes: {on: n1..3, serves: majority}
  names: n1
  calm: {on: n2, needs: {to run: [names for 1 min]}}
  hasty: {on: n2, needs: {to run: [names for 20 s]}}
  next: {on: n3, needs: {to run: [hasty for 5 s]}}
  last: {on: n3, needs: {to run: [next for 1 min]}}
"""


def of(text):
    """The pauses of a lab, by lost part: seconds, services with theirs, and how many bear it."""
    lab = lab_of(text)
    standing = Standing(lab)
    found = {}
    for pause in pauses(standing, Wires(lab, standing.support.networks)):
        for lost in pause.lost:
            found[lost] = pause
    return found


def test_holds_by_hand():
    """n2 is away for 50 s: a hold of 1 min bears it, one of 20 s leaves 30 s, and who needs that for 5 s waits 45."""
    pause = of(RING)["s1.1 -- s2.1"]
    assert pause.seconds == 50.0
    assert {each.service: each.seconds for each in pause.services} == {"hasty": 30.0, "next": 45.0}
    assert pause.bears == 2  # calm, and last, which may miss next for a minute


def test_a_quorum_that_still_meets_does_not_pause():
    """n1 and n3 are two of three, and see each other all the time; without the root n2 and n3 have to find each other."""
    found = of(RING)
    assert "votes" not in {each.service for each in found["s1.1 -- s2.1"].services}
    assert {each.service: each.seconds for each in found["s1"].services} == {"votes": 50.0}


def test_a_cable_that_waits_interrupts_nothing():
    """The one between s2 and s3 carries nothing: it is not told."""
    assert "s2.2 -- s3.2" not in of(RING)


def test_a_row_of_switches_has_no_pause():
    """Without a circle nothing is found anew: what is lost is lost, and the verdicts tell it."""
    assert not of(RING.replace(", s3.1 -- s1.2", ""))


def test_the_words_say_who_misses_what():
    """The reason names the copy and what it can't see."""
    pause = of(RING)["s1.1 -- s2.1"]
    assert {each.because for each in pause.services} == {"hasty.1 can't see names", "next.1 can't see hasty"}


def slowly(standing, gap):
    """The pauses of services with one copy each that need one another, by trying all orders until nothing changes."""
    paused = {}
    while True:
        before = dict(paused)
        for name in standing.support.services:
            for lean in standing.support.things[f"{name}.1"].leans:
                if str(lean.role) != "need":
                    continue
                waits = []
                for other in lean.on:
                    here = standing.support.things[f"{name}.1"].places[0]
                    there = standing.support.things[f"{other}.1"].places[0]
                    waits.append(max(paused.get(other, 0.0), gap(here, there)))
                missing = sorted(waits)[lean.enough - 1]
                if missing > lean.hold_s:
                    paused[name] = max(paused.get(name, 0.0), missing - lean.hold_s)
        if paused == before:
            return paused


@st.composite
def needing(draw):
    """Three services on three machines, needing each other in any way, a circle among them or not."""
    lines = []
    for one in range(1, 4):
        needs = []
        for other in range(1, 4):
            if one != other and draw(st.booleans()):
                hold = draw(st.sampled_from(["", " for 20 s", " for 1 min"]))
                needs.append(f"w{other}{hold}")
        lines.append(
            f"  w{one}: {{on: n{one}{', needs: {to run: [' + ', '.join(needs) + ']}' if needs else ''}}}"
        )
    return RING[: RING.index("services:")] + "services:\n" + "\n".join(lines) + "\n"


@given(needing())
@settings(deadline=None, max_examples=80)
def test_pauses_against_trying_all_orders(text):
    """The same pauses come out of the plainest possible reckoning, circles of needs included."""
    found = of(text)
    standing = Standing(lab_of(text))
    # By hand: the tree is s1 - s2 and s1 - s3; with one of these cut its leaf is away for 50 s.
    for lost, alone in (("s1.1 -- s2.1", "n2"), ("s3.1 -- s1.2", "n3")):

        def gap(one, other, alone=alone):
            return 50.0 if one != other and alone in (one, other) else 0.0

        expected = slowly(standing, gap)
        pause = found.get(lost)
        told = {each.service: each.seconds for each in pause.services} if pause else {}
        assert told == expected


def test_losses_that_do_the_same_are_told_together():
    """Both cables of a trunk, and no pair of them twice."""
    text = RING.replace("s1.1 -- s2.1", "{run: s1.1 -- s2.1, group: t}, {run: s1.7 -- s2.7, group: t}")
    lab = lab_of(text)
    standing = Standing(lab)
    told = pauses(standing, Wires(lab, standing.support.networks))
    for one, other in combinations(told, 2):
        assert not set(one.lost) & set(other.lost)
    assert any(len(each.lost) == 2 and each.seconds == 3.0 for each in told)
