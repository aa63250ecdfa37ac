"""What was seen, on its sheet; the record is made up and written by the product's own recorder."""

import re
import xml.etree.ElementTree as ET

import pytest
from tests.faces.cli.records.keeping import kept
from tests.faces.page.asking import client, page_for

from falsework.model.build import load
from falsework.record.keeping import NewRun, Recorder, record_of
from falsework.record.seen import Mark, Marked, Seen, Told
from falsework.support.probing import questions


@pytest.fixture
def lab(tmp_path):
    """A lab with a record of two drills and a watch that was killed."""
    return kept(tmp_path)


def words(html):
    """What a reader sees, without markup."""
    return " ".join(re.sub("<[^>]+>", " ", html).split())


def strips(html):
    """The drawing, as a tree; it has to be well formed."""
    return ET.fromstring(re.search(r"<svg.*?</svg>", html, re.DOTALL)[0])


def test_without_a_record_it_says_how_to_make_one(lab):
    """Before anything was watched the sheet names the command, and there is nothing to renew."""
    record_of(lab).unlink()
    answer = client(page_for(lab)).get("/stopwatch")
    assert answer.status_code == 200
    assert "Nothing has been watched yet." in words(answer.text)
    assert "falsework stopwatch" in answer.text
    assert "data-going" not in answer.text


def test_a_drill_is_drawn_and_told(lab):
    """The outages, the gap, what was foretold, and what was done are in the drawing and in the table and list."""
    answer = client(page_for(lab)).get("/stopwatch?run=2")
    drawn = strips(answer.text)
    outages = [each.get("data-outage") for each in drawn.iter() if each.get("data-outage")]
    assert sorted(outages) == ["front", "pages", "post"]
    assert [each.get("data-gap") for each in drawn.iter() if each.get("data-gap")].count("asleep") > 0
    assert any(each.get("data-foretold") for each in drawn.iter())
    said = words(answer.text)
    assert "Drill pull a desk ended after 2 min." in said
    assert "out for 1 min 20 s" in said
    assert "done: the plug of desk-1" in said
    assert "the stopwatch itself did not run for 2 s (asleep)" in said
    assert "the clock on the wall was set by -3600.0 s" in said
    assert "/record/run-2.html" in answer.text
    usual = re.findall(r'<tr[^>]*><th scope="row"><bdi>front.*?</td><td>([^<]*)</td>', answer.text, re.DOTALL)
    assert usual == ["2 ms"]


@pytest.mark.parametrize(
    ("tries", "lost", "says", "drawn"),
    [
        ("loss", ("desk-1",), "blinks at once, and is back after 40 s", "back by 40 s"),
        ("cold start", (), "after the power is back", "after the power"),
    ],
)
def test_what_was_foretold_is_said_as_the_drill_says_it(lab, tries, lost, says, drawn):
    """A cold start counts from the power: what comes back by itself is not told as if it counted from the action."""
    run = NewRun(lab="Small Rock", drill="try it", tries=tries, lost=lost)
    asked = questions(load(lab))
    taker = Recorder(record_of(lab), run, asked)
    taker.answers([Seen(number, 0.0, 0.01, Told.YES) for number in range(len(asked))])
    taker.mark(Marked(at_s=0.5, mark=Mark.DONE))
    taker.mark(Marked(at_s=60.0, mark=Mark.PUT_BACK))
    taker.end(90.0)
    said = client(page_for(lab)).get("/stopwatch").text
    assert says in words(said)
    titles = [each.text or "" for each in strips(said).iter() if each.tag.endswith("title")]
    assert any(title.startswith("foretold: ") and title.endswith(drawn) for title in titles)


def test_the_newest_is_shown_and_a_killed_one_does_not_go_on(lab):
    """Without a number it is the newest run; one that was killed says that it was cut off, and is not renewed."""
    answer = client(page_for(lab)).get("/stopwatch")
    assert "Watching was cut off" in words(answer.text)
    assert "data-going" not in answer.text
    assert [each in answer.text for each in ("?run=1", "?run=2", "?run=3")] == [True] * 3


def test_one_that_goes_on_is_renewed(lab):
    """A run that some process writes just now is said to go on, with how each probe stands."""
    asked = questions(load(lab))
    taker = Recorder(
        record_of(lab), NewRun(lab="Small Rock", drill="pull a desk", tries="loss", lost=("desk-1",)), asked
    )
    taker.answers([Seen(number, 0.0, 0.01, Told.YES) for number in range(len(asked))])
    taker.mark(Marked(at_s=0.5, mark=Mark.DONE))
    taker.answers([Seen(0, 1.0, 2.0, Told.SILENT)])
    taker.beat(4.0, 0.0)
    part = client(page_for(lab)).get("/stopwatch/now")
    assert part.text.lstrip().startswith('<div id="seen" data-run="4" data-going data-newest="4">')
    assert f"{asked[0].name} " in words(part.text)
    assert "silent for" in words(part.text)
    assert "out since" in words(part.text)
    taker.end(5.0)
    assert "data-going" not in client(page_for(lab)).get("/stopwatch/now").text


@pytest.mark.parametrize("run", ["9", "x", "99999999999", "-1", "%3Cb%3E"])
def test_a_run_that_is_not_there(lab, run):
    """A run that does not exist is told as such, with nothing else shown."""
    answer = client(page_for(lab)).get(f"/stopwatch?run={run}")
    assert answer.status_code == 400
    assert "no number of a run" in answer.text or "has no run 9" in answer.text
    assert "<b>" not in answer.text


def test_names_cannot_break_the_drawing(tmp_path):
    """Whatever a probe is called, the drawing stays well formed and the page has no markup of its making."""
    lab = tmp_path / "lab.yaml"
    lab.write_text(
        "lab: L\nkinds:\n  pc: {is: node}\nmachines:\n  a: pc\nservices:\n  web: {on: a}\n"
        'probes:\n  "<script>x</script>&": {asks: tcp 127.0.0.1 port 9, sees: web}\n'
    )
    asked = questions(load(lab))
    taker = Recorder(record_of(lab), NewRun(lab="L"), asked)
    taker.answers([Seen(0, 0.0, 0.1, Told.YES), Seen(0, 1.0, 1.1, Told.NO, "<i>refused</i>")])
    taker.end(3.0)
    answer = client(page_for(lab)).get("/stopwatch")
    assert strips(answer.text) is not None
    assert "<script>x" not in answer.text
    assert "<i>refused" not in answer.text
