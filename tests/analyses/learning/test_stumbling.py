"""Are take-overs that happened and those that did not counted, and does what follows go by the count?"""

from __future__ import annotations

import math

import pytest
from tests.observing import outage, probe, run
from tests.strategies import lab_of

from falsework.analyses.learning import learn
from falsework.analyses.odds.sources import sources
from falsework.engines.reliability.sharing import as_one, beta_between
from falsework.findings.learning import taught
from falsework.lab.read import read_texts
from falsework.model.build import build
from falsework.record.seen import Gap, Why
from falsework.support.lives import lives
from falsework.support.standing import Standing

TEXT = """
lab: t
machines: {n1: node, n2: node, n3..4: node}
pools: {herd: {hosts: [n3, n4]}}
services:
  mail: {on: [n1, n2], takes over: 40 s}   # mine
  far: {on: n2, needs: {to run: [mail]}}
  chat: {on: herd, placed: n3}
"""
STAYED = outage(60.0, math.inf)


@pytest.fixture(scope="module")
def standing():
    """The lab of this file."""
    return Standing(lab_of(TEXT))


def pulled(seen, number, *more, lost=("n1",), **rest):
    """A run in which n1 was taken out and mail did so."""
    return run(lost, probe("mail", seen), *more, number=number, **rest)


def counts(standing, *runs):
    """What is counted, by service."""
    return {each.thing: each for each in learn(standing, runs).stumbles}


def test_happened_and_not(standing):
    """Two take-overs and one that stayed away: 1 of 3 beside one in 37 that was assumed."""
    runs = [pulled(outage(60.0, 91.0), 1), pulled(STAYED, 2), pulled(outage(60.0, 95.0), 3)]
    found = counts(standing, *runs)["mail"]
    assert (found.failed, found.of, found.source, found.runs) == (1, 3, "assumed", (1, 2, 3))
    guess = as_one(beta_between(0.01, 0.05).mean)
    assert found.guess == guess
    assert found.posterior == guess.updated(1, 3)
    assert (found.share_after.low, found.share_after.high) == pytest.approx(guess.updated(1, 3).between)
    assert (found.after.failed, found.after.of, found.after.until) == (1, 3, "2026-11-26 10:35:12")


def test_one_that_did_not_happen_stays_a_wrong_line(standing):
    """It is counted, and looked into all the same; it teaches no time."""
    found = learn(standing, [pulled(STAYED, 1)])
    assert (1, "mail", "it did not come back though it should: mend the plan first") in found.passed
    assert [(each.failed, each.of) for each in found.stumbles] == [(1, 1)]
    assert found.updates == ()


def test_restarts_count_as_take_overs_do(standing):
    """A copy that was restarted on another host of its pool."""
    seen = run(["n3"], probe("chat", outage(60.0, 300.0)))
    assert (counts(standing, seen)["chat"].failed, counts(standing, seen)["chat"].of) == (0, 1)
    gone = run(
        ["n3"], probe("chat", outage(60.0, math.inf, ends_s=9000.0)), put_back_s=9000.0, until_s=9100.0
    )
    assert (counts(standing, gone)["chat"].failed, counts(standing, gone)["chat"].of) == (1, 1)


def test_who_only_waits_for_another_does_not_stumble(standing):
    """`far` runs on while mail is taken over: it has nothing of its own to do, whether mail does it or not."""
    for seen in (outage(60.0, 91.0), STAYED):
        found = counts(standing, pulled(seen, 1, probe("far", seen)))
        assert set(found) == {"mail"}


@pytest.mark.parametrize(
    ("seen", "more"),
    [
        (outage(60.0, 91.0), {"gaps": [Gap(from_s=70.0, until_s=75.0, why=Why.BUSY)]}),
        (STAYED, {"gaps": [Gap(from_s=300.0, until_s=310.0, why=Why.BUSY)]}),
        (outage(60.0, 91.0), {"lost": ("n2",)}),
        (outage(60.0, 91.0), {"ended": False}),
    ],
    ids=["a gap in it", "a gap after it", "the other one was lost", "it has not ended"],
)
def test_what_was_not_seen_whole_or_not_asked_for_is_not_counted(standing, seen, more):
    """A count of what nobody saw would be made up."""
    assert "mail" not in counts(standing, pulled(seen, 1, **more))


def test_what_the_file_has_is_not_counted_again():
    """Runs from before its moment are in it; later ones are added to it."""
    text = TEXT.replace(
        "takes over: 40 s", "takes over: 40 s, stumbles: 2 %, stumbled: 1 of 4 until 2026-11-26 08:35:12"
    )
    runs = [pulled(outage(60.0, 91.0), 1), pulled(outage(60.0, 91.0), 2)]
    found = counts(Standing(lab_of(text)), *runs)["mail"]
    assert (found.failed, found.of, found.runs, found.source) == (0, 1, (2,), "written")
    assert (found.after.failed, found.after.of) == (1, 5)
    assert found.posterior == as_one(0.02).updated(1, 4).updated(0, 1)


def test_it_is_written_and_the_odds_go_by_it():
    """The comment stays, twice is once, and the chance that a take-over fails is the one that was told."""
    lab = lab_of(TEXT)
    runs = [pulled(STAYED, 1), pulled(STAYED, 2), pulled(outage(60.0, 91.0), 3)]
    learnt = learn(Standing(lab), runs)
    now = build(read_texts({**lab.files, **taught(lab, learnt).files}))
    (text,) = now.files.values()
    assert "stumbled: 2 of 3 until 2026-11-26 10:35:12}   # mine" in text
    assert not learn(Standing(now), runs).stumbles
    before, after = (
        float(sources(each, lives(Standing(each)), draws=0, seed=1).stumbles["mail"][0])
        for each in (lab, now)
    )
    assert after > 1.5 * before
    (found,) = [each for each in learnt.stumbles if each.thing == "mail"]
    assert now.things["mail"].stumbles == found.share_after


def test_an_entry_of_several_services_is_left_to_its_owner():
    """Not all of them stumbled."""
    lab = lab_of(TEXT.replace("  mail: {on", "  mail-1..2: {on").replace("[mail]", "[mail-1]"))
    seen = run(["n1"], probe("mail-1", outage(60.0, 91.0)))
    changes = taught(lab, learn(Standing(lab), [seen]))
    assert any("`stumbled: 0 of 1 until" in what for _, what in changes.left)
