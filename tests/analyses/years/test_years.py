"""Do drawn years come to what small labs must come to?

Every bound says how many standard errors it allows; seeds are fixed.
"""

from __future__ import annotations

import dataclasses
import json
import math

import numpy as np
import pytest
from tests.strategies import lab_of

from falsework.analyses.years import block, years
from falsework.analyses.years.result import PERCENTS
from falsework.engines.renewal.gather import here
from falsework.errors import LimitError, QuestionError
from falsework.support.standing import Standing

YEAR_MIN = 365.25 * 24 * 60

ONE = """
falsework: 1
lab: One box
machines: {a: {is: node, fails: 2 /year, mends in: 36 h, wakes in: 120 s, power back: on}}
services: {files: {on: a, restarts in: 60 s}}
"""

PAIR = """
falsework: 1
lab: A pair
machines:
  a..b: {is: node, fails: 3 /year, mends in: 1 h, wakes in: 0 s, power back: on}
services:
  front: {on: [a, b], takes over: 30 s, restarts in: 0 s, stumbles: STUMBLES, breaks unseen: UNSEEN, drilled every: 90 days}
  page: {on: b, restarts in: 0 s, needs: {to run: [front for 10 min]}}
people: {me: {comes in: 20 min, notices in: 4 h}}
"""

BATTERY = """
falsework: 1
lab: On battery
outside: {mains: {fails: 6 /year, mends in: 20 min}}
power: {cell: {is: ups, fed by: mains, runs: {100 W: RUNS}, fails: 0.0001 %/year}}
machines: {a: {is: node, fed by: cell, draws: 100 W, fails: 0.0001 %/year, wakes in: 2 min, power back: POWER}}
services: {files: {on: a, restarts in: 1 min}}
people: {me: {comes in: 20 min, notices in: 1 h}}
"""


def drawn(text, count=1_000, **more):
    """Years of a lab in a text."""
    return years(Standing(lab_of(text)), count=count, **more)


def replaced(text, **words):
    """A text with its words in capitals replaced."""
    for word, value in words.items():
        text = text.replace(word, value)
    return text


def test_one_part_is_down_q_of_the_year():
    """The share q = d/(m+d) of 525,960 minutes, plus a restart of 3 min for each failure (4 standard errors, themselves small)."""
    found = drawn(ONE, 5_000).service("files")
    mean_up, down = YEAR_MIN / 2, 36 * 60
    failures = YEAR_MIN / (mean_up + down)
    assert found.error_min < 0.012 * found.mean_min
    assert abs(found.mean_min - failures * (down + 3)) < 4 * found.error_min
    assert found.outages == pytest.approx(failures, abs=4 * math.sqrt(failures / 5_000))


def test_each_outage_is_the_mending_and_the_restart():
    """One failure is 36 h and 3 min down; so many percent of years have none, one, two of them."""
    found = drawn(ONE, 2_000).service("files")
    assert found.longest_min == pytest.approx(36 * 60 + 3)
    low = dict(zip(PERCENTS, found.percentiles_min, strict=True))
    assert low[5] == 0.0
    assert low[50] == pytest.approx(2 * 2_163)
    assert found.spotless == pytest.approx(math.exp(-2), abs=4 * math.sqrt(0.117 / 2_000) + 0.01)


def test_a_take_over_blinks():
    """Losing the copy that serves costs 30 s; losing the other one nothing; both at once, until one is back."""
    found = drawn(replaced(PAIR, STUMBLES="0.0001 %", UNSEEN="0.0001 %/year"))
    front = found.service("front")
    assert front.stumbled == 0.0
    assert front.percentiles_min[2] == pytest.approx(1.5)
    assert front.outages == pytest.approx(3.0, abs=4 * math.sqrt(3 / 1_000) + 0.02)
    q = 3 * 320 / (YEAR_MIN + 3 * 320)  # 4 h to be seen, 20 min to come, 1 h to mend
    both = q * q * YEAR_MIN
    assert abs(front.mean_min - (3 * 0.5 + both)) < 4 * front.error_min


def test_a_hold_longer_than_a_blink_lets_nothing_through():
    """What holds ten minutes without the front does not see its take-over, but sees it stumble."""
    calm = drawn(replaced(PAIR, STUMBLES="0.0001 %", UNSEEN="0.0001 %/year"), 500).service("page")
    clumsy = drawn(replaced(PAIR, STUMBLES="100 %", UNSEEN="0.0001 %/year"), 500).service("page")
    assert clumsy.mean_min - calm.mean_min == pytest.approx(3 * (4 * 60 + 20 + 30 + 0.5 - 10), rel=0.1)
    assert clumsy.outages == pytest.approx(2 * calm.outages, rel=0.1)  # its own host, or the front


def test_a_stumble_lasts_until_hands_are_there():
    """A take-over that never works: each loss costs 4 h to see, 20 min to come, 30 to put right, and 30 s."""
    found = drawn(replaced(PAIR, STUMBLES="100 %", UNSEEN="0.0001 %/year"))
    front = found.service("front")
    lasts = 4 * 60 + 20 + 30 + 0.5
    assert found.service("front").stumbled == pytest.approx(3.0, abs=4 * math.sqrt(3 / 1_000) + 0.02)
    assert front.mean_min == pytest.approx(front.stumbled * lasts, rel=0.02)  # both out at once is rare


def test_a_stumble_ends_with_the_mending_where_that_is_sooner():
    """With nobody named, a mending of 6 min begins at once: a stumble is over then, not after half an hour by hand."""
    text = replaced(PAIR, STUMBLES="100 %", UNSEEN="0.0001 %/year").replace(
        "mends in: 1 h", "mends in: 6 min"
    )
    front = drawn(text.partition("people")[0]).service("front")
    assert front.longest_min < 6 + 6 + 1  # one more may fail meanwhile
    assert front.mean_min == pytest.approx(front.stumbled * 6.5, rel=0.02)


def test_a_break_nobody_saw_is_met_as_often_as_drills_allow():
    """Broken unseen 2 a year, drilled every 90 days: 1 - (1 - e^-aT)/(aT) of take-overs fail (4 sd of a binomial)."""
    found = drawn(replaced(PAIR, STUMBLES="0.0001 %", UNSEEN="2 /year"), 2_000).service("front")
    x = 2 * 90 / 365.25
    share = 1 - (1 - math.exp(-x)) / x
    asked = 3.0 * 2_000
    assert found.stumbled * 2_000 == pytest.approx(asked * share, abs=4 * math.sqrt(asked * share) + 20)


def test_a_battery_that_outlasts_the_cut_shows_nothing():
    """A cut of 20 min on a battery of 30 min: no outage at all but those of the machine's own supply."""
    found = drawn(replaced(BATTERY, RUNS="30 min", POWER="on")).service("files")
    assert found.outages < 0.1
    assert found.spotless > 0.9


def test_a_battery_that_runs_down_shows_the_rest_of_the_cut_and_the_restart():
    """A battery of 12 min in a cut of 20 min: 8 min down, then 2 min waking and 1 min restarting, each time."""
    found = drawn(replaced(BATTERY, RUNS="12 min", POWER="on")).service("files")
    assert found.outages == pytest.approx(6.0, abs=0.4)
    low = dict(zip(PERCENTS, found.percentiles_min, strict=True))
    for percent in (5, 25, 50, 75, 90):
        assert low[percent] / 11 == pytest.approx(round(low[percent] / 11), abs=1e-6)
    assert low[50] == pytest.approx(66)


def test_what_stays_off_waits_for_hands():
    """A box that stays off after a cut: an hour until seen, 20 min to come, then 3 min; with 8 min before."""
    found = drawn(replaced(BATTERY, RUNS="12 min", POWER="stays off")).service("files")
    low = dict(zip(PERCENTS, found.percentiles_min, strict=True))
    assert low[50] == pytest.approx(6 * (8 + 60 + 20 + 3))


MIRROR = """
falsework: 1
lab: Two drives
machines:
  a: {is: node, fails: 0.0001 %/year, drives: {d1..2: {is: drive, fails: 4 /year, mends in: 10 days, size: 1 TB}}}
stores: {pair: {drives: [a.d1, a.d2], layout: mirror}}
services: {files: {on: a, state in: pair, restarts in: 0 s}}
data: {shares: {of: files, in: pair, size: 180 GBBACKED}}
outside: {far: {fails: 0.0001 %/year}}
"""


def test_data_is_lost_when_the_second_drive_fails_in_time():
    """A mirror without backup: two states of a chain give the rate at which both are broken (4 sd of a count).

    Either drive is up u = 1/(1 + a d) of the time; both are newly broken at 2 a u (1 - u) a year.
    """
    found = drawn(replaced(MIRROR, BACKED=""), 2_000)
    (shares,) = found.data
    up = 1 / (1 + 4 * 10 / 365.25)
    a_year = 2 * 4 * up * (1 - up)
    assert shares.gone == pytest.approx(1_000 * a_year, abs=4 * math.sqrt(a_year / 2_000) * 1_000)
    assert (shares.restores, shares.work_lost_h, shares.none_in) == (0.0, None, None)


def test_a_backup_bounds_the_work_lost():
    """With a daily backup at most a day of work goes, half a day in the middle; and the restore takes its time."""
    found = drawn(replaced(MIRROR, BACKED=", backed up: {to: far, every: 1 day}"), 2_000)
    (shares,) = found.data
    assert shares.gone == 0.0
    middle, most = shares.work_lost_h
    assert middle == pytest.approx(12, abs=1)
    assert 22 < most < 24
    # Twice as long with twice the data: the restore counts.
    bare = drawn(replaced(MIRROR, BACKED=""), 2_000).service("files").mean_min
    whole = found.service("files").mean_min
    assert whole - bare == pytest.approx(shares.restores / 1_000 * 180e9 / 50e6 / 60, rel=0.05)


def test_data_that_was_never_lost_says_how_rare_that_makes_it():
    """Without a loss in n years, n/3 years a loss is the bound of the rule of three."""
    calm = MIRROR.replace("fails: 4 /year", "fails: 0.0001 %/year")
    (shares,) = drawn(replaced(calm, BACKED=""), 300).data
    assert (shares.gone, shares.none_in) == (0.0, 100.0)


@pytest.mark.slow
def test_the_same_seed_gives_the_same_bytes_whoever_works():
    """One process, two, or another call: the same result to the last digit; another seed, another result."""
    text = replaced(PAIR, STUMBLES="3 %", UNSEEN="20 %/year")
    one = drawn(text, 6_000, seed=5)
    two = drawn(text, 6_000, seed=5, workers=2)
    assert json.dumps(dataclasses.asdict(one), allow_nan=False) == json.dumps(dataclasses.asdict(two))
    assert one.services != drawn(text, 6_000, seed=6).services


def test_ctrl_c_gives_what_is_finished(monkeypatch):
    """Stopped after two blocks: their 2,000 years, the same as if no more had been asked for, and a word on it."""
    monkeypatch.setattr(block, "MOST_RUNS", 100)

    def stop(what, done, most):
        if done == 2_000:
            raise KeyboardInterrupt

    found = drawn(ONE, 9_000, progress=stop)
    assert (found.years, found.asked, found.stopped) == (2_000, 9_000, True)
    assert found.services == drawn(ONE, 2_000).services


def test_ctrl_c_before_anything_is_finished():
    """Nothing finished is said as no years, not as zero downtime."""

    def never(block, numbers):
        raise KeyboardInterrupt
        yield

    found = drawn(ONE, 10, workers=never)
    assert (found.years, found.services, found.story, found.stopped) == (0, (), None, True)


def test_it_stops_when_sure_enough():
    """Asked for 5 %, it stops at the first block that gives it, the same whoever works; never reached, it says so."""
    found = drawn(ONE, 50_000, of="files", within=0.05)
    assert found.reached
    assert found.off <= 0.05
    assert found.years < 50_000
    again = drawn(ONE, 50_000, of="files", within=0.05, workers=here)
    assert again.services == found.services
    short = drawn(ONE, 1_000, of="files", within=0.001)
    assert (short.reached, short.years) == (False, 1_000)
    assert short.off > 0.001


def test_progress_counts_years(monkeypatch):
    """Progress tells years done of years asked for."""
    monkeypatch.setattr(block, "MOST_RUNS", 100)
    told = []
    drawn(ONE, 2_000, progress=lambda *each: told.append(each))
    assert told == [("years drawn", 1_000, 2_000), ("years drawn", 2_000, 2_000)]


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"count": 0}, "0 years"),
        ({"within": 2.0}, "precision of 2"),
        ({"within": float("nan")}, "precision of nan"),
        ({"workers": 0}, "0 processes"),
        ({"of": "filez"}, "Did you mean 'files'"),
    ],
)
def test_questions_that_make_no_sense(more, said):
    """Each is refused with what was asked and what to ask instead."""
    with pytest.raises(QuestionError, match=said):
        drawn(ONE, **more)


def test_too_many_years_are_refused():
    """More than fit are refused before anything is drawn."""
    with pytest.raises(LimitError, match="1,000,000"):
        drawn(ONE, 2_000_000)


def test_hands_come_in_their_hours():
    """With hands on Saturdays only, a repair waits half a week on average: mean wait = gap^2 / (2 week) (4 errors)."""
    text = (
        ONE.replace("mends in: 36 h", "mends in: 1 h")
        + "people: {me: {works: Sat 09:00-17:00, comes in: 0 s}}\n"
    )
    found = drawn(text.replace("comes in: 0 s", "comes in: 0 s, notices in: 0 s"), 4_000).service("files")
    gap, week = 160.0, 168.0
    each = 60 * (gap**2 / (2 * week) + 1) + 3
    failures = YEAR_MIN / (YEAR_MIN / 2 + each)
    assert abs(found.mean_min - failures * each) < 4 * found.error_min


def test_one_mends_one_after_another():
    """Ten boxes that break of one cause, an hour each: the last is whole ten hours later with one to mend, two: five."""
    text = """
falsework: 1
lab: Ten boxes
kinds: {box: {is: node, fails: 1 /year, mends in: 1 h, batch: b, with others: 100 %, wakes in: 0 s, power back: on}}
machines: {a..j: {kind: box}}
services: {all: {on: [a, b, c, d, e, f, g, h, i, j], serves: all, restarts in: 0 s}}
people: PEOPLE
"""
    me = "me: {comes in: 0 s, notices in: 0 s}"
    one = drawn(text.replace("PEOPLE", f"{{{me}}}"), 500).service("all")
    two = drawn(text.replace("PEOPLE", f"{{{me}, you: {{comes in: 0 s, notices in: 0 s}}}}"), 500).service(
        "all"
    )
    assert one.percentiles_min[2] == pytest.approx(600)
    assert two.percentiles_min[2] == pytest.approx(300)


def test_no_spare_on_the_shelf_waits_for_the_boat():
    """A kind without a spare on the shelf waits nine days each time; with plenty, not at all."""
    text = """
falsework: 1
lab: A spare
kinds: {box: {is: node, fails: 1 /year, mends in: 1 h, wakes in: 0 s, power back: on}}
machines: {a: {kind: box}}
services: {files: {on: a, restarts in: 0 s}}
spares: {box: {shelf: SHELF, comes in: 9 days}}
"""
    without = drawn(text.replace("SHELF", "0"), 300).service("files")
    stocked = drawn(text.replace("SHELF", "9"), 300).service("files")
    assert without.longest_min == pytest.approx(9 * 24 * 60 + 60)
    assert stocked.longest_min == pytest.approx(60)


def test_intervals_hold_the_truth_as_often_as_they_say():
    """Of 40 small runs with seeds of their own, about 95 % hold the long run's mean (at least 33 of 40)."""
    standing = Standing(lab_of(ONE))
    mean_up, down = YEAR_MIN / 2, 36 * 60
    truth = YEAR_MIN / (mean_up + down) * (down + 3)
    held = 0
    for seed in range(40):
        found = years(standing, count=400, seed=seed).service("files")
        held += found.low_min <= truth <= found.high_min
    assert held >= 33


def test_part_failures_are_counted():
    """Parts fail about as often as the lab says, less while they are out (4 sd of a count)."""
    (part,) = drawn(ONE, 2_000).parts
    expected = YEAR_MIN / (YEAR_MIN / 2 + 36 * 60)
    assert part.failures == pytest.approx(expected, abs=4 * math.sqrt(expected / 2_000))
    assert np.isfinite(part.failures)
