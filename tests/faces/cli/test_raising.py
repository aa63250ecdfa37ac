import json
import xml.etree.ElementTree as ET

import pytest
from icalendar import Calendar
from tests.faces.cli.typed import typed
from tests.faces.handmade_raising import SHED
from tests.faces.runbook.papers import pages
from tests.faces.test_plain import valid

pytestmark = pytest.mark.slow


@pytest.fixture
def shed(tmp_path):
    """The shed's lab file."""
    path = tmp_path / "shed.yaml"
    path.write_text(SHED, encoding="utf-8")
    return path


@pytest.fixture
def bare(tmp_path):
    """A shed where the laptop stays at home."""
    path = tmp_path / "bare.yaml"
    path.write_text(SHED.partition("stand-ins:")[0], encoding="utf-8")
    return path


def test_an_order(shed):
    """From nothing the laptop raises it all; the status is 0 and nothing is written."""
    said = typed("raise", str(shed), "--from-nothing")
    assert (said.status, said.err) == (0, "")
    assert "raise the whole lab with 1 stand-in, laptop" in said.out.splitlines()[0]
    assert "cut-over from laptop" in said.out
    assert {each.name for each in shed.parent.iterdir()} == {"shed.yaml"}


def test_what_stands_needs_no_order(shed):
    """A lab that says nothing of today stands already."""
    said = typed("raise", str(shed))
    assert said.status == 0
    assert "there is nothing to raise" in said.out


def test_an_answer_for_programs(shed):
    """The answer in JSON fits its schema, and its last step leaves nothing lent."""
    said = typed("raise", str(shed), "--from-nothing", "--from", "2026-12-04", "--json", "--seconds", "5")
    answer = valid(json.loads(said.out))
    assert answer["stand_ins"]["used"] == ["laptop"]
    assert answer["moments"][-1]["lent"] == []
    assert all(not each["fragile"]["missing"] for each in answer["moments"])
    begins = [each["begins"] for each in answer["calendar"]["slots"]]
    assert begins == sorted(begins)
    assert begins[0] >= "2026-12-04"


def test_everything_that_can_be_written(shed):
    """Runbook, calendar and picture are whole files of their kinds, and all tell of the same steps."""
    at = shed.parent
    said = typed(
        *("raise", str(shed), "--from-nothing", "--from", "2026-12-04", "--seconds", "5"),
        *("--runbook", str(at / "a.pdf"), "--paper", "letter", "--calendar", str(at / "a.ics")),
        *("--picture", str(at / "a.svg")),
    )
    assert (said.status, said.err) == (0, "")
    paper = " ".join(pages((at / "a.pdf").read_bytes()))
    events = Calendar.from_ical((at / "a.ics").read_bytes()).walk("VEVENT")
    drawn = ET.fromstring((at / "a.svg").read_text(encoding="utf-8"))
    steps = [each for each in drawn.iter() if each.get("data-word") == "step"]
    assert events
    assert f"{len(steps)} steps raise the whole lab" in paper
    for name in ("a.pdf", "a.ics", "a.svg"):
        assert str(at / name) in said.out


def test_a_runbook_in_markdown_replaces_an_older_one(shed):
    """The ending says the form; a file that is there is written anew, whole."""
    path = shed.parent / "a.md"
    path.write_text("old", encoding="utf-8")
    assert typed("raise", str(shed), "--from-nothing", "--runbook", str(path)).status == 0
    text = path.read_text(encoding="utf-8")
    assert text.startswith("# Puffin Shed: Order of work\n")
    assert "old" not in text.split()


def test_no_order(bare):
    """Without the laptop the circle is told, the status is 1, and no runbook is written."""
    path = bare.parent / "a.pdf"
    said = typed("raise", str(bare), "--from-nothing", "--runbook", str(path))
    assert said.status == 1
    assert "no order of work raises" in said.out
    assert "Each waits for the next: " in said.out
    assert "No runbook was written" in said.out
    assert not path.exists()


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (
            ("--from", "2026-13-01"),
            "--from '2026-13-01' is no day. Write year, month and day, as in 2026-12-04.",
        ),
        (("--seconds", "0"), "--seconds 0 is no time to look for an order"),
        (("--seconds", "inf"), "--seconds inf is no time to look for an order"),
        (("--runbook", "a.txt"), "'a.txt' ends in neither .pdf nor .md"),
        (("--runbook", "a.pdf", "--paper", "a5"), "'a5' is no paper that is known. Known: a4 and letter."),
    ],
)
def test_what_can_not_be_asked(shed, words, told):
    """Each slip is told with its mend before any work, and the status is 2."""
    said = typed("raise", str(shed), *words)
    assert said.status == 2
    assert told in said.err
