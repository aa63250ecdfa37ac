"""Tests of `falsework drills`: words, JSON, what it writes, and what it refuses."""

from __future__ import annotations

import json

import pytest
from tests.analyses.drilling.labs import PAIR, STORED
from tests.faces.cli.typed import typed
from tests.faces.fitting import fits

pytestmark = pytest.mark.slow  # whole commands


@pytest.fixture
def lab(tmp_path):
    """A pair that takes over."""
    path = tmp_path / "pair.yaml"
    path.write_text(PAIR, encoding="utf-8")
    return path


def test_the_list_begins_with_the_short_answer(lab):
    """How many drills prove how many claims, whether fewer would do, and each on its day."""
    said = typed("drills", str(lab), "--from", "2026-12-04")
    assert said.status == 0
    first, *rest = said.out.splitlines()
    assert first == "A pair: 4 drills prove 5 claims; no fewer would do; the last on 2027-01-15"
    assert rest[0] == "The first 2 drills prove half of all claims, the first 3 four fifths."
    assert any(line.startswith("  1. 2026-12-04  ") for line in rest)
    assert "mail blinks for 40 s" in said.out


def test_what_the_plan_does_not_hold_is_status_one(tmp_path):
    """A broken aim is told first, and the status is 1."""
    path = tmp_path / "pair.yaml"
    path.write_text(f"{PAIR}  all: {{lose: node, at most: blinks, of: log}}\n", encoding="utf-8")
    said = typed("drills", str(path))
    assert said.status == 1
    assert "lose far: log falls at once ('all'): mend it before you prove it" in said.out


def test_one_drill_whole_with_the_answer(lab):
    """May it be done, what is foretold, what to do, watch, stop, put back; status 1 with a second fault."""
    said = typed("drills", str(lab), "one")
    assert said.status == 0
    for words in (
        "May it be done today: Yes",
        "foretold",
        "do ",
        "watch",
        "stop",
        "put back",
        "mind",
        "Power can kill",
    ):
        assert words in said.out
    no = typed("drills", str(lab), "one", "--out", "two")
    assert no.status == 1
    assert "May it be done today: No: the aim 'any box' would break" in no.out
    assert "Bring two back first" in no.out


def test_who_stops_early_is_told_what_stays_unproved(lab, tmp_path):
    """With --first the list, the calendar, the paper and the JSON have so many, and say what is left."""
    calendar, paper = tmp_path / "drills.ics", tmp_path / "drills.md"
    more = ("--from", "2026-12-04", "--first", "1")
    said = typed("drills", str(lab), *more, "--calendar", str(calendar), "--runbook", str(paper))
    first, _, left, *_ = said.out.splitlines()
    answer = json.loads(typed("drills", str(lab), *more, "--json").out)
    proved = answer["drills"][0]["reach"]["claims"]
    assert first == f"A pair: the first of 4 drills proves {proved} of 5 claims; the last on 2026-12-04"
    assert left == f"left  {5 - proved} claims stay unproved, none of them on data."
    assert calendar.read_text(encoding="utf-8").count("BEGIN:VEVENT") == 1
    text = paper.read_text(encoding="utf-8")
    assert f"{5 - proved} claims stay unproved" in text
    assert len(answer["left"]) == 5 - proved
    assert not set(answer["left"]) & set(answer["drills"][0]["proves"])
    assert (answer["many"], len(answer["drills"])) == (4, 1)
    fits(answer)


def test_more_than_there_are_is_all(lab):
    """With --first beyond the list nothing is cut."""
    assert typed("drills", str(lab), "--first", "99").out == typed("drills", str(lab)).out


@pytest.mark.parametrize("words", [[], ["one"], ["one", "--out", "two"], ["cold start"]])
def test_each_answer_keeps_to_its_schema(lab, words):
    """The list and a drill, in JSON, are what the schema says, and no number is without end."""
    said = typed("drills", str(lab), *words, "--json")
    answer = json.loads(said.out)
    fits(answer)
    assert answer["status"] == said.status


def test_data_at_stake_keeps_to_the_schema(tmp_path):
    """An answer with restores, data at risk and drills that wait is what the schema says."""
    path = tmp_path / "stored.yaml"
    path.write_text(STORED, encoding="utf-8")
    answer = json.loads(typed("drills", str(path), "--json").out)
    fits(answer)
    assert any(each["after"] for each in answer["drills"])


def test_calendar_and_runbook_are_written(lab, tmp_path):
    """A calendar that begins as the standard says, and the paper as text with a box to tick for each drill."""
    calendar, paper = tmp_path / "drills.ics", tmp_path / "drills.md"
    said = typed(
        "drills", str(lab), "--from", "2026-12-04", "--calendar", str(calendar), "--runbook", str(paper)
    )
    assert f"The calendar is in {calendar}." in said.out
    assert calendar.read_bytes().startswith(b"BEGIN:VCALENDAR\r\n")
    text = paper.read_text(encoding="utf-8")
    assert text.count("- [ ]") >= 4
    assert "Lose one." in text


@pytest.mark.slow
def test_the_paper_prints(lab, tmp_path):
    """The same as PDF, for letter paper too."""
    paper = tmp_path / "drills.pdf"
    assert typed("drills", str(lab), "--runbook", str(paper), "--paper", "letter").status == 0
    assert paper.read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--every", "5 minutes"], "at least a day apart"),
        (["--every", "often"], "--every: 'often' is no"),
        (["--from", "soon"], "--from 'soon' is no day"),
        (["ona"], "Did you mean 'one'"),
        (["--runbook", "drills.txt"], "drills.txt"),
        (["one", "--first", "2"], "--first is of the list"),
    ],
)
def test_a_slip_is_told_with_how_to_mend_it(lab, words, says):
    """Pace, day, name and ending: one clear line on standard error, status 2."""
    said = typed("drills", str(lab), *words)
    assert said.status == 2
    assert says in said.err
