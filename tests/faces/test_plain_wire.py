"""Are answers on the wire as their schema says, and do they say what was found?"""

import json

import pytest
from tests.faces.cli.typed import DRAFT, MENDED, SHELF, typed
from tests.faces.fitting import fits

pytestmark = pytest.mark.slow

TRAP = "tests/labs/traps/05-one-port-voters/base.yaml"


def answer(*words):
    """The answer of `falsework wire --json`, held against its schema."""
    said = typed("wire", *words, "--json")
    found = json.loads(said.out)
    fits(found, "wire")
    assert found["status"] == said.status
    return found


@pytest.mark.parametrize(
    "words",
    [
        (SHELF,),
        (DRAFT,),
        (MENDED,),
        (MENDED, "--lose", "sw-1"),
        (MENDED, "--from", "twin-1.a", "--to", "keep.x"),
        (TRAP,),
        ("tests/labs/traps/10-way-to-the-controllers/base.yaml",),
    ],
)
def test_every_answer_is_as_the_schema_says(words):
    """Whatever the lab, the answer has the shape that the schema gives it."""
    answer(*words)


def test_it_tells_a_program_the_limit():
    """Five voters with one port on two switches: impossible, one second port would do."""
    (limit,) = answer(TRAP)["one_port"]
    assert limit["possible"] is False
    assert limit["left"] == 2
    assert limit["two_ports"] == 1
    assert limit["falls_by"] == ["sw-1"]


def test_what_was_lost_is_told():
    """With --lose the part is out, and told as asked."""
    found = answer(MENDED, "--lose", "sw-1")
    assert found["lost"] == ["sw-1"]
    assert "sw-1" in found["out"]


def test_all_cables_are_there():
    """Each cable once, with two ends and a label of its own."""
    cables = answer(MENDED)["cables"]
    assert len(cables) == len({each["label"] for each in cables}) == 48
    assert all(len(each["ends"]) == 2 for each in cables)
