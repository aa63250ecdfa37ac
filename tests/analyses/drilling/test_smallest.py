"""Tests that no fewer drills would do, and that each claim is what a slow reading of the lab says."""

from __future__ import annotations

import datetime
from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.judge import judge
from tests.strategies import lab_data, lab_of, text_of

from falsework.analyses.drilling import Sort, drills, may_drill, plan_for
from falsework.analyses.drilling.choosing import candidates
from falsework.analyses.drilling.of_aims import of_aims
from falsework.analyses.drilling.of_lab import cold, of_lab
from falsework.analyses.drilling.scene import Scene
from falsework.analyses.drilling.together import together
from falsework.errors import LabError, QuestionError
from falsework.support.standing import Standing
from falsework.support.stopped import stoppable

TODAY = datetime.date(2026, 4, 6)
AIMS = {
    "any box": {"lose": ["node"], "at most": "blinks"},
    "any two boxes": {"lose": "node", "at once": 2, "at most": "falls"},
}


@st.composite
def labs(draw, **how):
    """A small random lab with two aims on its nodes; None where the language does not take it."""
    data = draw(lab_data(most_nodes=3, **how))
    try:
        return Standing(lab_of(text_of({**data, "aims": AIMS})))
    except (LabError, QuestionError):
        return None


def parts_of(standing):
    """The candidates, the promises, and which promises each candidate proves, asked of each pair of both."""
    scene = Scene(standing)
    promises = (*of_aims(scene).promises, *of_lab(scene), *cold(scene)[0])
    could = candidates(scene, promises)
    return (
        scene,
        could,
        promises,
        [{at for at, each in enumerate(promises) if one.proves(each)} for one in could],
    )


@given(labs())
@settings(max_examples=16)
def test_no_smaller_set_proves_the_same(standing):
    """All sets of candidates smaller than the one chosen leave a claim unproved, and the one chosen leaves none."""
    if standing is None:
        return
    found = drills(standing, TODAY, workers=1)
    _, could, promises, proves = parts_of(standing)
    provable = set().union(*proves) if proves else set()
    names = {promises[at].claim.name for at in provable}
    assert {name for plan in found.plans for name in plan.proves} == names
    assert {claim.name for claim in found.claims} == names
    assert found.optimal
    useful = [each for each in dict.fromkeys(map(frozenset, proves)) if each]
    fewer = len(found.plans) - 1
    if 0 <= fewer <= 3:
        assert not any(set().union(*some) == provable for some in combinations(useful, fewer))
    else:  # with many candidates only the last step down is tried, by dropping each one chosen
        chosen = [proves[at] for at, each in enumerate(could) if each.name in {p.name for p in found.plans}]
        for left_out in range(len(chosen)):
            assert set().union(*(each for at, each in enumerate(chosen) if at != left_out)) != provable


@given(labs())
@settings(max_examples=16)
def test_each_claim_is_what_the_judge_says(standing):
    """Losing what a claim is about leaves up, back and kept just what a slow reading of the lab leaves."""
    if standing is None:
        return
    scene, _, promises, _ = parts_of(standing)
    support = stoppable(standing).support
    for promise in promises:
        for need in promise.needs:
            slow = judge(support, need.tried.lost)
            assert need.tried.down == {
                name for name in support.things if name not in slow.up and scene.standing.baseline.up(name)
            }
            if promise.claim.sort in (Sort.AIM, Sort.RESTART) and promise.claim.aims[:1] == ("any box",):
                assert {name for name in promise.claim.about if name not in slow.back} <= {
                    name for name in support.services if not scene.standing.baseline.back(name)
                }


@given(labs())
@settings(max_examples=12)
def test_what_a_drill_proves_it_shows(standing):
    """A proving drill has all of the claim's loss down, and each service it is about is seen serving as promised."""
    if standing is None:
        return
    _, could, promises, proves = parts_of(standing)
    support = stoppable(standing).support
    for one, those in zip(could, proves, strict=True):
        for at in those:
            claim = promises[at].claim
            if not claim.lost:
                continue
            slow = judge(support, one.taken)
            down = set(support.things) - slow.up
            assert any(down.issuperset(lost) for lost in claim.alike)
            if claim.sort is Sort.AIM and claim.aims == ("any box",):
                alone = judge(support, claim.lost)
                assert {name for name in claim.about if name in alone.back} <= slow.back


@given(labs(), st.data())
@settings(max_examples=12)
def test_what_may_be_done_hurts_nobody_that_the_plan_spares(standing, data):
    """Where the answer is yes, each service that falls with today's fault falls without it too, by a slow reading."""
    if standing is None or len(standing.parts) < 2:
        return
    nodes = [part for part in standing.parts if standing.support.things[part].word == "node"]
    out = data.draw(st.sampled_from(standing.parts))
    lost = data.draw(st.sampled_from(nodes))
    if lost == out:
        return
    today = Standing(standing.lab, out=[out])
    plan = plan_for(today, [lost])
    answer = may_drill(today, plan, planned=standing)
    if not answer.yes:
        assert answer.first
        return
    before = judge(today.support, [out])
    really = judge(today.support, [out, lost])
    meant = judge(standing.support, [lost])
    whole = judge(standing.support, [])
    for service in standing.support.services:
        if service in before.back and service not in really.back:
            assert service not in meant.back or service not in whole.back or plan.stop_after_s is not None
    assert {name for name in really.kept ^ before.kept if name.startswith("kept:")} == set()


@given(labs())
@settings(max_examples=12)
def test_pairs_that_are_left_out_do_together_what_each_does_alone(standing):
    """Of two parts that meet nowhere, both lost take down no service that neither takes down alone."""
    if standing is None:
        return
    scene = Scene(standing)
    words = ("node", "switch", "strip", "drive")
    parts = [part for part in standing.parts if standing.support.things[part].word in words][:7]
    services = list(standing.support.services)
    met, left = together(scene, parts, services, 2)
    assert left == 0
    for pair in combinations(parts, 2):
        if pair not in met:
            one, other, both = (judge(standing.support, lost) for lost in ([pair[0]], [pair[1]], pair))
            assert both.up & set(services) == one.up & other.up & set(services)
            assert both.back & set(services) == one.back & other.back & set(services)
