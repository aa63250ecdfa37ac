"""Does the record tell people and programs what is in it, and refuse what it can't do?

Golden answers are written anew by: FALSEWORK_GOLDEN=write .venv/bin/python -m pytest tests/faces/cli/test_record.py
"""

import json
import os
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from tests.faces.cli.records.keeping import kept
from tests.faces.cli.typed import typed
from tests.faces.test_openmetrics import parsed
from tests.faces.test_plain import closed

from falsework.faces.answers import answers_schema

pytestmark = pytest.mark.slow

GOLDEN = Path(__file__).parent / "records"


@pytest.fixture(scope="module")
def lab(tmp_path_factory):
    """A lab with a record of three runs."""
    return kept(tmp_path_factory.mktemp("rock"))


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("whole", ()),
        ("with-a-desk-out", ("--out", "desk-2")),
        ("run-2", ("--run", "2")),
        ("run-3", ("--run", "3")),
    ],
)
def test_what_people_read_is_as_it_was(lab, name, words):
    """The answer is the golden one, its exit status included."""
    said = typed("record", str(lab), *words)
    text = f"{said.out.replace(str(lab.parent), 'FOLDER')}(exit status {said.status})\n"
    path = GOLDEN / f"{name}.txt"
    if os.environ.get("FALSEWORK_GOLDEN") == "write":
        path.write_text(text, encoding="utf-8")
    assert said.err == ""
    assert text == path.read_text(encoding="utf-8")


def test_programs_read_the_same(lab):
    """Both answers hold to the schema, every key told of, and say what people read."""
    schema = Draft202012Validator(closed(answers_schema()))
    whole = typed("record", str(lab), "--json")
    answer = json.loads(whole.out)
    schema.validate(answer)
    assert whole.status == answer["status"] == 1
    assert [run["number"] for run in answer["runs"]] == [3, 2, 1]
    assert [run["as_foretold"] for run in answer["runs"]] == [None, False, True]
    assert [(run["ended"], run["runs"]) for run in answer["runs"]] == [
        (False, False),
        (True, False),
        (True, False),
    ]
    rows = {row["of"]: row for row in answer["recovery"]}
    assert rows["mail"]["failed_in_run"] == 2
    assert rows["mail"]["proved_in_run"] == 1
    assert rows["mail"]["worst_s"] is None
    assert rows["door"]["met"] is True
    one = typed("record", str(lab), "--run", "2", "--json")
    answer = json.loads(one.out)
    schema.validate(answer)
    assert answer["status"] == one.status == 1
    assert {line["thing"]: line["sort"] for line in answer["compared"]["lines"]}["mail"] == "wrong"
    assert answer["gaps"] == [{"from_s": 60.0, "until_s": 62.0, "why": "asleep"}]
    assert json.loads(typed("record", str(lab), "--run", "3", "--json").out)["compared"] is None


def test_without_a_record_the_lab_file_speaks(lab, tmp_path):
    """No record is no fault: the lab file says what was proved, and the margin is known; and nothing is made."""
    alone = tmp_path / "rock.yaml"
    alone.write_bytes(lab.read_bytes())
    said = typed("record", str(alone))
    assert said.status == 0
    assert said.out.startswith("No run is kept yet; 2 of 4 things that must come back were never proved.")
    assert list(tmp_path.iterdir()) == [alone]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--run", "9"), "has no run 9. It has 3 runs, the newest is 3."),
        (("--record", "nowhere.record"), "there is no record 'nowhere.record'"),
        (("--run", "1", "--report", "run.doc"), "ends in neither .html nor .pdf"),
        (("--report", "run.pdf", "--paper", "a5"), "'a5' is no paper that is known"),
        (("--openmetrics", "-", "--json"), "--openmetrics goes with neither"),
        (("--record", "pyproject.toml"), "'pyproject.toml' is no record of falsework"),
    ],
)
def test_what_it_cannot_do_it_says(lab, words, says):
    """One clear error with what to do, exit status 2, and nothing written."""
    said = typed("record", str(lab), *words)
    assert said.status == 2
    assert says in said.err
    assert "Traceback" not in said.err


def test_figures_for_collectors(lab, tmp_path):
    """To a file, whole or not at all, and to standard output: the same text, of the standard's grammar."""
    file = tmp_path / "metrics.txt"
    assert typed("record", str(lab), "--openmetrics", str(file)).status == 0
    text = file.read_text(encoding="utf-8")
    assert typed("record", str(lab), "--openmetrics", "-").out == text
    told = parsed(text)
    assert told["falsework_runs"]["samples"] == {(): 3}
    assert told["falsework_aim_met"]["samples"] == {(("aim", "a quick door"),): 0}


def test_a_lab_file_that_has_changed_since_is_told(tmp_path):
    """What is foretold is what it says now, and whoever reads of an old run is told that it said something else then."""
    lab = kept(tmp_path)
    changed = "The lab file has changed since: what is foretold here is what it says now."
    assert changed not in typed("record", str(lab), "--run", "2").out
    lab.write_text(f"{lab.read_text(encoding='utf-8')}# a word more\n", encoding="utf-8")
    assert changed in typed("record", str(lab), "--run", "2").out


def test_a_report_of_a_run(lab, tmp_path):
    """One page that fetches nothing, or paper; the newest run if none is named; the same bytes each time."""
    page = tmp_path / "run.html"
    said = typed("record", str(lab), "--run", "2", "--report", str(page))
    assert said.status == 1
    assert said.out.endswith(f"The report is in {page}.\n")
    text = page.read_text(encoding="utf-8")
    assert "<script" not in text
    assert "http" not in text.replace("http://www.w3.org/2000/svg", "").replace("https://", "", 0)
    first = page.read_bytes()
    typed("record", str(lab), "--run", "2", "--report", str(page))
    assert page.read_bytes() == first
    paper = tmp_path / "run.pdf"
    assert typed("record", str(lab), "--report", str(paper)).status == 0
    assert paper.read_bytes().startswith(b"%PDF-")
