"""Is a run told whole and safely: on a page, on paper, in a picture, whatever happened in it?"""

import math
import re
import xml.etree.ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.analyses.history.seen import probe, seen
from tests.faces.runbook.papers import pages
from tests.strategies import lab_of

from falsework.analyses.history import past
from falsework.errors import QuestionError
from falsework.faces.report.run_page import check_place, run_page, run_paper
from falsework.faces.report.run_picture import run_picture
from falsework.faces.report.run_told import run_told, when_said
from falsework.faces.report.strips import MOST_ROWS
from falsework.faces.runbook.pdf import pdf
from falsework.record.seen import Gap, Why
from falsework.support.standing import Standing

LAB = """
lab: '<b>rock</b>'
outside: {mains: the wall}
machines: {desk-1..2: {is: node, fed by: mains}}
services:
  door: {on: [desk-1, desk-2], floats: 10.0.0.2 in 4 s}
  wiki: {on: [desk-1, desk-2]}
"""
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def standing():
    """A lab with a hostile name."""
    return Standing(lab_of(LAB))


def one(standing, *probes, **run):
    """A run beside the lab."""
    return past(standing, [seen(*probes, **run)])[0]


def test_it_says_what_was_tried_foretold_and_seen(standing):
    """The short answer, the action, each thing, what nobody saw, and that one run proves little."""
    told = run_told(
        standing,
        one(standing, probe("door", (10.0, 14.2)), probe("wiki", (30.0, 33.0)), back_s=100.0, drill="pull"),
    )
    assert told.title == "Run 1, drill pull"
    assert told.bad
    assert "wiki fell though it should stand" in told.lead
    assert "Taken out: desk-1, done after 10 s, put back 1 min 30 s later." in told.facts
    assert [(each.thing, each.sort, each.foretold) for each in told.things] == [
        ("wiki", "wrong", "stands"),
        ("door", "as foretold", "out for 4 s"),
    ]
    assert told.things[1].seen == "out for 4.2 s ± 0.1 s"
    assert [(each.probe, each.at) for each in told.outages] == [("door box", "+0 s"), ("wiki box", "+20 s")]
    assert any("One run is one sample" in each for each in told.cautions)


def test_what_nobody_saw_is_said_on_the_page_and_on_paper(standing):
    """The wiki has no probe in this run: neither form lets a reader think that it stood."""
    run = one(standing, probe("door", (10.0, 14.0)), back_s=100.0)
    assert "nothing can be said: <bdi>wiki</bdi>" in run_page(standing, run)
    (chapter,) = [each for each in run_paper(standing, run).chapters if each.title == "Foretold and seen"]
    assert "No probe saw, so nothing can be said: wiki." in chapter.says


def test_a_run_that_was_killed_says_where_it_stops(standing):
    """And one that goes on says that it does; an outage at the end is not over."""
    stopped = one(standing, probe("door", (50.0, math.inf)), lost=(), done_s=None, until_s=60.0, ended=False)
    told = run_told(standing, stopped)
    assert any(each.startswith("The record stops 1 min after the beginning") for each in told.facts)
    assert told.outages[0].lasted == "10 s or more, it was not over"
    goes_on = run_told(standing, stopped, runs=True)
    assert not any("The record stops" in each for each in goes_on.facts)
    assert "1 min so far" in goes_on.facts[0]


def test_moments_are_counted_from_the_action(standing):
    """Before it, after it, and from the beginning where there was none."""
    run = one(standing, probe("door")).observed.run
    assert [when_said(run, at_s) for at_s in (4.0, 10.0, 12.5)] == ["6 s before", "+0 s", "+2.5 s"]
    assert when_said(one(standing, probe("door"), lost=(), done_s=None).observed.run, 4.0) == "at 4 s"


def test_hostile_names_stay_words(standing):
    """A probe, a mark or a lab that is called like markup is shown, and is none."""
    bad = "<script>alert(1)</script>\u202e"
    run = one(standing, probe("door", (10.0, 14.0), name=bad), back_s=100.0, said=[(20.0, f"</svg>{bad}")])
    page = run_page(standing, run)
    assert "<script" not in page
    assert "<b>rock" not in page
    assert "\u202e" not in page
    assert pdf(run_paper(standing, run)).startswith(b"%PDF-")


def test_a_short_run_fills_its_first_sheet(standing):
    """On paper all follows on: cautions, time line and tables don't each begin a sheet, and nothing is left out."""
    run = one(standing, probe("door", (10.0, 14.0)), back_s=100.0)
    papers = pages(pdf(run_paper(standing, run)))
    assert len(papers) <= 2
    assert all(each in papers[0] for each in ("Cautions", "Time line", "Foretold and seen", "Outages"))
    assert "Probes" in " ".join(papers)


def test_a_page_fetches_nothing_and_is_the_same_each_time(standing):
    """No address but those that probes ask, no script; the same run gives the same page."""
    run = one(standing, probe("door", (10.0, 14.0)), back_s=100.0)
    page = run_page(standing, run)
    assert re.findall(r"(?:src|href)=", page) == []
    assert "url(" not in page
    assert page == run_page(standing, run)


@given(
    st.lists(st.tuples(st.floats(0, 900), st.one_of(st.floats(0.01, 900), st.just(math.inf))), max_size=4),
    st.one_of(st.none(), st.floats(0, 500)),
    st.one_of(st.none(), st.floats(1, 500)),
    st.floats(0.5, 1500),
)
@settings(max_examples=25)
def test_a_picture_stays_on_its_sheet(spells, done_s, after_s, until_s):
    """Whatever happened when: it is sound XML, and all that is drawn lies between its edges."""
    standing = _standing()
    outages = [(from_s, from_s + lasts_s) for from_s, lasts_s in spells]
    back_s = done_s + after_s if done_s is not None and after_s is not None else None
    gap = Gap(from_s=1.0, until_s=until_s / 2 + 1.0, why=Why.BUSY)
    run = one(
        standing,
        probe("door", *outages),
        probe("wiki"),
        done_s=done_s,
        back_s=back_s,
        until_s=until_s,
        gaps=[gap],
    )
    drawn = ET.fromstring(run_picture(run))
    width, height = float(drawn.get("width")), float(drawn.get("height"))
    for each in drawn.iter(f"{SVG}rect"):
        assert 0 <= float(each.get("x")) <= float(each.get("x")) + float(each.get("width")) <= width + 0.1
        assert 0 <= float(each.get("y")) <= height
    for each in drawn.iter(f"{SVG}line"):
        assert all(0 <= float(each.get(key)) <= width + 0.1 for key in ("x1", "x2"))


def test_of_very_many_probes_those_are_drawn_that_saw_most(standing):
    """The rest is counted below the picture."""
    calm = [probe("wiki", name=f"calm {number}") for number in range(MOST_ROWS)]
    run = one(standing, *calm, probe("door", (10.0, 14.0)), back_s=100.0)
    assert "door box out" in run_picture(run)
    assert "1 probe that saw less is left out" in run_page(standing, run)


def test_a_place_that_means_nothing_is_refused(tmp_path):
    """Before anything is worked out."""
    with pytest.raises(QuestionError, match=r"neither \.html nor \.pdf"):
        check_place(tmp_path / "run.txt", "a4")
    with pytest.raises(QuestionError, match="no paper"):
        check_place(tmp_path / "run.pdf", "a5")


def _standing():
    if not hasattr(_standing, "made"):
        _standing.made = Standing(lab_of(LAB))
    return _standing.made
