"""Does the sheet of the build tell what the five commands tell, and leave papers to take home?"""

import datetime

import pytest
from tests.faces.page.sheets import (
    HOSTILE,
    KITCHEN,
    LONELY,
    MENDED,
    answered,
    hold_to_the_page,
    lab,
    made,
    read,
    said,
)

from falsework.errors import QuestionError
from falsework.faces.cli import cold_start, loops, raising, rebuild, shutdown
from falsework.faces.page.build_work import work, work_order, work_paper

BARE = "examples/observatory/bare.yaml"
DAY = datetime.date(2026, 12, 4)
COMMANDS = {
    "loops": (loops.loops_of, loops.Asked),
    "cold-start": (cold_start.start_cold, cold_start.Asked),
    "shutdown": (shutdown.shut_down, shutdown.Asked),
    "rebuild": (rebuild.rebuild_lab, rebuild.Asked),
}
slow = pytest.mark.slow


@pytest.mark.parametrize("name", COMMANDS)
@pytest.mark.parametrize("of", [KITCHEN, pytest.param(MENDED, marks=slow)])
def test_answers_are_those_of_the_commands(of, name, capsys):
    """Programs get from the page what they get from the command line, word for word."""
    command, asked = COMMANDS[name]
    assert made(work, of).answers[name] == answered(command, asked(lab=lab(of)), capsys)


@pytest.mark.parametrize(
    ("of", "from_nothing", "begins"),
    [
        (KITCHEN, False, None),
        (KITCHEN, True, None),
        (KITCHEN, True, DAY),
        pytest.param(BARE, False, None, marks=slow),
    ],
)
def test_the_order_is_that_of_raise(of, from_nothing, begins, capsys):
    """From today, from bare parts and on the calendar: the answer is that of the command."""
    found = made(work_order, of, from_nothing=from_nothing, begins=begins).answers["raise"]
    asked = raising.Asked(
        lab=lab(of), from_nothing=from_nothing, from_=begins.isoformat() if begins else None
    )
    assert found == answered(raising.raise_lab, asked, capsys)


@pytest.mark.parametrize("of", [KITCHEN, LONELY, HOSTILE, pytest.param(MENDED, marks=slow)])
def test_the_sheet_is_whole_and_harmless(of):
    """Everything closes and nothing runs, whatever the names in the lab are."""
    hold_to_the_page(made(work, of).html)
    hold_to_the_page(made(work_order, of).html)
    hold_to_the_page(made(work_order, of, from_nothing=True).html)


def test_every_step_has_a_square_to_tick():
    """The order of work is told step by step, each with a check and a way to tick it off."""
    found = made(work_order, KITCHEN, from_nothing=True)
    steps = found.answers["raise"]["steps"]
    assert len(steps) > 3
    attributes = read(found.html).attributes
    assert attributes.count(("type", "checkbox")) == len(steps)
    text = said(found.html)
    assert "The order of work" in text
    assert "check" in text
    assert "local electrical codes" in text


def test_nothing_to_raise_leads_to_bare_parts():
    """Where everything stands, the sheet says so and names the key that says what is there."""
    text = said(made(work_order, KITCHEN).html)
    assert "Everything stands already" in text
    assert "today" in text


def test_start_stop_and_rebuild_are_told():
    """Cold start, stop and rebuild each have their heading, their words and their papers."""
    found = made(work, KITCHEN)
    text = said(found.html)
    for words in ("Cold start", "Stop on battery", "Taken down and made again", "What waits for each other"):
        assert words in text
    links = [value for key, value in read(found.html).attributes if key == "href"]
    assert {"/build/cold-start.pdf", "/build/rebuild.md"} <= set(links)


def test_without_a_battery_that_signals_the_keys_are_named():
    """A lab whose machines are never told to stop is told what to write."""
    assert "signals at: 5 min" in said(made(work, LONELY).html)


@pytest.mark.parametrize(
    ("name", "begins_with"),
    [
        ("runbook.pdf", b"%PDF"),
        ("runbook.md", b"# "),
        ("calendar.ics", b"BEGIN:VCALENDAR"),
        ("cold-start.pdf", b"%PDF"),
        ("stop.md", b"# "),
        ("rebuild.md", b"# "),
    ],
)
def test_papers_can_be_taken_home(name, begins_with):
    """Each paper is made on request, in the form that its ending says."""
    found = made(work_paper, KITCHEN, name=name, from_nothing=True)
    assert found.files[name].startswith(begins_with)


def test_papers_are_those_of_the_command(tmp_path):
    """The runbook in Markdown is byte for byte what the command writes for the same day."""
    path = tmp_path / "runbook.md"
    raising.raise_lab(raising.Asked(lab=lab(KITCHEN), from_nothing=True, from_=DAY.isoformat(), runbook=path))
    found = made(work_paper, KITCHEN, name="runbook.md", from_nothing=True, begins=DAY)
    assert found.files["runbook.md"] == path.read_bytes()
    assert made(work_order, KITCHEN, from_nothing=True, begins=DAY).files["runbook.md"] == path.read_bytes()


@pytest.mark.parametrize("name", ["letter.pdf", "runbook.txt", "../lab.yaml"])
def test_what_is_no_paper_is_refused(name):
    """Other names and other endings are told what there is."""
    with pytest.raises(QuestionError):
        made(work_paper, KITCHEN, name=name, from_nothing=True)


def test_a_paper_without_steps_is_refused():
    """Where nothing is left to raise there is no runbook of it."""
    with pytest.raises(QuestionError, match="no step"):
        made(work_paper, KITCHEN, name="runbook.md")


def test_a_file_that_changed_meanwhile_is_refused():
    """A job for one state of the file tells nothing of another."""
    for each in (work, work_order):
        with pytest.raises(QuestionError, match="changed"):
            each(str(lab(KITCHEN)), "another", (), lambda what, done, of: None)
