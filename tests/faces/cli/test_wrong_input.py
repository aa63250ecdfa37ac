"""Does whatever is wrong get a plain sentence that says how to mend it, and never a trace of our own inside?"""

import json

import pytest
from tests.faces.cli.typed import SHELF, typed

from falsework.faces.answers import answers_schema

CASES = {
    "missing file": (
        ("check", "examples/nothing.yaml"),
        "there is no file or folder 'examples/nothing.yaml'.",
    ),
    "folder without a lab": (
        ("check", "docs"),
        "the folder 'docs' has no lab file in it. Put a file in it whose name ends in .yaml, "
        "or name another folder.",
    ),
    "unknown part beforehand": (("check", SHELF, "--out", "dsk-1"), "no part is called 'dsk-1'"),
    "unknown part lost": (("lose", SHELF, "hubb"), "no part is called 'hubb'"),
    "a service can't be lost": (("lose", SHELF, "files"), "'files' is no part that can be lost"),
    "unknown part in a reason": (("why", SHELF, "files", "--lose", "hubb"), "no part is called 'hubb'"),
    "unknown thing": (("why", SHELF, "fils"), "nothing in the lab is called 'fils'. Did you mean 'files'?"),
    "unknown thing far from all": (
        ("why", SHELF, "zzz"),
        "nothing in the lab is called 'zzz'. Services: names, files, pages.",
    ),
    "two outputs": (
        ("check", SHELF, "--json", "--sarif"),
        "--json and --sarif both want the output. Ask for one of them.",
    ),
    "years without a report": (
        ("check", SHELF, "--years", "100"),
        "--years are drawn for the report, and none is asked for. Add --report FILE, or ask `falsework years`.",
    ),
    "no place for the report": (
        ("check", SHELF, "--report", "nowhere/lab.html"),
        "'nowhere/lab.html' cannot be written (no such file or directory).",
    ),
    "a folder for the picture": (
        ("lose", SHELF, "hub", "--picture", "docs"),
        "'docs' is a folder. Name a file in it.",
    ),
    "unknown schema": (("schema", "answer"), "there is no schema of 'answer'. Did you mean 'answers'?"),
}


@pytest.mark.parametrize("case", CASES)
def test_it_is_told_plainly(case):
    """One line on standard error, status 2, and no trace."""
    words, begins = CASES[case]
    said = typed(*words)
    assert said.status == 2
    assert said.err.startswith(begins)
    assert said.err.count("\n") == 1
    assert "defect" not in said.err


@pytest.mark.parametrize("wrong", ["hubb", "dsk-1"])
def test_the_nearest_part_is_named(wrong):
    """A slip in a part's name gets the part that was meant."""
    meant = {"hubb": "hub", "dsk-1": "desk-1"}[wrong]
    assert f"did you mean '{meant}'" in typed("lose", SHELF, wrong).err.lower()


def test_a_file_that_is_no_text_is_told_with_its_place(tmp_path):
    """Of a binary file one learns where the first byte is that no text has."""
    path = tmp_path / "lab.yaml"
    path.write_bytes(b"lab: x\n\x00\x01")
    said = typed("check", str(path))
    assert said.status == 2
    assert said.err == (
        f"{path}:2:1: the file is not text: it holds a zero byte. Name a lab file, which is YAML text.\n"
    )


def test_every_fault_comes_at_once_each_on_its_line(tmp_path):
    """Two faults are two lines, each with its place."""
    path = tmp_path / "lab.yaml"
    path.write_text("falsework: 1\nlab: x\nservices:\n  a: {on: nobody}\n  b: {onn: c}\n")
    said = typed("check", str(path))
    assert said.status == 2
    places = [line.split(": ")[0].split(" (")[0] for line in said.err.splitlines()]
    assert f"{path}:4:11" in places
    assert any(place.startswith(f"{path}:5:") for place in places)


@pytest.mark.parametrize(
    "words",
    [("check", "nothing.yaml"), ("lose", SHELF, "hubb"), ("why", SHELF, "fils")],
    ids=lambda words: words[0],
)
def test_with_json_an_error_is_json_too(words):
    """A program gets the same error as one object that its schema takes, and people still read it."""
    jsonschema = pytest.importorskip("jsonschema")
    said = typed(*words, "--json")
    answer = json.loads(said.out)
    jsonschema.Draft202012Validator(answers_schema()).validate(answer)
    assert (said.status, answer["status"], answer["command"]) == (2, 2, words[0])
    assert answer["errors"][0]["what"] in said.err
