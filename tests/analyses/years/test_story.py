"""Does a story tell what happened, in words that hold?"""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import numpy as np
import pytest
from tests.strategies import lab_of

from falsework.analyses.odds.odds import odds
from falsework.analyses.verdicts import Verdict, losses
from falsework.analyses.years import Hit, Lost, Mishap, Story, headline, told, years
from falsework.analyses.years.block import SKIPPED, chapter
from falsework.analyses.years.known import Known
from falsework.model.build import load
from falsework.support.standing import Standing
from falsework.units import YEAR_S

pytestmark = pytest.mark.slow

OBSERVATORY = Path(__file__).parents[3] / "examples" / "observatory"


@pytest.fixture(scope="module")
def known():
    """The observatory made ready."""
    return Known(Standing(load(OBSERVATORY / "mended.yaml")))


def test_whatever_falls_at_once_is_down_all_the_while(known):
    """Each stretch of ten lives judged anew, one loss at a time: what falls at once is down throughout.

    And nothing goes down in the midst of a stretch in which it stands, but for what leans on a stumble.
    """
    lives = chapter(known, seed=3, number=0, runs=10)
    cut = lives.lived.cut
    judged = losses(known.standing, [[known.parts[unit] for unit in each] for each in cut.sets])
    verdicts = np.array([[effect.verdict for effect in loss.effects] for loss in judged])
    at_once = np.array([[effect.falls_s == 0.0 for effect in loss.effects] for loss in judged])
    falls = (verdicts >= Verdict.FALLS) & at_once
    checked = 0
    for number, service in enumerate(known.services):
        spans = lives.spans(number)
        stumbles = lives.stumbled.start_s[lives.stumbled.service == number]
        for stretch in np.flatnonzero(falls[cut.state, number]):
            here = (spans.run == cut.run[stretch]) & (spans.start_s <= cut.start_s[stretch] + 1e-6)
            assert (here & (spans.end_s >= cut.end_s[stretch] - 1e-6)).any(), (service, stretch)
            checked += 1
        for run, start in zip(spans.run, spans.start_s, strict=True):
            (stretch,) = np.flatnonzero((cut.run == run) & (cut.start_s <= start) & (cut.end_s > start))
            assert verdicts[cut.state[stretch], number] >= Verdict.BLINKS or start in stumbles
    assert checked > 100


def test_a_story_adds_up(known):
    """The hits of a told year come to its minutes down, but for what began before it or lasts beyond it."""
    found = years(known.standing, count=300, seed=2)
    year = found.story
    alarms = {known.services[number] for number in known.alarms}
    told_min = sum(
        hit.for_s / 60 for mishap in year.mishaps for hit in mishap.hits if hit.service not in alarms
    )
    assert told_min == pytest.approx(year.down_min, rel=0.05)
    assert 90 <= year.percent <= 99
    moments = [mishap.at for mishap in year.mishaps]
    assert moments == sorted(moments)
    for mishap in year.mishaps:
        assert mishap.at <= mishap.known_at <= mishap.begun_at <= mishap.whole_at
        assert all(hit.at >= mishap.at for hit in mishap.hits)
        assert mishap.hits or mishap.lost


def test_a_story_of_one_service(known):
    """Asked for one service, the year is chosen by it, and its minutes are that service's."""
    found = years(known.standing, count=300, seed=2, of="mail")
    year = found.story
    mine = sum(hit.for_s / 60 for mishap in year.mishaps for hit in mishap.hits if hit.service == "mail")
    assert year.of == "mail"
    assert mine == pytest.approx(year.down_min, rel=0.05)


def test_the_days_of_the_week_are_those_of_the_hours(known):
    """Hands begin in their hours: in the story, the warden's and the keeper's, on the days it names."""
    found = years(known.standing, count=300, seed=4)
    by_hand = {name for name, life in known.lives.of.items() if life.hands}
    seen = 0
    for mishap in found.story.mishaps:
        if set(mishap.parts) <= by_hand:
            begun = datetime.fromisoformat(mishap.begun_at)
            # The warden works 08:00-18:00 and needs 40 min; the keeper's evenings end at 22:00, with 20 min more.
            assert 8 * 60 + 20 <= begun.hour * 60 + begun.minute <= 22 * 60 + 40
            seen += 1
    assert seen


def test_words_of_a_story():
    """A whole story, word by word."""
    year = Story(
        percent=95.2,
        of="",
        down_min=130.0,
        mishaps=(
            Mishap(
                parts=("A",),
                at="2024-02-12T03:14:00",
                known_at="2024-02-12T03:16:00",
                begun_at="2024-02-12T08:40:00",
                whole_at="2024-02-13T09:00:00",
                hits=(
                    Hit(service="mail", at="2024-02-12T03:14:00", for_s=40.0, by_itself=True, stumbled=False),
                    Hit(
                        service="chat",
                        at="2024-02-12T03:32:00",
                        for_s=3600.0,
                        by_itself=False,
                        stumbled=False,
                    ),
                    Hit(
                        service="wiki",
                        at="2024-02-12T03:32:00",
                        for_s=3600.0,
                        by_itself=False,
                        stumbled=False,
                    ),
                    Hit(
                        service="front",
                        at="2024-02-12T03:14:00",
                        for_s=7200.0,
                        by_itself=False,
                        stumbled=True,
                    ),
                ),
                lost=(
                    Lost(data="letters", work_lost_s=5 * 3600.0, restored_s=600.0),
                    Lost(data="pictures", work_lost_s=None, restored_s=0.0),
                ),
            ),
            Mishap(
                parts=("d1", "d2"),
                at="2024-12-31T23:00:00",
                known_at="2024-12-31T23:00:00",
                begun_at="2024-12-31T23:00:00",
                whole_at="2025-01-01T01:00:00",
                hits=(
                    Hit(
                        service="files",
                        at="2024-12-31T23:00:00",
                        for_s=7200.0,
                        by_itself=False,
                        stumbled=False,
                    ),
                ),
                lost=(),
            ),
        ),
        unfelt=3,
        silenced=1,
    )
    assert told(year) == (
        "A year that 95 % of years are no worse than: 2 h 10 min down, all services together.",
        "Mon 12 February 03:14: A fails. letters must be restored: 5 h of work are lost. "
        "pictures is gone: no backup survives. mail blinks for 40 s. chat, wiki are out for 1 h, 18 min later. "
        "front does not come back by itself as it should, and is out for 2 h. "
        "Known at 03:16, in hand at 08:40, whole on Tue 13 February 09:00.",
        "Tue 31 December 23:00: d1, d2 fail together. files is out for 2 h. Whole again on Wed 1 January 01:00.",
        "3 more parts failed and were mended without any service noticing; 1 of these kept an alarm from leaving.",
    )


def test_a_calm_year_is_told_as_such():
    """A lab that nothing fails in has a story with nothing in it, and a headline without a claim."""
    text = """
falsework: 1
lab: Calm
machines: {a: {is: node, fails: 0.0001 %/year}}
services: {files: {on: a}}
"""
    found = years(Standing(lab_of(text)), count=10)
    assert told(found.story) == (
        "A year that 100 % of years are no worse than: 0 s down, all services together.",
    )
    assert headline(found) == "10 years, seed 1."
    assert found.off is None


def test_the_first_year_is_not_told(known):
    """The year in which a run settles is neither counted nor told."""
    lives = chapter(known, seed=3, number=0, runs=3)
    assert lives.lived.outages.horizon_s == pytest.approx((SKIPPED + 10) * YEAR_S)
    found = years(known.standing, count=20, seed=3)
    assert all(mishap.at >= "2024-12-31" for mishap in found.story.mishaps)


@pytest.mark.slow
def test_a_cluster_gives_the_same_years():
    """Two processes of a local cluster give the same years as this process, to the last digit."""
    distributed = pytest.importorskip("distributed", reason="the extra `cluster` is not installed")
    from falsework.engines.renewal.cluster import Cluster

    standing = Standing(load(OBSERVATORY / "mended.yaml"))
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=":0"
    ) as local:
        shared = years(standing, count=4_000, workers=Cluster(address=local.scheduler_address, wait_s=60.0))
    assert shared == years(standing, count=4_000)


@pytest.mark.slow
def test_drawn_years_agree_with_the_exact_analysis(known):
    """Mean minutes by service, drawn and worked out exactly from diagrams: within 4.5 standard errors, each of them.

    Left out are services that lean on one whose take-over may stumble: the exact analysis lets a stumble hurt its
    own service only, drawn years let it hurt what leans on it, too.
    """
    exact = odds(known.standing)
    drawn = years(known.standing, count=15_000, seed=1)
    touched = {
        known.services[other]
        for number in known.hosts
        for other, _ in known.leaning[number]
        if number in known.moving
    }
    compared = 0
    for each in exact.services:
        if each.service not in touched:
            found = drawn.service(each.service)
            assert abs(found.mean_min - each.minutes.best) < 4.5 * found.error_min, each.service
            compared += 1
    assert compared > 20


@pytest.mark.slow
@pytest.mark.parametrize(
    "path", sorted((OBSERVATORY.parents[1] / "tests" / "labs" / "traps").glob("*/base*.yaml")), ids=str
)
def test_drawn_years_of_every_trap_agree_with_the_exact_analysis(path):
    """Ten thousand years of each small lab, within 5 standard errors where it is out often enough for that (30 times)."""
    standing = Standing(load(path))
    exact = odds(standing)
    drawn = years(standing, count=10_000, seed=1)
    for each in exact.services:
        found = drawn.service(each.service)
        if found.error_min and found.outages * drawn.years > 30:
            assert abs(found.mean_min - each.minutes.best) < 5 * found.error_min, each.service
