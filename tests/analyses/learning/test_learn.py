"""Is only learnt what was measured, and how is it weighed?"""

from __future__ import annotations

import datetime

import pytest
from tests.observing import BEGAN, outage, probe, run
from tests.strategies import lab_of

from falsework.analyses.learning import learn
from falsework.model.simple import Seen
from falsework.model.timing import ASSUMED, WRITTEN
from falsework.record.seen import Gap, Mark, Marked, Why
from falsework.support.standing import Standing

TEXT = """
lab: t
outside: {uplink: a cable under the road}
machines: {n1: node, n2..4: node}
pools: {herd: {hosts: [n3, n4]}}
services:
  mail: {on: [n1, n2], takes over: 40 s}
  door: {on: [n1, n2], floats: 10.0.0.9}
  wiki: {on: n1}
  dns: {on: [n1, n3], proved: 2026-12-24}
  chat: {on: herd, placed: n3}
  far: {on: n2, needs: {to run: [mail]}}
data: {letters: {of: mail, in: n1, backed up: {to: uplink, every: 1 day}}}
drills:
  pull n1: {loses: n1}
  one letter: {tries: restore, of: letters}
"""


@pytest.fixture(scope="module")
def standing():
    """The lab of this file."""
    return Standing(lab_of(TEXT))


def pulled(*probes, lost=("n1",), **more):
    """A run in which n1 was taken out, and everything did as foretold but for the probes given."""
    given = {each.sees for each in probes}
    usual = (
        probe("mail", outage(60.0, 91.0)),
        probe("door"),
        probe("wiki", outage(60.0, 670.0)),
        probe("dns"),
        probe("chat"),
        probe("far", outage(60.0, 91.0)),
    )
    return run(lost, *probes, *(each for each in usual if each.sees not in given), **more)


def updates(standing, *runs):
    """The figures that runs correct, by thing and key."""
    return {(each.thing, each.key): each for each in learn(standing, runs).updates}


def test_a_take_over_is_measured(standing):
    """31 s, with the moment of the run in UTC; 40 s that were written count as four."""
    found = updates(standing, pulled())["mail", "takes over"]
    assert [(round(each.took_s, 1), each.on) for each in found.new] == [(30.9, "2026-11-26 08:35:12")]
    assert (found.before, found.source, found.guessed) == (40.0, "written", WRITTEN)
    assert found.after == pytest.approx((40.0**4 * found.new[0].took_s) ** 0.2)
    assert (found.posterior.weight, found.runs) == (5.0, (1,))


def test_several_runs_are_laid_together(standing):
    """In their order, each with its moment."""
    found = updates(standing, pulled(number=1), pulled(number=2))["mail", "takes over"]
    assert [each.on[11:13] for each in found.new] == ["08", "09"]
    assert found.posterior.weight == 6.0


def test_a_floating_address_without_a_figure(standing):
    """Nothing was said, so what was measured is all there is."""
    found = updates(standing, pulled(probe("door", outage(60.0, 62.5))))["door", "floats"]
    assert (found.before, found.prior, found.posterior.weight) == (None, None, 1.0)
    assert found.after == pytest.approx(2.4)
    text = TEXT.replace("10.0.0.9}", "10.0.0.9 in 4 s}")
    moved = updates(Standing(lab_of(text)), pulled(probe("door", outage(60.0, 65.0))))["door", "floats"]
    assert moved.after == pytest.approx((4.0**4 * 4.9) ** 0.2, rel=0.01)


def test_a_copy_that_was_stopped_by_hand_teaches_as_a_part_that_was_lost(standing):
    """Its take-over is measured and proved; the node under it went on, and is proved by nothing."""
    found = learn(standing, [run(["mail.1"], probe("mail", outage(60.0, 91.0)))])
    assert [(each.thing, each.key) for each in found.updates] == [("mail", "takes over")]
    assert [each.thing for each in found.proofs] == ["mail"]
    assert found.passed == ()


def test_of_two_figures_the_one_that_is_known_less_gets_the_rest():
    """A written restart keeps its length, the pool gets what is left; assumed alike, they share."""
    seen = pulled(probe("chat", outage(60.0, 260.0)), lost=["n3"])
    alike = updates(Standing(lab_of(TEXT)), seen)
    assert alike["herd", "restarts in"].new[0].took_s == pytest.approx(200.0 * 180 / 240, rel=0.01)
    assert alike["chat", "restarts in"].new[0].took_s == pytest.approx(200.0 * 60 / 240, rel=0.01)
    assert alike["herd", "restarts in"].guessed == ASSUMED
    written = updates(Standing(lab_of(TEXT.replace("placed: n3}", "placed: n3, restarts in: 50 s}"))), seen)
    assert written["herd", "restarts in"].new[0].took_s == pytest.approx(150.0, rel=0.01)
    assert ("chat", "restarts in") not in written


@pytest.mark.parametrize(
    ("seen", "more", "why"),
    [
        (
            probe("mail", outage(60.0, 670.0)),
            {},
            "it did not come back though it should: mend the plan first",
        ),
        (
            probe("mail", outage(60.0, 91.0)),
            {"gaps": [Gap(from_s=300.0, until_s=310.0, why=Why.BUSY)]},
            "the stopwatch itself did not run all the time",
        ),
        (
            probe("mail", outage(60.0, 91.0, every_s=10.0), every_s=10.0),
            {},
            "its probe asked too seldom to measure so short a time",
        ),
    ],
)
def test_what_was_not_measured_teaches_no_time(standing, seen, more, why):
    """Wrong lines, gaps and coarse probes are passed over, and it is said why."""
    found = learn(standing, [pulled(seen, **more)])
    assert not [each for each in found.updates if each.thing == "mail"]
    assert (1, "mail", why) in found.passed


def test_who_waited_for_others_measured_nothing_of_its_own(standing):
    """`far` was out as long as mail was: that says nothing of a figure of `far`."""
    found = learn(standing, [pulled()])
    assert not [each for each in found.updates if each.thing == "far"]
    assert (1, "far", "it waited for something else, so that its own times can't be told") in found.passed


def test_a_run_that_has_not_ended_and_parts_that_are_gone_are_passed_over(standing):
    """Neither teaches anything, and both are told."""
    found = learn(standing, [pulled(ended=False), pulled(lost=["n9"], number=2)])
    assert found.empty
    assert [(number, bool(why)) for number, _, why in found.passed] == [(1, True), (2, True)]


@pytest.mark.parametrize("on", ["2026-11-26 08:35:12", "2026-11-26T08:35:12"])
def test_what_is_in_the_file_is_not_learnt_again(on):
    """A run is known by the moment at which it began, whatever its number, and however the moment is written."""
    text = TEXT.replace("takes over: 40 s", f"takes over: 40 s, timed: {{takes over: [30.9 s on {on}]}}")
    standing = Standing(lab_of(text))
    assert ("mail", "takes over") not in updates(standing, pulled(number=1))
    again = updates(standing, pulled(number=1), pulled(number=2))["mail", "takes over"]
    assert (len(again.known), len(again.new), again.posterior.weight) == (1, 1, 6.0)


def test_what_was_seen_to_work_is_proved(standing):
    """What stood or came back when something it leans on was gone; the drill and the part, as nothing was wrong."""
    found = {each.thing: each for each in learn(standing, [pulled(drill="pull n1")]).proofs}
    assert set(found) == {
        "mail",
        "door",
        "far",
        "n1",
        "pull n1",
    }  # dns has a later day, wiki fell, chat was not asked
    assert {each.on for each in found.values()} == {datetime.date(2026, 11, 26)}


def test_a_drill_with_something_wrong_proves_neither_part_nor_drill(standing):
    """What itself went right is proved all the same."""
    found = {each.thing for each in learn(standing, [pulled(probe("wiki"), drill="pull n1")]).proofs}
    assert found == {"mail", "door", "far"}


def test_a_drill_of_which_not_all_was_seen_proves_neither_part_nor_drill(standing):
    """A service that leans on the part and that no probe answered for leaves it open."""
    found = {each.thing for each in learn(standing, [pulled(probe("wiki", yes=0), drill="pull n1")]).proofs}
    assert "n1" not in found
    assert "pull n1" not in found


def test_a_restore_that_was_done(standing):
    """Its data have their day, and the drill."""
    done = [Marked(at_s=5.0, mark=Mark.DONE)]
    found = learn(standing, [run((), tries="restore", drill="one letter", marks=done)]).proofs
    assert [(each.thing, each.key) for each in found] == [("letters", "restored"), ("one letter", "proved")]
    assert learn(standing, [run((), tries="restore", drill="one letter", marks=[])]).empty


def test_failures_of_what_a_probe_sees_are_counted(standing):
    """Outside drills, without gaps; and how long others took to mend it."""
    seen = probe(
        "uplink", outage(1000.0, 2800.0, every_s=1.0), outage(4000.0, 4001.5, every_s=1.0), every_s=1.0
    )
    gap = Gap(from_s=5000.0, until_s=5400.0, why=Why.ASLEEP)
    found = learn(standing, [run((), seen, marks=[], until_s=7600.0, gaps=[gap])])
    (count,) = found.counts
    assert (count.thing, count.failures, count.watched_s, count.before) == ("uplink", 1, 7200.0, None)
    assert count.after == Seen(failures=1, watched_s=7200.0, until="2026-11-26 08:35:12")
    (update,) = found.updates
    began = (BEGAN + datetime.timedelta(hours=1, seconds=1000.5)).strftime("%Y-%m-%d %H:%M:%S")
    assert (update.key, update.new[0].on) == ("mends in", began)
    assert update.new[0].took_s == pytest.approx(1799.0, abs=1.0)


def test_a_drills_own_time_counts_no_failure(standing):
    """What was taken out on purpose has not failed, and was not watched meanwhile."""
    seen = probe("uplink", outage(60.0, 700.0, every_s=1.0), every_s=1.0)
    found = learn(standing, [run(["uplink"], seen, until_s=7200.0)])
    assert [(each.failures, each.watched_s) for each in found.counts] == [(0, 7200.0 - 665.0)]
    assert not [each for each in found.updates if each.thing == "uplink"]


def test_a_gap_in_a_drills_own_time_is_taken_off_once(standing):
    """Of a gap of 300 s only what lies outside the drill is not watched besides."""
    seen = probe("uplink", every_s=1.0)
    gap = Gap(from_s=600.0, until_s=900.0, why=Why.ASLEEP)
    found = learn(standing, [run(["uplink"], seen, until_s=7200.0, gaps=[gap])])
    assert [each.watched_s for each in found.counts] == [7200.0 - 665.0 - 180.0]


@pytest.mark.parametrize("until", ["2026-11-26 08:35:12", "2026-11-26T08:35:12"])
def test_counts_go_on_from_where_the_file_stands(until):
    """Runs from before that moment are in it already, however it is written."""
    text = TEXT.replace(
        "{uplink: a cable under the road}", f"{{uplink: {{seen: 2 in 3 years until {until}}}}}"
    )
    seen = probe("uplink", every_s=1.0)
    runs = [run((), seen, marks=[], until_s=7200.0, number=number) for number in (1, 2)]
    (count,) = learn(Standing(lab_of(text)), runs).counts
    assert (count.runs, count.watched_s, count.after.failures) == ((2,), 7200.0, 2)
    assert count.after.until == "2026-11-26 09:35:12"
