"""Tests that the first drills of the list are those most worth doing, and of how far they get."""

from __future__ import annotations

import datetime
from fractions import Fraction
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from tests.analyses.drilling.labs import PAIR, STORED, standing
from tests.analyses.drilling.test_smallest import labs

from falsework.analyses.drilling import Drills, drills
from falsework.analyses.drilling.reaching import left_by, reaches
from falsework.analyses.verdicts import Verdict

TODAY = datetime.date(2026, 4, 6)
DATED = """
falsework: 1
lab: Dated
kinds: {old: {is: node}, new: {is: node}, odd: {is: node}}
machines:
  a: {kind: old, proved: 2025-01-02}
  b: {kind: new, proved: 2024-01-02}
  c: odd
  d: {is: node, drives: 1 drive}
services:
  mail: {on: [a, b, c], serves: majority}
  page: d
data:
  letters: {of: page, in: d, size: 1 GB, backed up: {to: a, every: 1 day}}
aims:
  any box: {lose: [a, b, c], at most: stands, of: mail}
"""


def recent(claim):
    """Whether a claim was proved within a year."""
    return claim.proved is not None and claim.proved > TODAY - datetime.timedelta(days=365)


def worth(plan, claims, before):
    """How much a drill is worth after others: the worst, the stalest and the number of what only it proves, read plainly."""
    before = [*before, SimpleNamespace(proves=[claim.name for claim in claims if recent(claim)])]
    new = [
        claim
        for claim in claims
        if claim.name in plan.proves and not any(claim.name in each.proves for each in before)
    ]
    stalest = max(((TODAY - (claim.proved or datetime.date.min)).days for claim in new), default=-(10**9))
    return max((claim.worst for claim in new), default=Verdict.STANDS), stalest, len(new)


@given(labs())
@settings(max_examples=24)
def test_each_is_worth_most_of_those_that_may_be_next(lab):
    """No drill that waits for nothing any more would prove worse, staler or more than the one that comes next."""
    if lab is None:
        return
    found = drills(lab, TODAY, workers=1)
    for at, plan in enumerate(found.plans):
        before = found.plans[:at]
        done = {each.name for each in before}
        ready = [each for each in found.plans[at:] if done.issuperset(each.after)]
        assert worth(plan, found.claims, before) == max(worth(each, found.claims, before) for each in ready)


@given(labs())
@settings(max_examples=24)
def test_how_far_each_gets_is_counted_plainly(lab):
    """By then, anew and left are what a count over all claims says, and all of them are proved in the end."""
    if lab is None:
        return
    found = drills(lab, TODAY, workers=1)
    reached = reaches(found)
    assert len(reached.each) == len(found.plans)
    for number, reach in enumerate(reached.each, 1):
        proved = [
            claim
            for claim in found.claims
            if recent(claim) or any(claim.name in plan.proves for plan in found.plans[:number])
        ]
        assert reach.claims == len(proved)
        assert reach.at_stake == sum(claim.worst is Verdict.LOST for claim in proved)
        assert len(left_by(found, number)) == len(found.claims) - reach.claims
        assert not {claim.name for claim in left_by(found, number)} & {claim.name for claim in proved}
    assert (
        reached.fresh + sum(len(reach.new) for reach in reached.each) == len(found.claims) == reached.claims
    )
    for share in (Fraction(1, 3), Fraction(1)):
        enough = [at for at, reach in enumerate(reached.each, 1) if reach.claims >= share * len(found.claims)]
        assert reached.until(share) == (0 if reached.fresh >= share * len(found.claims) else enough[0])


def test_what_guards_data_comes_first_and_then_the_stalest():
    """The restore before all; then what was never proved, then the older of two dates."""
    found = drills(standing(DATED), TODAY, workers=1)
    assert [plan.name for plan in found.plans] == [
        "restore letters from a",
        "lose c",
        "cold start",
        "lose b",
        "lose a",
    ]
    reached = reaches(found)
    assert (reached.guards_data, reached.at_stake) == (1, 1)
    assert [reach.worst for reach in reached.each] == [Verdict.LOST, *[Verdict.FALLS] * 4]
    assert [claim.name for claim in left_by(found, 4)] == ["any box: a"]


def test_what_was_proved_within_a_year_is_not_next():
    """It counts as proved, its drill comes last, and on the day when the year is over it is stale again."""
    lab = standing(DATED.replace("proved: 2024-01-02", "proved: 2025-04-07"))
    found = drills(lab, TODAY, workers=1)
    reached = reaches(found)
    assert [plan.name for plan in found.plans][-2:] == ["lose a", "lose b"]
    assert (reached.fresh, reached.each[-1].new, reached.each[0].claims) == (1, (), 2)
    assert left_by(found, 4) == ()
    later = drills(lab, TODAY + datetime.timedelta(days=1), workers=1)
    assert (reaches(later).fresh, [claim.name for claim in left_by(later, 4)]) == (0, ["any box: b"])


@pytest.mark.parametrize(("share", "many"), [(Fraction(1, 5), 1), (Fraction(1, 2), 2), (Fraction(1), 4)])
def test_a_share_is_reached_by_so_many(share, many):
    """Of the five claims of the pair each drill proves its own."""
    assert reaches(drills(standing(PAIR), TODAY, workers=1)).until(share) == many


def test_nothing_to_prove_reaches_nothing():
    """No claim, no drill, no mark on the way."""
    found = Drills(today=TODAY, plans=(), claims=())
    assert (reaches(found).each, reaches(found).guards_data) == ((), 0)
    assert reaches(found).until(Fraction(1, 2)) == 0
    assert left_by(found, 3) == ()


def test_where_no_data_is_at_stake_nothing_guards_it():
    """A lab without data has no such mark; one with a store has."""
    assert reaches(drills(standing(PAIR), TODAY, workers=1)).guards_data == 0
    assert reaches(drills(standing(STORED), TODAY, workers=1)).guards_data > 0
