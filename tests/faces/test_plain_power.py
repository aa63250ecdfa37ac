"""Are answers on power as their schema says, and do they say what was found?"""

import json

import jsonschema
import pytest
from hypothesis import given, settings
from tests.faces.cli.typed import DRAFT, MENDED, SHELF, typed
from tests.strategies import lab_of, texts

from falsework.analyses.power.whole import power
from falsework.faces.answers import answers_schema
from falsework.faces.cli.power import lines
from falsework.faces.plain_power import power_answer
from falsework.findings.finding import POWER_CAUTION
from falsework.support.standing import Standing

SCHEMA = answers_schema()
ANY = jsonschema.Draft202012Validator(SCHEMA)
ONE = jsonschema.Draft202012Validator({"$defs": SCHEMA["$defs"], "$ref": "#/$defs/power"})
TRAP = "tests/labs/traps/03-survivor-overload/base.yaml"


def answer(*words):
    """The answer of `falsework power --json`, held against its schema."""
    said = typed("power", *words, "--json")
    found = json.loads(said.out)
    assert [*ONE.iter_errors(found)] == []
    assert [*ANY.iter_errors(found)] == []
    assert found["status"] == said.status
    return found


@pytest.mark.parametrize(
    "words",
    [
        (SHELF,),
        (DRAFT,),
        (MENDED,),
        (MENDED, "--lose", "strip", "--out", "A"),
        (TRAP,),
        ("tests/labs/traps/01-enclosure-quorum/base.yaml",),
    ],
)
def test_every_answer_is_as_the_schema_says(words):
    """Whatever the lab, the answer has the shape that the schema gives it."""
    answer(*words)


def test_the_answer_says_what_was_found():
    """The survivor trips: by whom, how much, after which loss; and the caution stands in it."""
    found = answer(TRAP, "--lose", "A")
    assert found["status"] == 1
    assert found["too_much"] is True
    (loss,) = found["losses"]
    assert loss["trips"] == ["c2"]
    assert {"source": "c2", "w": 4000.0} in loss["carries"]
    source = next(each for each in found["sources"] if each["source"] == "c2")
    assert source["worst"]["lost"] == "A"
    assert source["worst"]["trips"] is True
    assert source["limit_w"] == 3680
    assert found["caution"] == POWER_CAUTION


@given(texts())
@settings(max_examples=25, deadline=None)
def test_random_labs_too(text):
    """Whatever the lab, the answer keeps to the schema and is JSON, and the terminal has a line for it."""
    standing = Standing(lab_of(text))
    found = power(standing)
    plain = json.loads(json.dumps(power_answer(standing, found, 1 if found.bad else 0), allow_nan=False))
    assert [*ONE.iter_errors(plain)] == []
    assert all(isinstance(line.text, str) for line in lines(standing, found))


def test_what_was_taken_is_told():
    """Each figure that was taken has its key, its source and the result at both ends."""
    keys = {each["key"]: each for each in answer(MENDED)["taken"]}
    assert {"usually draws", "power factor", "for hours", "efficiency"} <= {*keys}
    assert all(each["low"] and each["high"] and each["source"] for each in keys.values())
