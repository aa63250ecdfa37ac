import json

import pytest
from tests.faces.cli.typed import MENDED, SHELF, typed

from falsework.faces.cli.check import MOST_REMARKS

WITHOUT_AIMS = """\
falsework: 1
lab: Bare
machines:
  a..b: {is: node}
services:
  mail: a
"""


def lab(tmp_path, text):
    """A lab file with this text."""
    path = tmp_path / "lab.yaml"
    path.write_text(text)
    return str(path)


def test_without_aims_it_says_so(tmp_path):
    """A lab that wants nothing gets status 0 and is told to write aims."""
    said = typed("check", lab(tmp_path, WITHOUT_AIMS))
    assert said.status == 0
    assert said.out.startswith("Bare: no aims yet; write under aims what must hold\n")


def test_a_broken_aim_is_told_with_its_place_chain_and_mend(tmp_path):
    """The first thing after the headline is the broken aim, and the status is 1."""
    path = lab(tmp_path, WITHOUT_AIMS + "aims:\n  all: {lose: node, at most: blinks}\n")
    said = typed("check", path)
    assert said.status == 1
    head, blank, broken, why, mend, at, *_ = said.out.splitlines()
    assert (head, blank) == ("Bare: 0 of 1 aim met, 1 broken", "")
    assert broken == "BROKEN  all: lose a: mail falls at once"
    assert why.endswith("since a is lost")
    assert mend.startswith("        mend  ")
    assert at == f"        at    {path}:8:8"


def test_what_is_out_beforehand_is_counted_and_said():
    """With a desktop out the majority of files has nothing to spare, so the aim is broken."""
    said = typed("check", SHELF, "--out", "desk-1")
    assert said.status == 1
    assert said.out.startswith("Kitchen shelf: 0 of 1 aim met, 1 broken (with desk-1 out)\n")


def test_a_report_is_written_and_replaces_the_old_one(tmp_path):
    """The report lands where asked, whole, over an older one, and the answer says where."""
    path = tmp_path / "lab.html"
    path.write_text("old")
    said = typed("check", SHELF, "--report", str(path))
    assert said.status == 0
    assert said.out.endswith(f"The report is in {path}.\n")
    text = path.read_text(encoding="utf-8")
    assert text.lower().startswith("<!doctype html>")
    assert text.rstrip().endswith("</html>")
    assert [each.name for each in tmp_path.iterdir()] == ["lab.html"]


def test_a_report_tells_how_often_unless_that_is_left_out(tmp_path):
    """With a report every service has its bar; with --no-odds the section is gone, and years may be drawn."""
    path = tmp_path / "lab.html"
    assert typed("check", SHELF, "--report", str(path), "--years", "100").status == 0
    full = path.read_text(encoding="utf-8")
    assert 'id="chances"' in full
    assert "100 years drawn, seed 1" in full
    assert typed("check", SHELF, "--report", str(path), "--no-odds").status == 0
    assert 'id="chances"' not in path.read_text(encoding="utf-8")


def test_json_is_one_object_with_the_same_status():
    """`--json` prints one object and nothing else, and the status is in it."""
    said = typed("check", SHELF, "--json")
    answer = json.loads(said.out)
    assert (said.err, said.status, answer["status"]) == ("", 0, 0)
    assert answer["format"] == 1
    assert [aim["met"] for aim in answer["aims"]] == [True]


def test_sarif_is_one_log():
    """`--sarif` prints one log and nothing else."""
    said = typed("check", SHELF, "--sarif")
    assert json.loads(said.out)["version"] == "2.1.0"


@pytest.fixture(scope="module")
def mended():
    """The mended observatory, told in short and in full."""
    return typed("check", MENDED).out, typed("check", MENDED, "--all", "--assumed").out


def remarks(text):
    """The remarks of an answer, in their order."""
    return [line for line in text.splitlines() if line.startswith("remark  ")]


def test_the_short_answer_counts_what_it_leaves_out(mended):
    """Remarks shown and remarks counted together are all that --all shows, in the same order."""
    short, full = mended
    shown, every = remarks(short), remarks(full)
    assert len(shown) == MOST_REMARKS < len(every)
    assert shown == [each for each in every if each in shown]
    assert f"\n{len(every) - len(shown)} more remarks: " in short
    assert "more remark" not in full


def test_assumed_figures_are_listed_on_request(mended):
    """One line counts them, and --assumed gives as many, each with who says so."""
    short, full = mended
    count = int(short.split(" figures assumed; --assumed lists them.")[0].splitlines()[-1])
    listed = full.split("figures assumed; write the key")[1].splitlines()[1:]
    assert len(listed) == count
    assert all(line.startswith("  ") and line.endswith(")") for line in listed)
