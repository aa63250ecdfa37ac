"""Does the terminal tell what drawn years say, a bad one among them, and what was drawn when it is stopped?"""

import json
from importlib import import_module
from xml.etree import ElementTree as ET

import pytest
from tests.faces.cli.typed import SHELF, typed

pytestmark = pytest.mark.slow

DRAWING = import_module("falsework.analyses.years.years")
FEW = ("--years", "200")


def test_each_service_has_its_line_and_a_bad_year_is_told():
    """The heading counts the years, a table has each service, and a story follows."""
    said = typed("years", SHELF, *FEW)
    rows = said.out.splitlines()
    assert (said.status, said.err) == (0, "")
    assert rows[0].startswith("Kitchen shelf: 200 years, seed 1")
    head = rows[2].split()
    assert head[:5] == ["mean", "50", "%", "95", "%"]
    assert {row.split()[0] for row in rows[3:6]} == {"names", "files", "pages"}
    assert any(row.startswith("A year that 95 % of years are no worse than: ") for row in rows)


def test_the_same_seed_gives_the_same_years():
    """Asked twice the answer is the same; another seed gives another."""
    first, again = typed("years", SHELF, *FEW), typed("years", SHELF, *FEW)
    other = typed("years", SHELF, *FEW, "--seed", "2")
    assert first.out == again.out != other.out


def test_a_service_that_is_named_is_told_alone():
    """The table has its line only, and the story is of a bad year of it."""
    said = typed("years", SHELF, "pages", *FEW)
    rows = said.out.splitlines()
    assert rows[3].split()[0] == "pages"
    assert not any(row.startswith("  files") for row in rows)
    assert any(row.endswith("down, pages.") for row in rows)


def test_a_precision_may_be_said_either_way():
    """`5 %` and `0.05` are the same wish."""
    percent = json.loads(typed("years", SHELF, *FEW, "--within", "90 %", "--json").out)
    share = json.loads(typed("years", SHELF, *FEW, "--within", "0.9", "--json").out)
    assert percent == share
    assert percent["within"]["wanted"] == 0.9
    assert percent["within"]["reached"] is True


def test_stopped_it_tells_what_it_has(monkeypatch):
    """Ctrl-C in the second block leaves the years of the first, status 130, and words on standard error."""
    true = DRAWING.chapter

    def stopping(known, *, seed, number, runs):
        if number == 1:
            raise KeyboardInterrupt
        return true(known, seed=seed, number=number, runs=runs)

    monkeypatch.setattr(DRAWING, "chapter", stopping)
    monkeypatch.setattr(DRAWING, "runs_in", lambda _: 10)  # of ten years each
    said = typed("years", SHELF, "--years", "150")
    assert said.status == 130
    assert "100 years, seed 1 (stopped; 150 were asked for)" in said.out
    assert said.err == "\nStopped after 100 of 150 years; the answer is of these.\n"
    answer = json.loads(typed("years", SHELF, "--years", "150", "--json").out)
    assert (answer["status"], answer["stopped"], answer["years"]) == (130, True, 100)


def test_stopped_at_once_it_has_nothing(monkeypatch, tmp_path):
    """Without a finished block there is a heading, no table, and no picture."""

    def stopping(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr(DRAWING, "chapter", stopping)
    path = tmp_path / "years.svg"
    said = typed("years", SHELF, *FEW, "--picture", str(path))
    assert said.status == 130
    assert said.out == "Kitchen shelf: No year was finished.\n"
    assert not path.exists()


def test_a_picture_is_written(tmp_path):
    """The drawing is one SVG that any reader takes, and the answer says where it is."""
    path = tmp_path / "years.svg"
    said = typed("years", SHELF, *FEW, "--picture", str(path))
    assert said.out.endswith(f"The picture is in {path}.\n")
    assert ET.parse(path).getroot().tag == "{http://www.w3.org/2000/svg}svg"


@pytest.mark.parametrize(
    ("words", "begins"),
    [
        (("years", "examples/nothing.yaml"), "there is no file or folder 'examples/nothing.yaml'."),
        (("years", SHELF, "fils"), "no service is called 'fils'. Did you mean 'files'?"),
        (("years", SHELF, "--years", "0"), "0 years can't be drawn. Ask for one or more."),
        (("years", SHELF, "--years", "-3"), "-3 years can't be drawn."),
        (("years", SHELF, "--years", "100000000000"), "100,000,000,000 years are more than "),
        (("years", SHELF, "--seed", "-1"), "--seed -1 is below nought. Give a whole number from 0 up."),
        (("years", SHELF, "--within", "0"), "a precision of 0 makes no sense."),
        (("years", SHELF, "--within", "nan"), "a precision of nan makes no sense."),
        (("years", SHELF, "--within", "soon"), "--within: "),
        (("years", SHELF, "--workers", "0"), "0 processes can't work."),
        (("years", SHELF, "--out", "hubb"), "no part is called 'hubb'"),
        (("years", SHELF, *FEW, "--picture", "docs"), "'docs' is a folder. Name a file in it."),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
def test_what_is_wrong_is_told_plainly(words, begins):
    """One line on standard error, status 2, no trace."""
    said = typed(*words)
    assert (said.status, said.out) == (2, "")
    assert said.err.startswith(begins)
    assert "defect" not in said.err
