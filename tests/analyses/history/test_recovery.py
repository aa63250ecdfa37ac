"""Does the recovery table say how soon each thing came back, and when that was last proved?"""

import datetime
import math

import pytest
from tests.analyses.history.seen import probe, seen
from tests.strategies import lab_of

from falsework.analyses.history import Proof, Sort, past, recovery
from falsework.analyses.history.summary import judged_said, seen_said
from falsework.record.seen import Gap, Why
from falsework.support.standing import Standing

LAB = """
lab: rock
outside: {mains: the wall}
machines:
  desk-1..2: {is: node, fed by: mains, powers on: {takes: 30 s}}
  box: {is: node, fed by: mains}
services:
  door: {on: [desk-1, desk-2], floats: 10.0.0.2 in 4 s, proved: 2026-05-02}
  mail: {on: [desk-1, desk-2], takes over: 40 s}
  wiki: {on: [desk-1, desk-2]}
  books: box
data:
  letters: {of: mail, in: mail, back within: 4 h, backed up: {to: box, every: 1 day, restored: 2026-05-03}}
  notes: {of: wiki, in: wiki}
drills:
  one letter: {tries: restore, of: letters}
  pull: {loses: desk-1}
aims:
  the door is quick: {lose: node, of: [door, mail], at most: blinks, blinks under: 30 s}
  a quick door: {lose: node, of: door, blinks under: 20 s}
  a slow door: {lose: node, of: door, blinks under: 1 min}
  it comes back: {cold start: without hands, within: 10 min, of: [door, mail]}
"""


@pytest.fixture(scope="module")
def standing():
    """The lab."""
    return Standing(lab_of(LAB.replace(", powers on: {takes: 30 s}", "")))


def table(standing, *runs):
    """The rows by what they are of."""
    found = recovery(standing, past(standing, runs))
    assert found.not_looked_at == 0
    return {row.of: row for row in found.rows}


def test_without_drills_the_lab_file_speaks(standing):
    """Aims, what is foretold, and the days that the file gives; the stalest first."""
    found = recovery(standing, ())
    assert [row.of for row in found.rows] == ["mail", "it comes back", "door", "letters"]
    rows = table(standing)
    assert (rows["door"].aim, rows["door"].aim_s) == ("a quick door", 20.0)  # the stricter one
    assert (rows["door"].foretold_s, rows["door"].foretold_by) == (4.0, "desk-1")
    assert rows["door"].proof == Proof(on=datetime.date(2026, 5, 2), run=0)
    assert (rows["mail"].aim_s, rows["mail"].foretold_s, rows["mail"].proof) == (30.0, 40.0, None)
    assert (rows["letters"].sort, rows["letters"].aim_s) == (Sort.RESTORED, 14_400.0)
    assert rows["letters"].proof == Proof(on=datetime.date(2026, 5, 3), run=0)
    assert all(row.met is None and row.worst_s is None and row.usual_s is None for row in rows.values())


def test_drills_say_how_soon_it_came_back(standing):
    """The worst, the middle and the newest; the newest decides whether the aim is kept, and proves it."""
    runs = [
        seen(probe("mail", (10.0, 10.0 + lasts)), number=number, day=number, back_s=300.0, drill="pull")
        for number, lasts in enumerate((38.0, 90.0, 25.0), 1)
    ]
    row = table(standing, *runs)["mail"]
    assert [round(each.lasts_s) for each in row.trials] == [38, 90, 25]
    assert [each.foretold_s for each in row.trials] == [40.0] * 3
    assert (round(row.worst_s), round(row.usual_s)) == (90, 38)
    assert row.met is True
    assert row.proof == Proof(on=datetime.date(2026, 5, 3), run=3, drill="pull")
    assert table(standing, *runs[:2])["mail"].met is False


def test_too_close_to_tell_is_not_decided(standing):
    """An aim of 30 s and an outage of 30 s, give or take a tenth."""
    run = seen(probe("mail", (10.0, 40.0)), back_s=300.0)
    assert table(standing, run)["mail"].met is None


def test_what_stays_out_until_it_is_put_back_proves_nothing(standing):
    """It failed, whatever was proved before; the day of that proof stays."""
    good = seen(probe("door", (10.0, 14.0)), number=1, day=4, back_s=300.0)
    bad = seen(probe("door", (10.0, 301.0)), number=2, day=5, back_s=300.0)
    row = table(standing, good, bad)["door"]
    assert row.failed is not None
    assert math.isinf(row.worst_s)
    assert row.met is False
    assert row.proof.run == 1
    assert table(standing, good)["door"].failed is None


def test_the_lab_file_counts_where_it_is_newer(standing):
    """A day in the file after the last drill is the last proof."""
    row = table(standing, seen(probe("door", (10.0, 14.0)), day=1, back_s=300.0))["door"]
    assert row.proof == Proof(on=datetime.date(2026, 5, 2), run=0)
    assert len(row.trials) == 1


def test_drills_that_do_not_concern_a_service_say_nothing_of_it(standing):
    """What falls for good as foretold has nothing to prove; what stands has not either."""
    run = seen(probe("books", (10.0, 300.0)), probe("wiki"), lost=("box",), back_s=300.0)
    rows = table(standing, run)
    assert "wiki" not in rows
    assert "books" not in rows
    assert rows["door"].trials == ()


def test_never_out_is_an_outage_too_short_to_see(standing):
    """It was foretold to blink and did not: no longer than from one question to the next."""
    (trial,) = table(standing, seen(probe("door"), back_s=300.0))["door"].trials
    assert (trial.lasts_s, trial.within_s) == (0.0, 0.1)


def test_never_out_while_nobody_looked_says_nothing(standing):
    """A gap over the moment that matters: whether it was out is not known."""
    gap = Gap(from_s=5.0, until_s=200.0, why=Why.ASLEEP)
    assert table(standing, seen(probe("door"), back_s=300.0, gaps=[gap]))["door"].trials == ()


def test_a_restore_takes_from_begun_to_done(standing):
    """And it proves its data; a drill that does not say when it was begun counts from the start of the run, unsurely."""
    run = seen(
        drill="one letter",
        tries="restore",
        lost=(),
        done_s=500.0,
        said=[(100.0, "begun: ask the tape")],
        day=9,
    )
    row = table(standing, run)["letters"]
    (trial,) = row.trials
    assert (trial.lasts_s, trial.sure) == (400.0, True)
    assert (row.met, row.proof) == (True, Proof(on=datetime.date(2026, 5, 9), run=1, drill="one letter"))
    (trial,) = table(standing, seen(drill="one letter", tries="restore", lost=(), done_s=500.0))[
        "letters"
    ].trials
    assert (trial.lasts_s, trial.sure) == (500.0, False)


def test_a_cold_start_takes_until_the_last_is_back(standing):
    """Counted from when the power is back."""
    run = seen(
        probe("door", (10.0, 340.0)),
        probe("mail", (10.0, 420.0)),
        probe("wiki", (10.0, 599.0)),
        tries="cold start",
        lost=("mains",),
        back_s=300.0,
    )
    row = table(standing, run)["it comes back"]
    (trial,) = row.trials
    assert trial.lasts_s == pytest.approx(120.0)
    assert row.met is True
    assert row.sort is Sort.RAISED


def test_a_run_about_what_is_gone_from_the_lab_is_kept_and_says_so(standing):
    """Nothing is foretold of it, and nothing breaks."""
    (one,) = past(standing, [seen(probe("door", (10.0, 14.0)), lost=("desk-9",))])
    assert one.comparison is None
    assert "no part is called 'desk-9'" in judged_said(one)
    assert table(standing, one.observed)["door"].trials == ()


def test_runs_are_told_in_a_line(standing):
    """What was seen, and whether as foretold."""
    calm = seen(probe("door"), probe("mail"), lost=(), tries="")
    assert seen_said(calm) == "2 probes answered all the time"
    assert judged_said(past(standing, [calm])[0]) == ""
    busy = seen(probe("door", (10.0, 14.0)), probe("mail", (10.0, 50.0)), probe("wiki", yes=0), back_s=300.0)
    assert (
        seen_said(busy)
        == "2 of 3 probes were out, mail box longest, for 40 s; wiki box was never answered well"
    )
    assert judged_said(past(standing, [busy])[0]) == "as foretold"
    wrong = seen(probe("wiki", (10.0, 300.0)), back_s=300.0)
    assert judged_said(past(standing, [wrong])[0]) == "wiki fell though it should stand"


def test_what_went_otherwise_than_foretold_proves_nothing(standing):
    """Pulled, and the door never moved: a plug that was not pulled, or a plan that is wrong; what was seen is told."""
    run = seen(probe("mail"), day=9, back_s=300.0)
    row = table(standing, run)["mail"]
    assert judged_said(past(standing, [run])[0]) == "mail stood though it should fall"
    assert row.trials[0].wrong
    assert row.proof is None
    assert row.worst_s == 0.0


def test_an_action_that_was_never_done_proves_nothing(standing):
    """A run without the mark that it was done is kept, and judged by nobody."""
    run = seen(probe("door", (10.0, 14.0)), day=9, done_s=None)
    assert table(standing, run)["door"].trials == ()
