"""Does the sheet of places tell what `room` and `place` tell?"""

import json
from pathlib import Path

import pytest
from tests.faces.cli.test_placing import CROWD, LAB
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
from falsework.faces.cli import placing, room
from falsework.faces.page.places_work import CHANGE, work, work_search
from falsework.faces.page.saving import digest

SECONDS = 60
NAMES = """falsework: 1
lab: "<i>shelf</i>"
machines:
  "<b>one</b>": {is: node, memory: 16 GiB}
  "two & \\"more\\"": {is: node, memory: 16 GiB}
pools:
  shelf: {hosts: ["<b>one</b>", "two & \\"more\\""]}
services:
  "<script>": {on: shelf, copies: 2, apart: not, takes: {memory: 4 GiB}, placed: ["<b>one</b>", "<b>one</b>"]}
aims:
  "{{ 7*7 }}": {lose: node, of: "<script>", at most: thin}
"""


@pytest.mark.parametrize("of", [MENDED, KITCHEN, LAB])
def test_answers_are_those_of_room(of, capsys):
    """Room after each loss is told to programs as the command line tells it."""
    assert made(work, of).answers["room"] == answered(room.look_for_room, room.Asked(lab=lab(of)), capsys)


@pytest.mark.parametrize("of", [LAB, CROWD, KITCHEN])
def test_answers_are_those_of_place(of, capsys):
    """A placement that is the best there is, is told as the command line tells it, with the difference and without."""
    found = made(work_search, of, seconds=SECONDS).answers
    asked = placing.Asked(lab=lab(of), seconds=SECONDS)
    assert timeless(found["place"]) == timeless(answered(placing.place, asked, capsys))
    more = placing.Asked(lab=lab(of), seconds=SECONDS, diff=True)
    assert timeless(found["place --diff"]) == timeless(answered(placing.place, more, capsys))


def timeless(answer):
    """An answer without how often placements were judged on the way."""
    return {key: value for key, value in answer.items() if key != "judged"}


@pytest.mark.parametrize(
    "of", [KITCHEN, LONELY, HOSTILE, LAB, CROWD, NAMES, pytest.param(MENDED, marks=pytest.mark.slow)]
)
def test_the_sheet_is_whole_and_harmless(of):
    """Everything closes and nothing runs, whatever the names in the lab are."""
    hold_to_the_page(made(work, of).html)
    hold_to_the_page(made(work_search, of, seconds=SECONDS).html)


def test_before_and_after_stand_side_by_side():
    """Every machine is told with its copies today and then, and the moves in their order."""
    text = said(made(work_search, LAB, seconds=SECONDS).html)
    assert "Before and after, side by side" in text
    assert "The moves" in text
    assert "one desk less" in text


def test_the_difference_is_shown_and_kept_for_writing():
    """What would be written is what the command shows; each new text goes with the digest of what it was made from."""
    found = made(work_search, LAB, seconds=SECONDS)
    change = json.loads(found.files[CHANGE])
    ((name, kept),) = change.items()
    assert Path(name) == lab(LAB)
    assert kept["digest"] == digest(LAB)
    shown = found.answers["place --diff"]["difference"]
    added = [line[1:] for line in shown.splitlines() if line.startswith("+") and not line.startswith("+++")]
    assert added
    assert all(line in kept["text"].splitlines() for line in added)
    assert ("action", "/places/write?search=60") in read(found.html).attributes


def test_the_moves_can_be_printed(tmp_path):
    """The paper of the moves is the one that the command writes."""
    path = tmp_path / "moves.md"
    placing.place(placing.Asked(lab=lab(LAB), seconds=SECONDS, runbook=path))
    found = made(work_search, LAB, seconds=SECONDS)
    assert found.files["moves.md"] == path.read_bytes()
    assert found.files["moves.pdf"].startswith(b"%PDF")
    links = [value for key, value in read(found.html).attributes if key == "href"]
    assert "/places/moves.pdf?search=60" in links


def test_contradictions_are_told_with_what_would_do():
    """Where nothing does, the smallest contradiction is told, and what would mend it."""
    text = said(made(work_search, CROWD, seconds=SECONDS).html)
    assert "contradict each other" in text
    assert "What would do" in text


def test_what_the_lab_lacks_is_asked_for_by_its_key():
    """Without pools and stores the keys to write are named."""
    text = said(made(work, LONELY).html)
    assert "pools" in text
    assert "takes" in text
    assert "copies" in said(made(work_search, LONELY, seconds=SECONDS).html)


def test_a_file_that_changed_meanwhile_is_refused():
    """A job for one state of the file tells nothing of another."""
    with pytest.raises(QuestionError, match="changed"):
        work_search(str(lab(LAB)), "another", (), lambda what, done, of: None)
