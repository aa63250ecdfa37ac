import json
import re
from pathlib import Path

import pytest
from tests.faces.cli.typed import typed
from tests.faces.page.asking import client, page_for

from falsework.findings.keyed import key
from falsework.study import study

LAB = """\
lab: two desks
outside: {mains: a cable}
power:
  A: {is: strip, fed by: mains}
  B: {is: strip, fed by: mains}
machines:
  desk-1: {is: node, fed by: A}
  desk-2: {is: node, fed by: A}
services:
  notes: {on: [desk-1, desk-2]}
aims:
  any strip may go: {lose: strip, at most: blinks}
"""


@pytest.fixture
def lab(tmp_path, monkeypatch):
    """A lab with one aim that a plug elsewhere would mend."""
    monkeypatch.chdir(tmp_path)
    Path("lab.yaml").write_text(LAB)
    return Path("lab.yaml")


def broken(lab):
    """The key of its broken aim."""
    return next(key(each) for each in study(lab).findings if each.code == "aim broken")


def test_each_edit_is_shown_as_a_difference_before_it_is_written(lab):
    """With what it does; looking writes nothing."""
    ask = client(page_for(lab))
    ask.get("/mend", params={"finding": broken(lab)})
    text = ask.get("/mend", params={"finding": broken(lab)}).text
    assert "any strip may go" in text
    assert (
        "<code>  desk-2: {is: node, fed by: A}</code>" in text
        or "<code>  desk-1: {is: node, fed by: A}</code>" in text
    )
    assert "Write it into the file" in text
    assert 'href="/file?file=lab.yaml#line-12"' in text
    assert lab.read_text() == LAB


def test_what_was_shown_is_written_and_mends_it(lab):
    """The aim is met by the file afterwards."""
    ask = client(page_for(lab))
    finding = broken(lab)
    text = ask.get("/mend", params={"finding": finding}).text
    address = re.search(r'action="(/mend/write[^"]+)"', text)[1].replace("&amp;", "&")
    answer = ask.post(address)
    assert answer.status_code == 303
    told = ask.get(answer.headers["location"]).text
    assert 'It is written into <a href="/file?file=lab.yaml">' in told
    assert lab.read_text() != LAB
    assert [aim.met for aim in study(lab).aims] == [True]


def test_a_newer_file_is_not_written_over(lab):
    """Whoever saved meanwhile finds their text, and the page says so."""
    ask = client(page_for(lab))
    text = ask.get("/mend", params={"finding": broken(lab)}).text
    address = re.search(r'action="(/mend/write[^"]+)"', text)[1].replace("&amp;", "&")
    lab.write_text(LAB + "# theirs\n")
    answer = ask.post(address)
    assert answer.status_code == 409
    assert "has been changed since it was read" in answer.text
    assert lab.read_text() == LAB + "# theirs\n"


def test_what_is_not_known_is_told(lab):
    """A finding that is gone, an edit that nobody showed, no finding at all."""
    ask = client(page_for(lab))
    assert "no longer there" in ask.get("/mend", params={"finding": "single-point-x-123456"}).text
    answer = ask.post("/mend/write", params={"finding": "single-point-x-123456", "offer": "1"})
    assert answer.status_code == 409
    assert ask.get("/mend").status_code == 400
    assert lab.read_text() == LAB


def test_programs_get_what_the_command_gives(lab):
    """With --json, to the last key; a finding that is gone is an error for both."""
    lab = lab.resolve()
    ask = client(page_for(lab))
    finding = broken(lab)
    ask.get("/answers/mend", params={"finding": finding})
    answer = ask.get("/answers/mend", params={"finding": finding})
    said = typed("mend", str(lab), finding, "--json")
    assert (answer.json(), said.status) == (json.loads(said.out), 0)
    assert answer.json()["findings"][0]["offers"]
    ask.get("/answers/mend", params={"finding": "gone-123456"})
    gone = ask.get("/answers/mend", params={"finding": "gone-123456"})
    assert gone.status_code == 400
    assert "no finding has the key" in gone.json()["errors"][0]["what"]
