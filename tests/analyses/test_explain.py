from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.strategies import lab_of, texts

from falsework.analyses.explain import explain, told
from falsework.analyses.verdicts import lose
from falsework.support.standing import Standing

LAB = """
falsework: 1
lab: x
power:
  socket: {is: circuit, volts: 230 V}
  A: {is: strip, fed by: socket}
machines:
  n1: {is: node, fed by: A}
  n2..3: {is: node}
  box: {is: enclosure, holds: {a: sled}}
  sw-1..2: {is: switch}
kinds: {sled: {is: node}}
wire:
  cables: [n1 -- sw-1, n2 -- sw-1, n3 -- sw-2, sw-1 -- sw-2, box.a -- sw-1]
services:
  names: n1
  pages: {on: n2, needs: [names]}
  votes: {on: [n2, n3, n1], serves: majority}
  moves: {on: [n2, n1], takes over: 10 s}
  sled: box.a
  shop: {on: n3, needs: [pages]}
"""


@pytest.mark.parametrize(
    ("lost", "thing", "sentence"),
    [
        (["n1"], "names", "the only copy of names is down: names.1 runs on n1, since n1 is lost"),
        (
            ["socket"],
            "names",
            "the only copy of names is down: names.1 runs on n1, since n1 has no power, since socket is lost",
        ),
        (
            ["n1"],
            "pages",
            "the only copy of pages is down: pages.1 needs names, since the only copy of names is down, since names.1 runs on n1, since n1 is lost",
        ),
        (["n2", "n3"], "votes", "votes has 1 of 3 copies and needs 2: votes.1 runs on n2, since n2 is lost"),
        (["n2"], "moves", "moves is served by moves.1: moves.1 runs on n2, since n2 is lost"),
        (
            ["box"],
            "sled",
            "the only copy of sled is down: sled.1 runs on box.a, since box.a sits in box, since box is lost",
        ),
        (
            ["sw-1.3 -- sw-2.2"],
            "shop",
            "the only copy of shop is down: shop.1 can't see pages over the wire, since sw-1.3 -- sw-2.2 is lost",
        ),
        (["n2"], "names", "it stands"),
    ],
)
def test_the_chain_in_words(lost, thing, sentence):
    """Whole sentences, each clause a true step from the fallen thing to what was lost."""
    (view,) = Standing(lab_of(LAB)).views([lost])
    assert told(explain(view, thing)) == sentence


def test_every_step_names_its_place():
    """Each step but those of implied things says where in the file it comes from."""
    (view,) = Standing(lab_of(LAB)).views([["socket"]])
    lines = {reason.where.line for reason in explain(view, "pages") if reason.where is not None}
    text = LAB.splitlines()
    assert any("needs: [names]" in text[line - 1] for line in lines)
    assert any("socket: {is: circuit" in text[line - 1] for line in lines)


@given(texts(), st.data())
@settings(max_examples=80)
def test_every_step_is_true(text, data):
    """Each thing of a chain is down in the sense that is asked, each step breaks, and the end is a loss or a circle."""
    standing = Standing(lab_of(text))
    lost = data.draw(st.lists(st.sampled_from(standing.parts), min_size=1, max_size=3, unique=True))
    loss = lose(standing, lost, thin=False)
    view = loss.view
    for name in standing.support.things:
        reasons = loss.why(name)
        if view.up(name):
            assert reasons == ()
            continue
        assert reasons[0].thing == name
        later = not view.back(name)
        for reason in reasons:
            assert not (view.back(reason.thing) if later else view.up(reason.thing)), (name, reason)
        for reason in reasons[:-1]:
            leans = standing.support.things[reason.thing].leans
            broken = [
                lean
                for number, lean in enumerate(leans)
                if not view.lean_holds(reason.thing, number, later=later)
            ]
            assert any(lean.role is reason.role for lean in broken), (name, reason)
        last = reasons[-1]
        circle = (
            last.says.startswith("each waits for the next")
            and [r.thing for r in reasons].count(last.thing) > 1
        )
        alone = all(
            view.lean_holds(last.thing, number, later=later)
            for number in range(len(standing.support.things[last.thing].leans))
        )
        assert last.thing in lost or circle or alone, (name, reasons)


def test_a_client_that_knows_one_address_follows_it_to_the_copy_that_is_down():
    """By hand: s2 knows s1 at the address of its first copy only; that copy is on n1, which is lost."""
    text = """
falsework: 1
lab: One address
machines: {n1..2: node}
services:
  s1: {on: [n1, n2], reached at: [10.0.0.1, 10.0.0.2]}
  s2: {on: [n2], needs: [{of: s1, at: 10.0.0.1}]}
"""
    standing = Standing(lab_of(text))
    reasons = lose(standing, ["n1"], thin=False).why("s2.1")
    assert [reason.says for reason in reasons] == [
        "s2.1 knows s1 only at 10.0.0.1",
        "s1.1 runs on n1",
        "n1 is lost",
    ]
