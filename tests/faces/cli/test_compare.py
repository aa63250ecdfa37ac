"""Do `falsework compare` and `falsework learn` say how drills went, and write only on the owner's word?"""

from __future__ import annotations

import json
import re

import pytest
from tests.faces.cli.typed import typed
from tests.faces.test_plain import valid
from tests.recording import recorded

pytestmark = pytest.mark.slow  # whole commands

LAB = """\
falsework: 1
lab: Two desks
machines:
  n1..3: node
services:
  names: {on: [n1, n3]}       # the first to look at
  mail:  {on: [n1, n2], takes over: 40 s}
  wiki:  {on: n2, needs: [names for 10 min]}
probes:
  p1: {asks: ping 10.0.0.1, sees: names}
  p2: {asks: ping 10.0.0.2, sees: mail}
  p3: {asks: ping 10.0.0.3, sees: wiki}
drills:
  pull n1: n1
"""


@pytest.fixture
def lab(tmp_path):
    """A lab file on disk, whose record holds a drill that went as foretold and one that did not."""
    path = tmp_path / "lab.yaml"
    path.write_text(LAB, encoding="utf-8")
    recorded(path, ["n1"], {"p2": [(10, 41)]}, drill="pull n1")
    recorded(path, ["n1"], {"p2": [(10, 50)], "p3": [(10, 135)]}, drill="pull n1", began=1_795_688_512.0)
    return path


def test_a_drill_that_went_as_foretold(lab):
    """Short answer first, then each service that had a part in it; nothing offered, status 0."""
    said = typed("compare", str(lab), "--run", "1")
    assert said.status == 0
    rows = said.out.splitlines()
    assert rows[0] == "Two desks, run 1, pull n1: n1 taken out; all that was seen went as foretold"
    assert rows[2].startswith("as foretold  mail fell at once and was back 31 s later, as foretold: ")
    assert rows[3] == "as foretold  names and wiki stood"
    assert "change 1" not in said.out
    assert "has changed since" not in said.out


def test_a_drill_that_went_otherwise(lab):
    """What was wrong comes first, then changes that would explain it, and how to write one; status 1."""
    said = typed("compare", str(lab), "--diff")
    assert said.status == 1
    rows = said.out.splitlines()
    assert (
        rows[0] == "Two desks, run 2, pull n1: n1 taken out; 1 of 3 things seen did otherwise than foretold"
    )
    assert rows[2].startswith(
        "wrong        wiki fell at once and was out for the remaining 2 min; foretold: it stands"
    )
    assert "change 1  let wiki need" in said.out
    assert "earlier 1 other run would be less as foretold then" in said.out
    assert "+  wiki:  {on: n2, needs: [names for 10 min, " in said.out
    assert f"falsework compare {lab} --offer 1 --write" in said.out
    assert lab.read_text(encoding="utf-8") == LAB


def test_what_is_written_is_what_was_offered(lab):
    """The file changes by that one need, the comment stays, and the drill is as foretold then."""
    offer = json.loads(typed("compare", str(lab), "--json").out)["runs"][0]["offers"][1]
    said = typed("compare", str(lab), "--run", "2", "--offer", "2", "--write")
    assert f"Written: {lab}." in said.out
    text = lab.read_text(encoding="utf-8")
    assert re.findall("#.*", text) == re.findall("#.*", LAB)
    assert offer["difference"].split("+  ")[1].splitlines()[0] in text
    again = typed("compare", str(lab), "--run", "2")
    assert again.status == 0
    assert again.out.splitlines()[1] == "The lab file has changed since then; it is compared as it is now."


def test_of_many_runs_each_says_how_its_own_change_is_written(lab):
    """The command under a run names that run, and not the newest."""
    recorded(lab, ["n1"], {"p2": [(10, 41)]}, drill="pull n1", began=1_795_698_512.0)
    said = typed("compare", str(lab), "--all")
    assert [row.split("--run ")[1] for row in said.out.splitlines() if row.startswith("write ")] == [
        "2 --offer 1 --write"
    ]
    assert f"Written: {lab}." in typed("compare", str(lab), "--run", "2", "--offer", "1", "--write").out


def test_all_drills_as_json(lab):
    """Both runs, as the schema says; what explains the second is in it."""
    answer = valid(json.loads(typed("compare", str(lab), "--all", "--json").out))
    assert [
        (run["compared"]["run"], run["compared"]["as_foretold"], bool(run["offers"]))
        for run in answer["runs"]
    ] == [
        (1, True, False),
        (2, False, True),
    ]
    assert (answer["status"], answer["written"]) == (1, None)


def test_a_cold_start_is_a_drill_too(lab):
    """Nothing is taken out in it by name, and it is the newest drill all the same."""
    down = {"p1": [(5, 125)], "p2": [(5, 125)], "p3": [(5, 125)]}
    recorded(lab, [], down, drill="cold start", tries="cold start", began=1_795_698_512.0)
    said = typed("compare", str(lab))
    assert said.out.startswith("Two desks, run 3, cold start: all of it off and on again; ")
    answer = json.loads(typed("compare", str(lab), "--all", "--json").out)
    assert [run["compared"]["run"] for run in answer["runs"]] == [1, 2, 3]


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("--run", "9"), "no run 9 is in"),
        (("--offer", "99", "--write"), "there is no offer 99"),
        (("--all", "--write"), "--write wants one run"),
        (("--record", "nowhere.record"), "nowhere.record"),
    ],
)
def test_questions_without_an_answer(lab, words, message):
    """Each says what is wrong; status 2, and nothing is written."""
    said = typed("compare", str(lab), *words)
    assert (said.status, said.out) == (2, "")
    assert message in said.err
    assert lab.read_text(encoding="utf-8") == LAB


def test_a_record_without_a_drill(tmp_path):
    """Who only watched is told what to do first; asked for by its number, the run says why nothing is judged."""
    path = tmp_path / "lab.yaml"
    path.write_text(LAB, encoding="utf-8")
    recorded(path, [], {}, tries="", marks=False)
    said = typed("compare", str(path))
    assert said.status == 2
    assert "Do one with `falsework drill`" in said.err
    said = typed("compare", str(path), "--run", "1")
    assert (said.status, said.out.splitlines()[-1]) == (0, "nothing to compare: nothing was taken out in it")


def test_a_part_that_is_gone_from_the_file(lab):
    """A run about a node that was renamed since: an error that names it, and no trace."""
    lab.write_text(
        LAB.replace("n1..3: node", "m1: node\n  n2..3: node").replace("n1", "m1"), encoding="utf-8"
    )
    said = typed("compare", str(lab), "--run", "1")
    assert said.status == 2
    assert "no part is called 'n1'" in said.err


def test_what_drills_taught_is_shown(lab):
    """The figure before and after, what it rests on, days of proof; nothing is written."""
    said = typed("learn", str(lab), "--all")
    assert said.status == 0
    assert said.out.splitlines()[0] == (
        "Two desks: 2 runs teach 1 figure, 3 days of proof and 1 share of stumbles"
    )
    assert "time      mail, takes over: 40 s written becomes 38 s" in said.out
    assert "rests on 2 measured times, and what was written counts as 4" in said.out
    assert "passed    run 2, wiki: it fell though it should stand: mend the plan first" in said.out
    assert lab.read_text(encoding="utf-8") == LAB


def test_what_drills_taught_is_written_once(lab):
    """On the owner's word the file has it, and the next check works with it; again there is nothing new."""
    said = typed("learn", str(lab), "--write")
    assert f"Written: {lab}." in said.out
    text = lab.read_text(encoding="utf-8")
    assert re.findall("#.*", text) == re.findall("#.*", LAB)
    assert "timed: {takes over: [31 s on " in text
    assert "mail blinks for 38 s" in typed("lose", str(lab), "n1").out
    again = typed("learn", str(lab), "--write")
    assert again.out.splitlines()[0] == "Two desks: 2 runs in the record, and nothing new"
    assert lab.read_text(encoding="utf-8") == text


def test_what_drills_taught_as_json(lab):
    """As the schema says: measured times with their runs, and what is left out."""
    answer = valid(json.loads(typed("learn", str(lab), "--json").out))
    (update,) = answer["updates"]
    assert (update["thing"], update["key"], update["before_s"], update["counts_as"]) == (
        "mail",
        "takes over",
        40.0,
        4.0,
    )
    assert [each["run"] for each in update["new"]] == [1, 2]
    assert answer["written"] == []
    assert "+  mail:" in answer["difference"]
