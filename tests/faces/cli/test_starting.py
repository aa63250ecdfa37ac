import json

import pytest
from tests.faces.cli.typed import DRAFT, MENDED, SHELF, typed
from tests.faces.test_plain import valid

pytestmark = pytest.mark.slow

SHORT = "tests/labs/traps/14-battery-too-short/base.yaml"
OFF = "tests/labs/traps/15-stays-off/base.yaml"


def test_all_comes_back():
    """How long it takes, then what is up by when, earliest first."""
    said = typed("cold-start", MENDED)
    assert (said.status, said.err) == (0, "")
    assert said.out.splitlines()[0] == "Gannet Rock: all is up 9 min 2 s after the power is back"
    assert said.out.index("cliff-1") < said.out.index("certs")


@pytest.mark.slow
def test_what_stays_down_and_why():
    """What is stuck, and what for: a circle, a box that stays off."""
    said = typed("cold-start", DRAFT)
    assert said.status == 1
    assert "stay down" in said.out.splitlines()[0]
    assert "keep.x stays off until switched on by hand" in said.out
    assert "each waits for the next:" in said.out


def test_with_hands_more_comes_back():
    """What stays off is switched on by those who are there."""
    alone, helped = typed("cold-start", OFF), typed("cold-start", OFF, "--hands")
    assert alone.status == 1
    assert "stays off until switched on by hand" in alone.out
    assert "stays off until switched on by hand" not in helped.out.splitlines()[0]


def test_a_battery_that_is_too_short():
    """By how much, what would be cut hard, the latest signal, never rounded up, and the caution."""
    said = typed("shutdown", SHORT)
    assert said.status == 1
    assert "3 min too short" in said.out.splitlines()[0]
    assert "signal after 2 min at the latest" in said.out
    assert "electrical codes" in said.out


def test_a_lab_without_a_battery_that_signals():
    """That is said, with how to mend it; nothing is wrong."""
    said = typed("shutdown", SHELF)
    assert said.status == 0
    assert "no battery says when it signals" in said.out


@pytest.mark.parametrize(
    "words",
    [
        ("cold-start", MENDED),
        ("cold-start", DRAFT),
        ("cold-start", MENDED, "--hands", "--no-outside"),
        ("shutdown", DRAFT),
        ("shutdown", SHELF),
    ],
)
def test_answers_fit_their_schema(words):
    """In JSON everything is there, as the schema says."""
    said = typed(*words, "--json")
    answer = valid(json.loads(said.out))
    assert (answer["command"], answer["status"]) == (words[0], said.status)


@pytest.mark.parametrize(
    ("command", "says"), [("cold-start", "What is up by when"), ("shutdown", "Stop twin-1.a")]
)
def test_a_sheet_to_work_from(tmp_path, command, says):
    """The start sheet and the stop sheet, as Markdown and as PDF; another ending is refused before any work."""
    sheet = tmp_path / "sheet.md"
    assert typed(command, MENDED, "--runbook", str(sheet)).out.endswith(f"sheet is in {sheet}.\n")
    assert says in sheet.read_text(encoding="utf-8")
    paper = tmp_path / "sheet.pdf"
    typed(command, MENDED, "--runbook", str(paper))
    assert paper.read_bytes().startswith(b"%PDF")
    assert typed(command, MENDED, "--runbook", str(tmp_path / "sheet.txt")).status == 2
