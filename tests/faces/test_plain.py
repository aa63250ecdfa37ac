import json
from functools import cache
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from falsework.analyses.fate import fate
from falsework.analyses.leaning import leans_said
from falsework.analyses.margin import margin, margins_left
from falsework.analyses.taking_down import taking_down
from falsework.analyses.verdicts import NEVER, Effect, Verdict, lose
from falsework.errors import Fault, LabError, LimitError
from falsework.faces.answers import answers_schema
from falsework.faces.errors import error_answer
from falsework.faces.plain import check_answer, effect, lose_answer, why_answer, why_lost_answer
from falsework.study import Study, study
from falsework.where import Where

pytestmark = pytest.mark.slow

ROOT = Path(__file__).parents[2]
TRAPS = sorted(
    path for path in (ROOT / "tests" / "labs" / "traps").glob("*/*.yaml") if path.name != "expect.yaml"
)
LABS = (
    ROOT / "examples" / "kitchen-shelf.yaml",
    ROOT / "examples" / "observatory" / "draft.yaml",
    *TRAPS[::6],
)


def closed(schema):
    """The schema with every object closed, so that a key it does not tell of is found."""
    if isinstance(schema, dict):
        more = {"additionalProperties": False} if "properties" in schema else {}
        return {**{key: closed(each) for key, each in schema.items()}, **more}
    return [closed(each) for each in schema] if isinstance(schema, list) else schema


VALIDATOR = Draft202012Validator(closed(answers_schema()))


def valid(answer):
    """The answer as a program reads it, after the schema has taken it."""
    read = json.loads(json.dumps(answer, allow_nan=False))
    VALIDATOR.validate(read)
    return read


@cache
def studied(path: Path) -> Study:
    """A lab, studied once."""
    return study(path)


each_lab = pytest.mark.parametrize("path", LABS, ids=lambda path: f"{path.parent.name}/{path.stem}")


@each_lab
def test_a_check_answers_as_its_schema_says(path):
    """Every aim, finding and service is there once, and nothing that the schema does not tell of."""
    found = studied(path)
    answer = valid(check_answer(found))
    assert [aim["name"] for aim in answer["aims"]] == [aim.name for aim in found.lab.aims]
    assert [each["says"] for each in answer["findings"]] == [each.says for each in found.findings]
    assert [each["id"] for each in answer["services"]] == list(found.standing.support.services)


@each_lab
def test_the_margin_of_a_service_agrees_with_what_single_losses_do(path):
    """The single points of a check are the parts whose loss makes the service fall when asked alone."""
    found = studied(path)
    service = found.standing.support.services[0]
    told = valid(check_answer(found))["services"][0]["single_points"]
    parts = found.standing.parts[:40]
    falls = [part for part in parts if lose(found.standing, [part]).of(service).verdict >= Verdict.FALLS]
    assert [part for part in told if part in parts] == falls


@each_lab
def test_losses_and_reasons_answer_as_their_schema_says(path):
    """The first and the last part of a lab, lost alone, and the first and last thing asked about."""
    standing = studied(path).standing
    for part in (standing.parts[0], standing.parts[-1]):
        loss = lose(standing, [part])
        margins = margins_left(standing, loss.lost)
        answer = valid(lose_answer(standing, loss, margins, taking_down(standing, loss, margins), 0))
        assert [each["id"] for each in answer["services"]] == list(standing.support.services)
        for name in (standing.support.services[0], part):
            thing = standing.support.things[name]
            lost = valid(why_lost_answer(standing, loss, fate(loss, name), thing, 0))
            assert bool(lost["chain"]) is (lost["effect"]["verdict"] in ("blinks", "falls")) or (
                lost["effect"]["verdict"] == "lost"
            )
            valid(why_answer(standing, thing, margin(standing, name), tuple(leans_said(thing))))


@pytest.mark.parametrize(
    ("given", "falls_s", "back_s"),
    [
        (Effect(service="a", verdict=Verdict.STANDS), None, None),
        (Effect(service="a", verdict=Verdict.FALLS, falls_s=30.0), 30.0, None),
        (Effect(service="a", verdict=Verdict.BLINKS, falls_s=0.0, blinks_s=40.0), 0.0, 40.0),
        (Effect(service="a", verdict=Verdict.BLINKS, falls_s=600.0, blinks_s=40.0), 600.0, 640.0),
        (Effect(service="a", verdict=Verdict.LOST, falls_s=NEVER), None, None),
    ],
)
def test_a_time_without_end_is_null(given, falls_s, back_s):
    """JSON knows no infinity, so what never happens has no time."""
    answer = effect(given)
    assert (answer["falls_s"], answer["back_s"]) == (falls_s, back_s)


def test_faults_keep_their_place_and_order():
    """A wrong lab file gives each fault with where, what and mend, and counts what it leaves out."""
    faults = [Fault(Where("b.yaml", 2, 3), "late", "Mend it.", "services.x"), Fault(None, "whole", "")]
    answer = valid(error_answer(LabError(faults, more=3), command="check"))
    assert [each["what"] for each in answer["errors"]] == ["whole", "late"]
    assert answer["errors"][1]["where"] == {"file": "b.yaml", "line": 2, "column": 3}
    assert answer["more_errors"] == 3


def test_an_error_without_a_place_has_both_its_parts():
    """What is wrong and how to mend it come as two fields."""
    answer = valid(error_answer(LimitError("too big", "Ask for less."), command="lose"))
    assert answer["errors"] == [{"what": "too big", "mend": "Ask for less.", "path": "", "where": None}]


def test_the_reference_tells_every_key():
    """The page of answers names each key that an answer may have."""
    page = (ROOT / "docs" / "reference" / "json.md").read_text(encoding="utf-8")

    def keys(schema):
        if isinstance(schema, dict):
            properties = schema.get("properties", {})
            yield from properties
            for each in (*properties.values(), *(schema[key] for key in schema if key != "properties")):
                yield from keys(each)
        elif isinstance(schema, list):
            for each in schema:
                yield from keys(each)

    untold = {key for key in keys(answers_schema()) if f"`{key}`" not in page and f'"{key}"' not in page}
    assert untold == set()
