"""Where a hold bridges the first part of an interruption, only the rest is felt, however many holds are in a row."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.lengths import many
from tests.player import NEVER, played
from tests.strategies import lab_of

from falsework.analyses.verdicts import Verdict, lose
from falsework.support import gates
from falsework.support.standing import Standing

LAB = """\
falsework: 1
lab: A chain
machines:
  n1..{last}: node
services:
  s0: {{on: [n1, n2], takes over: {over} s}}
"""


def chain(over, links):
    """A store that moves in `over` seconds, and clients in a row: (hold, restart) each, seconds."""
    text = LAB.format(last=len(links) + 2, over=over)
    for at, (hold, restart) in enumerate(links, start=1):
        text += f"  s{at}: {{on: n{at + 2}, needs: [s{at - 1} for {hold} s], restarts in: {restart} s}}\n"
    return Standing(lab_of(text))


def told(found):
    """Verdict, fall and length of each service's interruption."""
    return [(e.verdict, e.falls_s, e.blinks_s) for e in found.effects]


def test_a_client_that_waits_before_it_falls_is_out_for_the_rest():
    """Hand-worked: the store is back at 40 s, the client fell at 30 s and restarts in 10 s: out for 20 s."""
    found = lose(chain(40, [(30, 10), (15, 5)]), ["n1"])
    assert [(e.falls_s, e.blinks_s) for e in found.effects] == [(0, 40), (30, 20), (45, 10)]


def test_a_second_hold_is_laid_beside_what_the_first_leaves():
    """Hand-worked: out for 20 s, held for 10 s: out for 10 s from then, which a hold of 15 s bridges and one of 9 not."""
    assert lose(chain(20, [(10, 0), (15, 60)]), ["n1"]).of("s2").verdict < Verdict.BLINKS
    blinks = lose(chain(20, [(10, 0), (9, 60)]), ["n1"]).of("s2")
    assert (blinks.verdict, blinks.falls_s, blinks.blinks_s) == (Verdict.BLINKS, 19, 61)


def test_a_take_over_begins_when_what_served_falls():
    """Hand-worked: the machine falls after 30 s without the store, and only then another takes over, in 5 s."""
    text = """\
falsework: 1
lab: A machine that waits
machines:
  n1..2: node
  n3: {is: node, needs: [s0 for 30 s]}
  n4..6: node
services:
  s0: {on: [n1, n2], takes over: 40 s}
  s1: {on: [n3, n4], takes over: 5 s}
  s2: {on: n5, needs: [s1 for 5 s]}
  s3: {on: n6, needs: [s0, s1], restarts in: 0 s}
  s4: {on: n6, needs: [s3 for 39 s], restarts in: 0 s}
"""
    found = lose(Standing(lab_of(text)), ["n1"], thin=False)
    assert told(found) == [
        (Verdict.BLINKS, 0, 40),
        (Verdict.BLINKS, 30, 5),
        (Verdict.STANDS, NEVER, 0),
        (Verdict.BLINKS, 0, 40),
        (Verdict.BLINKS, 39, 1),
    ]


@st.composite
def labs(draw):
    """Services over services, some moved, some restarted, on machines that need services: (text, (thing, ...))."""
    seconds = st.integers(1, 40)
    machines, services = [], []
    for number in range(draw(st.integers(2, 5))):
        way = draw(st.sampled_from(["over", "floats", "both", "one"] if number else ["over", "floats"]))
        hosts = [f"n{len(machines) + at + 1}" for at in range(1 if way == "one" else 2)]
        below = [f"s{at}" for at in range(number)]
        for host in hosts:
            needs = below and draw(st.sampled_from([False, False, True]))
            held = f", needs: [{draw(st.sampled_from(below))} for {draw(seconds)} s]" if needs else ""
            machines.append(f"  {host}: {{is: node{held}}}\n")
        moves = {"over": f"takes over: {draw(seconds)} s, "}.get(way, "")
        if way == "floats":
            moves = f"floats: 10.0.0.{number + 1} in {draw(seconds)} s, "
        some = draw(st.lists(st.sampled_from(below), max_size=2, unique=True)) if below else []
        needs = [f"{each}{f' for {draw(seconds)} s' if draw(st.booleans()) else ''}" for each in some]
        if len(some) == 2 and draw(st.booleans()):
            needs = [f"{{of: [{', '.join(some)}], for: {draw(seconds)} s}}"]
        services.append(
            f"  s{number}: {{on: [{', '.join(hosts)}], {moves}"
            f"needs: [{', '.join(needs)}], restarts in: {draw(st.integers(0, 30))} s}}\n"
        )
    return "falsework: 1\nlab: Holds\nmachines:\n" + "".join(machines) + "services:\n" + "".join(services)


def held_to_the_play(standing):
    """For each single loss: told to stand only what does, told to be back what is, with the moments of the play.

    Where something falls more than once, all that leans on it may be told at other moments: see
    docs/explanation/verdicts.md.
    """
    losses = [(part,) for part in standing.parts]
    views = standing.views(losses)
    falls = standing.falls(views)
    lasts = standing.returns(views, falls)
    for column, (view, lost) in enumerate(zip(views, losses, strict=True)):
        spans = played(standing.support, lost)
        once = all(len(each) == 1 for each in spans.values())
        for name, row in standing.row.items():
            seen = spans.get(name, ())
            assert view.up(name) <= (not seen), (lost, name)
            assert view.back(name) == (not seen or seen[-1][1] < NEVER), (lost, name)
            if once:
                assert view.up(name) == (not seen), (lost, name)
                if seen and view.back(name):
                    told = (falls[row, column], falls[row, column] + lasts[row, column])
                    assert told == seen[0], (lost, name)


@given(labs())
@settings(max_examples=40)
def test_what_is_told_is_what_happens(text):
    """On random labs of holds, take-overs, restarts and addresses that move verdicts and moments are the play's."""
    held_to_the_play(Standing(lab_of(text)))


@pytest.mark.slow
@given(labs())
@settings(max_examples=many(40, at_length=1500))
def test_what_is_told_is_what_happens_at_length(text):
    """The same for many labs."""
    held_to_the_play(Standing(lab_of(text)))


@given(
    over=st.integers(1, 60),
    links=st.lists(st.tuples(st.integers(1, 30), st.integers(0, 20)), min_size=1, max_size=4),
)
@settings(max_examples=40)
def test_chains_of_holds_blink_as_long_as_they_are_out(over, links):
    """One after the other, reckoned by hand: out for what the hold leaves, and for the restart."""
    found = lose(chain(over, links), ["n1"], thin=False)
    expected, begins, lasts = [(Verdict.BLINKS, 0.0, over)], 0.0, over
    for hold, restart in links:
        begins, lasts = begins + hold, lasts - hold + restart if lasts > hold else 0.0
        expected.append((Verdict.BLINKS, begins, lasts) if lasts else (Verdict.STANDS, NEVER, 0.0))
    assert told(found) == expected


@given(labs())
@settings(max_examples=20)
def test_where_too_much_is_asked_nothing_is_told_kinder(text):
    """With few questions answered more may be told to fall or blink, and nothing is told to stand that does not."""
    lab = lab_of(text)
    losses = [(part,) for part in Standing(lab).parts]
    exact = [effect.verdict for loss in losses for effect in lose(Standing(lab), loss, thin=False).effects]
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(gates, "MOST_ASKED", 1)
        rough = Standing(lab)
        assert all(
            effect.verdict >= verdict
            for effect, verdict in zip(
                (effect for loss in losses for effect in lose(rough, loss, thin=False).effects),
                exact,
                strict=True,
            )
        )


def test_a_net_of_holds_that_are_all_different_stays_small():
    """Each of ten rows of services holds the three before it for times of its own: sums of holds without end."""
    text = "falsework: 1\nlab: Net\nmachines:\n  n1..3: node\nservices:\n  s0: {on: [n1, n2], takes over: 90000 s}\n"
    before, number = ["s0"], 0
    for row in range(10):
        here = [f"s{row}x{at}" for at in range(3)]
        for name in here:
            number += 1
            held = ", ".join(f"{each} for {2 ** (number % 15) + number} s" for each in before)
            text += f"  {name}: {{on: n3, needs: [{held}], restarts in: {number % 7 + 1} s}}\n"
        before = here
    standing = Standing(lab_of(text))
    assert standing.gates.graph.n_gates < 1_000 * len(standing.support.things)
    assert lose(standing, ["n1"], thin=False).of("s9x2").verdict >= Verdict.BLINKS


def test_a_circle_of_short_holds_comes_to_an_end():
    """Two that hold each other for 10 ms below one that is out for a day: sums of holds without end, of which some are asked."""
    text = """\
falsework: 1
lab: A circle
machines:
  n1..4: node
services:
  s0: {on: [n1, n2], takes over: 90000 s}
  a: {on: n3, needs: [s0 for 10 s, b for 10 ms], restarts in: 1 s}
  b: {on: n4, needs: [a for 10 ms], restarts in: 1 s}
"""
    found = lose(Standing(lab_of(text)), ["n1"], thin=False)
    assert (found.of("s0").verdict, found.of("s0").falls_s) == (Verdict.BLINKS, 0)
    assert found.of("a").falls_s == 10
    assert found.of("b").falls_s >= 10
