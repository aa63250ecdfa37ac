"""Where a hold bridges the first part of an interruption, only the rest is felt."""

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.strategies import lab_of

from falsework.analyses.verdicts import Verdict, lose
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


def played(over, links):
    """When each is down, one after the other: (from, for) seconds, until the first that a hold carries through."""
    spans = [(0, over)]
    for hold, restart in links:
        begins, lasts = spans[-1]
        if lasts <= hold:
            break
        spans.append((begins + hold, lasts - hold + restart))
    return spans


def test_a_client_that_waits_before_it_falls_is_out_for_the_rest():
    """Hand-worked: the store is back at 40 s, the client fell at 30 s and restarts in 10 s: out for 20 s."""
    found = lose(chain(40, [(30, 10), (15, 5)]), ["n1"])
    assert [(e.falls_s, e.blinks_s) for e in found.effects] == [(0, 40), (30, 20), (45, 10)]


@given(
    over=st.integers(1, 60),
    links=st.lists(st.tuples(st.integers(1, 30), st.integers(0, 20)), min_size=1, max_size=4),
)
@settings(max_examples=40)
def test_chains_of_holds_blink_as_long_as_they_are_out(over, links):
    """Played one after the other the spans are the same; what is told beyond them is never less than blinks."""
    found = lose(chain(over, links), ["n1"], thin=False)
    spans = played(over, links)
    told = {effect.service: effect for effect in found.effects}
    for at, (begins, lasts) in enumerate(spans):
        effect = told[f"s{at}"]
        assert effect.verdict is Verdict.BLINKS
        assert (effect.falls_s, effect.blinks_s) == (begins, lasts)
    for at in range(len(spans), len(links) + 1):
        assert told[f"s{at}"].verdict in (
            Verdict.STANDS,
            Verdict.BLINKS,
        )  # too strict behind two holds, never too kind
