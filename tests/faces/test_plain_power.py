"""Are answers on power as their schema says, and do they say what was found?"""

import json

import jsonschema
import pytest
from tests.faces.cli.typed import DRAFT, MENDED, SHELF, typed

from falsework.faces.answers import answers_schema
from falsework.findings.finding import POWER_CAUTION

TRAP = "tests/labs/traps/03-survivor-overload/base.yaml"


def answer(*words):
    """The answer of `falsework power --json`, held against its schema."""
    said = typed("power", *words, "--json")
    found = json.loads(said.out)
    schema = answers_schema()
    jsonschema.validate(found, {"$defs": schema["$defs"], "$ref": "#/$defs/power"})
    jsonschema.validate(found, schema)
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


def test_what_was_taken_is_told():
    """Each figure that was taken has its key, its source and the result at both ends."""
    keys = {each["key"]: each for each in answer(MENDED)["taken"]}
    assert {"usually draws", "power factor", "for hours", "efficiency"} <= {*keys}
    assert all(each["low"] and each["high"] and each["source"] for each in keys.values())
