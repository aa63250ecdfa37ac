"""Does a program get from the page what the command gives?"""

import json

import pytest
from tests.faces.page.asking import client, page_for
from tests.test_examples import ROOT

from falsework.faces.cli.lose import Asked as LoseAsked
from falsework.faces.cli.lose import lose_parts
from falsework.faces.cli.why import Asked as WhyAsked
from falsework.faces.cli.why import why

SHELF = ROOT / "examples" / "kitchen-shelf.yaml"


@pytest.fixture(scope="module")
def ask():
    """Who asks the page of the kitchen shelf."""
    return client(page_for(SHELF))


@pytest.mark.parametrize("parts", [("desk-1",), ("strip", "desk-2"), ("desk-3", "desk-1")])
def test_lose_answers_as_the_command(ask, capsys, parts):
    """What is pulled on the page is told as the command tells it, key by key."""
    lose_parts(LoseAsked(lab=SHELF, parts=parts, json=True))
    query = "&".join(f"out={part}" for part in parts)
    assert ask.get(f"/answers/lose?{query}").json() == json.loads(capsys.readouterr().out)


@pytest.mark.parametrize("parts", [(), ("desk-1",)])
def test_why_answers_as_the_command(ask, capsys, parts):
    """So is why a thing stands, and why it falls."""
    why(WhyAsked(lab=SHELF, thing="files", lose=parts, json=True))
    query = "&".join(["why=files", *(f"out={part}" for part in parts)])
    assert ask.get(f"/answers/why?{query}").json() == json.loads(capsys.readouterr().out)


def test_a_part_that_is_not_there_is_named(ask):
    """A slip in the address is told with the nearest name, and is no success."""
    answer = ask.get("/answers/lose?out=desk-11", headers={"accept": "application/json"})
    assert answer.status_code == 400
    assert "desk-11" in answer.text
