"""Tests of which drills are chosen, what they prove, and in which order."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest
from tests.analyses.drilling.labs import BOXES, PAIR, STORED, standing

from falsework.analyses.drilling import Sort, drills, plan_for
from falsework.analyses.drilling.reaching import reaches
from falsework.analyses.verdicts import NEVER, Verdict
from falsework.errors import QuestionError
from falsework.model.build import load
from falsework.model.drilling import TRIED
from falsework.support.standing import Standing

TODAY = datetime.date(2026, 4, 6)
OBSERVATORY = Path(__file__).parents[3] / "examples" / "observatory" / "mended.yaml"


@pytest.fixture(scope="module")
def gannet():
    """The observatory, with a part out."""
    return Standing(load(OBSERVATORY), out=["hide-3"])


@pytest.fixture(scope="module")
def island(gannet):
    """The observatory's drills."""
    return drills(gannet, TODAY, workers=1)


def found(text, more=""):
    """The drills of a lab."""
    return drills(standing(text, more=more), TODAY, workers=1)


def test_the_loss_of_the_active_copy_proves_the_take_over():
    """Losing one proves both its aim and the take-over; the copy alone need not be stopped."""
    plans = {plan.name: plan for plan in found(PAIR).plans}
    assert set(plans) == {"lose one", "lose two", "lose far", "cold start"}
    assert "take-over of mail" in plans["lose one"].proves
    (mail,) = plans["lose one"].effects
    assert (mail.service, mail.verdict, mail.falls_s, mail.back_s) == ("mail", Verdict.BLINKS, 0.0, 40.0)


def test_an_enclosure_proves_a_node_only_where_the_same_takes_over():
    """Without twin `files` goes on by one copy, without twin.a by two: losing the enclosure proves neither node."""
    told = found(BOXES)
    plans = {plan.name: plan.proves for plan in told.plans}
    assert not {"any box: twin.a", "any box: twin.b"} & set(plans["lose twin"])
    # In other only other.a bears a copy of files: there box and node are lost in the same way, and twin.a bears
    # the same as other.a, which is said.
    assert {"any box: other", "any box: other.b", "any box: twin.a"} <= set(plans["lose other"])
    (claim,) = [each for each in told.claims if each.name == "any box: twin.a"]
    assert claim.alike == (("twin.a",), ("other.a",))


def test_what_the_plan_does_not_hold_is_no_claim():
    """An aim that a loss breaks is told as broken, with the loss; nothing claims it."""
    told = found(PAIR, "  all: {lose: node, at most: blinks, of: log}\n")
    assert [(each.aim, each.lost) for each in told.broken] == [("all", ("far",))]
    assert not any(claim.name == "all: far" for claim in told.claims)
    assert not told.whole


def test_equal_parts_are_told_as_equal():
    """Both drives of a mirror are one claim, and which losses it stands for is said."""
    told = found(STORED)
    (claim,) = [claim for claim in told.claims if claim.sort is Sort.STORE]
    assert set(claim.alike) == {("nas.d1",), ("nas.d2",)}
    assert any("nas.d1 and nas.d2" in each for each in told.assumed)


def test_parts_of_another_batch_are_not_equal():
    """A drive of another batch may fail otherwise: it is a claim of its own."""
    told = found(STORED.replace("drives: 2 drive", "drives: {d1: {is: drive, batch: k7}, d2: drive}"))
    assert len([claim for claim in told.claims if claim.sort is Sort.STORE]) == 2


def test_a_restore_comes_before_the_drive_that_needs_it():
    """A drive is not pulled before a backup of what lies on it was restored from, and it says why."""
    plans = found(STORED).plans
    names = [plan.name for plan in plans]
    drive = next(plan for plan in plans if plan.tries == "loss")
    assert names.index("restore shares from far") < names.index(drive.name)
    assert drive.after == ("restore shares from far",)
    assert "backup" in drive.held
    assert drive.at_risk == ("shares",)
    proved = found(STORED.replace("every: 1 day}", "every: 1 day, restored: 2026-01-01}"))
    assert next(plan for plan in proved.plans if plan.tries == "loss").after == ()


def test_the_stalest_of_two_comes_first():
    """What was never proved comes before what was, and the older before the newer."""
    dated = PAIR.replace("one: {is: node,", "one: {is: node, proved: 2026-03-01,")
    dated = dated.replace("two: {is: node,", "two: {is: node, proved: 2025-03-01,")
    dated = dated.replace("takes over: 40 s", "takes over: 40 s, proved: 2026-03-02")
    names = [plan.name for plan in found(dated).plans]
    assert names.index("lose far") < names.index("lose two") < names.index("lose one")


def test_the_owners_drills_are_in_the_list_under_their_names():
    """What the owner wrote is kept in their words, and nothing is tried twice."""
    more = "drills: {pull it: {loses: one, do: ./pull, put back: ./push, stop after: 5 min, may stop: web}}\n"
    told = found(PAIR, more)
    (own,) = [plan for plan in told.plans if plan.own]
    assert (own.name, own.do, own.put_back, own.stop_after_s, own.may_stop) == (
        "pull it",
        "./pull",
        "./push",
        300.0,
        ("web",),
    )
    assert "lose one" not in [plan.name for plan in told.plans]
    assert "take-over of mail" in own.proves


def test_an_owners_drill_may_be_called_like_one_of_the_list():
    """Both are there, under names of their own, and each is found by its name."""
    lab = standing(PAIR, more="drills: {lose one: {loses: two}, cold start: {loses: far}}\n")
    plans = drills(lab, TODAY, workers=1).plans
    lost = {plan.name: (plan.lost, plan.own) for plan in plans}
    assert len(lost) == len(plans)
    assert lost["lose one"] == (("two",), True)
    assert lost["lose one, as planned"] == (("one",), False)
    assert lost["cold start, as planned"] == ((), False)
    assert all(
        (plan_for(lab, [name]).lost, plan_for(lab, [name]).name) == (lost[name][0], name) for name in lost
    )


def test_two_drives_at_once_are_one_claim_where_they_meet():
    """An aim on two drives asks for two of one store, not for one each of two stores that share nothing."""
    text = """
falsework: 1
lab: Two stores
machines:
  x: {is: node, drives: 4 drive}
  y: {is: node, drives: 2 drive}
stores:
  big:   {drives: x.d*, layout: double parity}
  small: {drives: y.d*, layout: mirror}
services:
  files: {on: x, state in: big}
  mail:  {on: y, state in: small}
aims:
  any two: {lose: drive, at once: 2, at most: stands, of: files}
"""
    pairs = [claim for claim in found(text).claims if len(claim.lost) == 2]
    assert [claim.lost for claim in pairs] == [("x.d1", "x.d2")]
    assert len(pairs[0].alike) == 6


@pytest.mark.slow
def test_every_kind_is_there_in_the_observatory(island):
    """Losses, cold start, restores, take-overs, cuts, clocks and a full disk are all among its drills."""
    assert {plan.tries for plan in island.plans} == set(TRIED)
    assert {claim.sort for claim in island.claims} == set(Sort)
    assert island.optimal
    assert island.whole


@pytest.mark.slow
def test_no_drill_comes_before_what_it_waits_for(island):
    """In the order of the list every drill comes after those it waits for."""
    at = {plan.name: number for number, plan in enumerate(island.plans)}
    assert any(plan.after for plan in island.plans)
    assert all(at[name] < at[plan.name] for plan in island.plans for name in plan.after)


@pytest.mark.slow
def test_the_worst_come_first_unless_they_wait(island):
    """What waits for nothing stands in the order of what happens at the worst if what only it proves so far is wrong."""
    reached = reaches(island).each
    free = [reach.worst for plan, reach in zip(island.plans, reached, strict=True) if not plan.after]
    assert free == sorted(free, reverse=True)


@pytest.mark.slow
def test_every_drill_is_told_whole(island):
    """Each says what to do, what to watch, when to stop and how to put it back; what no probe sees is named."""
    for plan in island.plans:
        assert plan.do_words
        assert plan.watch
        assert plan.stop_when
        assert plan.put_back_words
        assert plan.cautions
        assert plan.unseen == tuple(each.service for each in plan.effects if not each.probes)


def test_a_short_cut_ends_with_its_aim(gannet):
    """A drill of an aim that speaks of five minutes is given up after five, and the battery is a claim."""
    told = plan_for(gannet, ["mains"])
    assert told.stop_after_s == 300.0
    assert told.do_words == ("Switch off the main switch behind mains, which feeds c1 and c2.",)


@pytest.mark.parametrize("name", ["lose keep.d1 and keep.d2", "fill loft", "take-over of mail", "cold start"])
def test_a_drill_of_the_list_is_found_by_its_name(gannet, name):
    """The name of a drill is enough, without making the list."""
    assert plan_for(gannet, [name]).name == name


def test_a_drill_that_does_not_exist_is_refused_with_the_nearest(gannet):
    """A slip in a name gets the nearest drill or part; a part that is out can't be taken out."""
    with pytest.raises(QuestionError, match="Did you mean 'pull a twin'"):
        plan_for(gannet, ["pull a twim"])
    with pytest.raises(QuestionError, match="no part is called 'desk-9'"):
        plan_for(gannet, ["desk-9"])
    with pytest.raises(QuestionError, match="hide-3 is out already"):
        plan_for(gannet, ["hide-3"])


def test_a_cold_start_stops_all_and_says_when_it_is_back():
    """All services stop at once; those that come back do so in their time after the power."""
    plan = plan_for(standing(PAIR), ["cold start"])
    assert {each.service for each in plan.effects} == {"mail", "web", "log"}
    assert all(each.falls_s == 0 and each.back_s < NEVER for each in plan.effects)


def test_an_empty_plan_promises_nothing():
    """A lab without aims, copies or backups has only its cold start to prove."""
    told = found("falsework: 1\nlab: Bare\nmachines: {a: node}\nservices: {web: a}\n")
    assert [plan.name for plan in told.plans] == ["cold start"]


@pytest.mark.parametrize(
    "words",
    [
        "{tries: restore, of: mail}",
        "{tries: clock, of: mail}",
        "{tries: full disk, loses: one}",
        "{tries: cold start, loses: A}",
        "{loses: mail}",
        "{tries: cut, loses: [A, B]}",
    ],
)
def test_whatever_the_owner_leaves_open_is_told_whole(words):
    """A drill that says little is told as far as it goes, in the list and by its name, and says what to do."""
    lab = standing(PAIR, more=f"drills: {{mine: {words}}}\n")
    (own,) = [plan for plan in drills(lab, TODAY, workers=1).plans if plan.own]
    assert own.name == "mine"
    assert own.do_words
    assert own.put_back_words
    assert plan_for(lab, ["mine"]).effects == own.effects
