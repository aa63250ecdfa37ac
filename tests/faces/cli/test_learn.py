"""Does `falsework learn` take over what somebody tells, ask what only they know, and count what did not happen?"""

from __future__ import annotations

import json

import pytest
from tests.faces.cli.typed import typed
from tests.faces.test_plain import valid
from tests.recording import recorded

pytestmark = pytest.mark.slow  # whole commands

LAB = """\
falsework: 1
lab: Two desks
kinds: {disk: {is: drive, size: 4 TB, speed: 1.28 Gb/s}}
machines:
  n1: {is: node, drives: 2 disk}       # by the window
  n2: node
stores:
  pair: {drives: n1.d*, layout: mirror}
services:
  mail:  {on: [n1, n2], takes over: 40 s}
probes:
  p1: {asks: ping 10.0.0.1, sees: n2}
  p2: {asks: ping 10.0.0.2, sees: mail}
  pair is whole: {asks: command ./whole pair, whole: pair, every: 1 s}
drills:
  pull n1: n1
"""
REBUILD = "pair: rebuilds in 9 h on 2026-11-26 14:30"


@pytest.fixture
def lab(tmp_path):
    """A lab file on disk, without a record."""
    path = tmp_path / "lab.yaml"
    path.write_text(LAB, encoding="utf-8")
    return path


def test_what_is_told_needs_no_record(lab):
    """The figure before and after, what it rests on, and how it is written; then it is, once."""
    said = typed("learn", str(lab), "--took", REBUILD)
    rows = said.out.splitlines()
    assert said.status == 0
    assert rows[0] == "Two desks: what you told teaches 1 figure"
    assert rows[2:4] == [
        "time      pair, rebuilds in: 14 h worked out becomes 9 h 22 min",
        "          measured  9 h on 2026-11-26 14:30 (told)",
    ]
    assert "what was worked out counts as 0.1" in said.out
    assert f"falsework learn {lab} --took '{REBUILD}' --write" in " ".join(said.out.split())
    assert lab.read_text(encoding="utf-8") == LAB
    typed("learn", str(lab), "--took", REBUILD, "--write")
    text = lab.read_text(encoding="utf-8")
    assert "layout: mirror, timed: {rebuilds in: [9 h on 2026-11-26 14:30]}}" in text
    assert "# by the window" in text
    again = typed("learn", str(lab), "--took", REBUILD, "--write", "--all")
    assert "told, pair: a time of 2026-11-26 14:30 is known already" in again.out
    assert lab.read_text(encoding="utf-8") == text


def test_what_is_told_as_json(lab):
    """As the schema says: no run, and what it was worked out to be."""
    answer = valid(json.loads(typed("learn", str(lab), "--took", REBUILD, "--json").out))
    (update,) = answer["updates"]
    assert (update["source"], update["counts_as"], update["before_s"]) == ("worked out", 0.1, 50_000.0)
    assert [each["run"] for each in update["new"]] == [None]


def test_without_a_record_and_with_nothing_told(lab):
    """As before: there is nothing to learn from, and it is an error."""
    said = typed("learn", str(lab))
    assert (said.status, said.out) == (2, "")
    assert "there is no record" in said.err


@pytest.mark.parametrize(
    "text", ["pair", "par: rebuilds in 9 h on 2026-11-26", "pair: rebuilds in 9 h", "pair: 9 h"]
)
def test_what_tells_no_time_is_an_error(lab, text):
    """Status 2, one message, nothing written."""
    said = typed("learn", str(lab), "--took", text, "--write")
    assert (said.status, said.out) == (2, "")
    assert said.err.count("\n") == 1
    assert lab.read_text(encoding="utf-8") == LAB


def test_what_only_the_owner_knows_is_asked(lab):
    """A machine and a store were seen from outside: how much of that was the repair, and the rebuild, is asked."""
    recorded(lab, [], {"p1": [(10, 100)], "pair is whole": [(20, 120)]}, tries="", marks=False)
    said = typed("learn", str(lab))
    asks = [row for row in said.out.splitlines() if row.startswith("ask ")]
    assert [row.split(":")[0] for row in asks] == ["ask       n2, mends in", "ask       pair, rebuilds in"]
    assert f"tell falsework learn {lab} --took 'n2: mends in TIME on " in " ".join(said.out.split())
    answer = valid(json.loads(typed("learn", str(lab), "--json").out))
    on = answer["asks"][1]["on"]
    told = typed("learn", str(lab), "--took", f"pair: rebuilds in 30 s on {on}", "--json")
    assert [each["thing"] for each in json.loads(told.out)["asks"]] == ["n2"]
    longer = typed("learn", str(lab), "--took", f"pair: rebuilds in 3 h on {on}")
    assert (longer.status, longer.out) == (2, "")
    assert "run 1 saw all of it over after" in longer.err


def test_take_overs_that_did_not_happen_are_counted(lab):
    """Two of three: the share before and after, what it rests on, and what the next check assumes."""
    for number, until_s in enumerate((41, 135, 135)):
        recorded(lab, ["n1"], {"p2": [(10, until_s)]}, drill="pull n1", began=1_795_678_512.0 + 1000 * number)
    said = typed("learn", str(lab))
    assert "share     mail, stumbles: 1..5 % assumed becomes " in said.out
    assert "2 of 3 take-overs or restarts did not happen (runs 1, 2 and 3)" in " ".join(said.out.split())
    assert "mind      look into each that did not" in said.out
    assert "rests on 3 that were counted, and what was assumed counts as 1 of 37.3" in " ".join(
        said.out.split()
    )
    (share,) = valid(json.loads(typed("learn", str(lab), "--write", "--json").out))["stumbles"]
    assert (share["failed"], share["of"], share["runs"]) == (2, 3, [1, 2, 3])
    assert share["mean"] == pytest.approx(3 / (share["counts_as"]["of"] + 3))
    assert share["stumbled"] in lab.read_text(encoding="utf-8")
    checked = " ".join(typed("check", str(lab), "--assumed").out.split())
    assert "2 of 3 counted; the 1..5 % of what is assumed counts as 1 of 37.3" in checked


def test_of_many_outages_the_newest_are_asked_about(lab):
    """More at once nobody answers; --all shows them."""
    times = [(100 * each, 100 * each + 60) for each in range(1, 8)]
    recorded(lab, [], {"p1": times}, tries="", marks=False, until_s=900.0)
    short, whole = typed("learn", str(lab)).out, typed("learn", str(lab), "--all").out
    assert short.count("ask       n2, mends in") == 5
    assert "2 more to ask; --all shows them." in short
    assert whole.count("ask       n2, mends in") == 7
