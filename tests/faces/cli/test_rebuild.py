"""Does `falsework rebuild` answer people, programs and paper alike, and refuse what it can't answer?"""

from __future__ import annotations

import json

import pytest
from tests.faces.cli.typed import DRAFT, MENDED, SHELF, typed
from tests.faces.test_plain import valid

pytestmark = pytest.mark.slow

LOST = """
falsework: 1
lab: One drive
outside: {envelope: a sealed one}
machines: {a: {is: node, drives: 1 drive}}
stores: {here: {drives: a.d1, layout: single}}
services: {files: {on: a, state in: here}}
data: {book: {of: files, in: here, size: 10 GB MORE}}
"""


@pytest.mark.parametrize("words", [(SHELF,), (DRAFT,), (MENDED,), (DRAFT, "sw-1"), (DRAFT, "rack", "attic")])
def test_an_answer_for_programs_keeps_to_its_schema(words):
    """Whatever is lost, and where nothing is."""
    said = typed("rebuild", *words, "--json")
    assert valid(json.loads(said.out))["status"] == said.status


def test_what_never_comes_back_says_why_and_what_would_change_it():
    """The same in the answer for programs as for people."""
    answer = json.loads(typed("rebuild", DRAFT, "clock", "--json").out)
    never = [fate for fate in answer["loss"]["fates"] if fate["mend"]]
    assert never
    assert all(fate["back_s"] is None and fate["circle"] and fate["would_keep"] for fate in never)
    said = typed("rebuild", DRAFT, "clock").out
    assert all(fate["mend"] in said for fate in never)


@pytest.mark.parametrize(
    ("more", "status"),
    [("", 0), (", may lose: 1 day", 1), (", may lose: 1 day, backed up: {to: envelope, every: 1 day}", 0)],
)
def test_the_status_is_1_where_data_with_an_objective_are_only_here(tmp_path, more, status):
    """Without an objective it is told all the same, and with a backup nothing is broken."""
    lab = tmp_path / "lab.yaml"
    lab.write_text(LOST.replace("MORE", more), encoding="utf-8")
    said = typed("rebuild", str(lab))
    assert said.status == status
    assert ("book exists only here" in said.out) == ("backed up" not in more)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("twinn-1",), "nothing is called 'twinn-1'. Did you mean 'twin-1'?"),
        (("me",), "'me' is a person, nothing that could be destroyed."),
        (("twin-1", "ring"), "nothing is called 'ring'. Did you mean 'rings'?"),
        (("--runbook", "book.docx"), "'book.docx' ends in neither .pdf nor .md"),
    ],
)
def test_wrong_input_says_how_to_mend_it(words, says):
    """Status 2, a sentence, and no answer."""
    said = typed("rebuild", DRAFT, *words)
    assert said.status == 2
    assert says in said.err
    assert said.out == ""


def test_the_runbook_says_what_would_have_brought_it_back(tmp_path):
    """On paper as at the terminal."""
    book = tmp_path / "book.md"
    assert typed("rebuild", DRAFT, "--runbook", str(book)).status == 1
    text = book.read_text(encoding="utf-8")
    assert "keep a copy of unseal out of the lab" in text
    assert "What would have brought back secrets, state" in text
