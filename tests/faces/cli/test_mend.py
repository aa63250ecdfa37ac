"""Are edits listed, shown as a difference, and written on the owner's word alone?"""

import json
import re

from tests.faces.cli.typed import typed
from tests.faces.test_plain import valid

from falsework.findings.finding import POWER_CAUTION

TWO = """\
falsework: 1
lab: Two cords   # ours
power: {A: {is: strip}, B: {is: strip}}
machines:
  n1: {is: node, fed by: A, supplies: 2}   # the other cord is too short
  n2: {is: node, fed by: A, supplies: 2}
services:
  web: {on: [n1, n2], takes over: 20 s}
aims:
  a strip may go: {lose: strip, at most: blinks}
"""


def lab(tmp_path, text=TWO):
    """A lab file on disk."""
    path = tmp_path / "lab.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def keys(said):
    """The keys that an answer lists."""
    return re.findall(r"^ +key +(\S+)$", said.out, re.MULTILINE)


def test_all_findings_are_listed_and_nothing_is_tried(tmp_path):
    """Every finding with its key and how to try, or why there is nothing to; status 0."""
    path = lab(tmp_path)
    said = typed("mend", str(path))
    assert said.status == 0
    assert said.out.splitlines()[0] == "Two cords: there are edits to try for 1 of 2 findings"
    assert f"try   falsework mend {path} {keys(said)[0]}" in said.out
    assert "none  only a drill proves it: an edit that claims one would be a lie" in said.out
    assert "feed n1" not in said.out
    answer = valid(json.loads(typed("mend", str(path), "--json").out))
    assert [(each["tried"], each["offers"], bool(each["none"])) for each in answer["findings"]] == [
        (False, [], False),
        (False, [], True),
    ]


def test_all_findings_with_what_is_offered(tmp_path):
    """Every finding with its key, its edits with what they take and do, or why there is none; status 0."""
    said = typed("mend", str(lab(tmp_path)), "--all")
    assert said.status == 0
    assert said.out.splitlines()[0] == "Two cords: edits are offered for 1 of 2 findings"
    assert [each.rsplit("-", 1)[0] for each in keys(said)] == ["aim-broken-a", "never-proved-web"]
    assert "edit 1  feed n1 from B too" in said.out
    assert "takes   one of its cords reaches B" in said.out
    assert "met     a strip may go is met then" in said.out
    assert f"mind    {POWER_CAUTION}" in said.out
    assert "none  only a drill proves it: an edit that claims one would be a lie" in said.out
    assert "@@" not in said.out


def test_one_is_shown_as_a_difference_and_nothing_is_written(tmp_path):
    """With --diff the lines that change are shown; the file stays as it is."""
    path = lab(tmp_path)
    said = typed("mend", str(path), "aim-broken", "--diff")
    assert said.status == 0
    assert "\n-  n1: {is: node, fed by: A, supplies: 2}   # the other cord is too short\n" in said.out
    assert "\n+  n1: {is: node, fed by: [A, B], supplies: 2}   # the other cord is too short\n" in said.out
    assert path.read_text(encoding="utf-8") == TWO


def test_one_is_written(tmp_path):
    """With --write the file says so, comments and order kept; then the finding is gone, and the aim is met."""
    path = lab(tmp_path)
    said = typed("mend", str(path), "aim-broken", "--offer", "2", "--write")
    assert said.status == 0
    assert f"Written: {path}." in said.out
    text = path.read_text(encoding="utf-8")
    assert text == TWO.replace("  n2: {is: node, fed by: A,", "  n2: {is: node, fed by: [A, B],")
    assert typed("check", str(path)).status == 0


def test_nothing_is_offered(tmp_path):
    """A finding that no words mend has status 1, and says why."""
    said = typed("mend", str(lab(tmp_path)), "never-proved")
    assert said.status == 1
    assert "edits are offered for 0 of 1 finding" in said.out


def test_what_can_not_be_asked(tmp_path):
    """A key that nothing has, an offer that is not there, and --write of several are refused with a way out."""
    path = str(lab(tmp_path))
    unknown = typed("mend", path, "aim-brokn")
    assert (unknown.status, "no finding has the key 'aim-brokn'" in unknown.err) == (2, True)
    beyond = typed("mend", path, "aim-broken", "--offer", "9", "--write")
    assert (beyond.status, "there is no offer 9" in beyond.err) == (2, True)
    several = typed("mend", path, "--write")
    assert (several.status, "--write wants one finding" in several.err) == (2, True)
    nought = typed("mend", path, "--offer", "0")
    assert nought.status == 2
    twice = typed("mend", str(lab(tmp_path, TWO.replace("fed by: A", "fed by: B"))), "")
    assert (twice.status, "several findings begin with ''" in twice.err) == (2, True)


def test_the_answer_for_programs(tmp_path):
    """The JSON answer fits its schema and has the same offers, the difference included; what was written is told."""
    path = lab(tmp_path)
    said = typed("mend", str(path), "--all", "--json")
    answer = valid(json.loads(said.out))
    assert [each["finding"]["code"] for each in answer["findings"]] == ["aim broken", "never proved"]
    first = answer["findings"][0]["offers"][0]
    assert first["says"] == "feed n1 from B too"
    assert first["met"] == ["a strip may go"]
    assert first["files"] == [str(path)]
    assert "+  n1: {is: node, fed by: [A, B], supplies: 2}" in first["difference"]
    assert answer["written"] == []
    key = answer["findings"][0]["finding"]["key"]
    written = valid(json.loads(typed("mend", str(path), key, "--write", "--json").out))
    assert written["written"] == [{"finding": key, "offer": 1}]
    assert "fed by: [A, B]" in path.read_text(encoding="utf-8")


def test_a_lab_with_nothing_to_mend(tmp_path):
    """It says so in one line."""
    said = typed("mend", str(lab(tmp_path, "falsework: 1\nlab: x\nmachines: {n1: {is: node}}\n")))
    assert (said.status, said.out) == (0, "x: nothing to mend\n")
