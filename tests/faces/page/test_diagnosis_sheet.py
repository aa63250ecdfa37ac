"""Does the sheet on what broke tell what `diagnose` tells?"""

from __future__ import annotations

import re
import shlex
from urllib.parse import unquote

import pytest
from tests.faces.page.asking import client, page_for
from tests.faces.page.sheets import HOSTILE, KITCHEN, LONELY, MENDED, hold_to_the_page, lab, made, read, said
from tests.strategies import lab_of

from falsework.analyses.diagnosis import diagnose
from falsework.errors import QuestionError
from falsework.faces.cli.diagnose import Asked, answer
from falsework.faces.page.diagnosis_sheet import Said
from falsework.faces.page.diagnosis_work import _step, work, work_plan
from falsework.model.parts import Node
from falsework.support.standing import Standing

TWO_COPIES = """
falsework: 1
lab: Two copies
machines: {h1: {is: node}, h2: {is: node}, sw: {is: switch}}
wire: {cables: [h1 -- sw, h2 -- sw]}
services: {names: {on: [h1, h2], reached at: [10.0.0.1, 10.0.0.2]}}
probes: {first: dns a.b at 10.0.0.1}
"""
OBSERVATORY = pytest.param(MENDED, ("names on desk-1",), ("names on desk-3",), marks=pytest.mark.slow)


def weighed(of: str, failing: tuple[str, ...], answered: tuple[str, ...] = (), looked: tuple[str, ...] = ()):
    """What the work makes of what is said."""
    return made(work, of, failing=failing, answered=answered, looked=looked, since_s=None, since="")


@pytest.mark.parametrize(
    ("of", "failing", "answered"),
    [(KITCHEN, ("files",), ("names",)), (LONELY, ("mail",), ()), OBSERVATORY],
)
def test_the_answer_is_that_of_the_command(of, failing, answered, capsys):
    """Programs get what the command line gives, and the sheet is whole and harmless."""
    found = weighed(of, failing, answered)
    capsys.readouterr()
    answer(Asked(lab=lab(of), failing=failing, answered=answered, json=True))
    import json

    told = json.loads(capsys.readouterr().out)
    # The command tells fewer causes.
    both = found.answers["diagnose"] | {"causes": found.answers["diagnose"]["causes"][: len(told["causes"])]}
    assert both["causes"] == told["causes"]
    assert both["next"] == told["next"]
    hold_to_the_page(found.html)


def test_hostile_names_do_nothing():
    """Whatever the names in the lab are, nothing runs and everything closes."""
    names = list(page_for(lab(HOSTILE)).keeper.good.standing.support.services)
    hold_to_the_page(weighed(HOSTILE, tuple(names[:1])).html)
    hold_to_the_page(made(work_plan, HOSTILE).html)


def test_next_stands_first_and_leads_on():
    """Before the causes stands what to ask; either answer is a link that says it back."""
    found = weighed(KITCHEN, ("files",), ("names",))
    text = said(found.html)
    assert text.index("Ask this next") < text.index("What it may be")
    links = [value for key, value in read(found.html).attributes if key == "href"]
    assert any(link.startswith("/diagnosis?fails=files") for link in links)
    assert "electrical codes" in text


def test_the_form_works_without_a_script():
    """A plain GET says what fails; what was said stays marked, and what makes no sense is told."""
    asking = client(page_for(lab(KITCHEN)))
    empty = asking.get("/diagnosis")
    assert empty.status_code == 200
    assert 'name="fails" value="files"' in empty.text
    found = asking.get("/diagnosis?fails=files&answers=names")
    assert found.status_code == 200
    assert re.search(r'name="fails" value="files" aria-describedby="of-s\d+" checked>', found.text)
    assert re.search(r'name="answers" value="names" aria-describedby="of-s\d+" checked>', found.text)
    assert found.text.count(" checked>") == 2
    assert "What it may be" in found.text
    wrong = asking.get("/diagnosis?fails=files&since=soon")
    assert wrong.status_code == 400
    assert "since when" in wrong.text
    both = asking.get("/diagnosis?fails=files&answers=files")
    assert "Leave one of the two out" in both.text
    plan = asking.get("/diagnosis?plan=yes")
    assert "parts whose loss hurts apart into" in said(plan.text)
    told = asking.get("/answers/diagnose?fails=files").json()
    assert told["command"] == "diagnose"


def test_a_machine_that_answers_stays_said():
    """What has no row of its own is kept in the form, whether it fails or answers."""
    asking = client(page_for(lab(KITCHEN)))
    (machine, other, *_) = page_for(lab(KITCHEN)).keeper.good.lab.of(Node)
    text = asking.get(f"/diagnosis?fails={other.id}&answers={machine.id}").text
    assert f'<input type="checkbox" name="answers" value="{machine.id}" checked>' in text
    assert f'<input type="checkbox" name="fails" value="{other.id}" checked>' in text


@pytest.mark.parametrize("how", ["program", "lamp", "swap", "ping"])
def test_a_link_says_what_the_command_would(how):
    """Either answer leads to where the option of the command line says the same."""
    standing = Standing(lab_of(TWO_COPIES))
    found = diagnose(standing, ["first"])
    each = next(each for each in found.next if each.how == how)
    step = _step(found, each, (), Said(fails=("first",)), ())
    told = {unquote(address).partition("&")[2] for _, address in (step.yes, step.no)}
    keys = {"--looked": "looked", "--answered": "answers", "--failing": "fails"}
    said = {f"{keys[words[0]]}={words[1]}" for words in map(shlex.split, each.option)}
    assert told == said


def test_without_a_record_it_says_so():
    """Beginning with a record that is not there is refused with how to go on."""
    asking = client(page_for(lab(KITCHEN)))
    assert asking.get("/diagnosis/record").status_code == 400


def test_a_name_that_is_not_known_is_told():
    """The work refuses it, with the nearest that is known."""
    with pytest.raises(QuestionError, match="file"):
        weighed(KITCHEN, ("fiels",))
