"""Are answers on room as their schema says, and do they say what was found?"""

import json

import pytest
from tests.faces.cli.typed import DRAFT, MENDED, SHELF, typed
from tests.faces.fitting import fits

pytestmark = pytest.mark.slow

TRAP = "tests/labs/traps/11-fragmented-room"


def answer(*words):
    """The answer of `falsework room --json`, held against its schema."""
    said = typed("room", *words, "--json")
    found = json.loads(said.out)
    fits(found, "room")
    assert found["status"] == said.status
    return found


@pytest.mark.parametrize(
    "words",
    [
        (SHELF,),
        (DRAFT,),
        (MENDED,),
        (MENDED, "--lose", "node", "--add", "2 cores 4 GiB"),
        (MENDED, "--out", "twin-1"),
        (f"{TRAP}/base.yaml",),
        (f"{TRAP}/three.yaml", "--more"),
    ],
)
def test_every_answer_is_as_the_schema_says(words):
    """Whatever the lab, the answer has the shape that the schema gives it."""
    answer(*words)


def test_it_tells_a_program_by_how_much_a_copy_does_not_fit():
    """90 GiB are free in all, the largest hole is 30, 10 are missing, and no shuffling helps."""
    found = answer(f"{TRAP}/base.yaml", "--lose", "h4")
    (pool,) = found["losses"][0]["pools"]
    (copy,) = pool["homeless"]
    gib = float(1 << 30)
    assert copy["copy"] == "big.1"
    assert copy["free"]["memory"] == 90 * gib
    assert copy["largest"]["memory"] == 30 * gib
    assert copy["missing"]["memory"] == 10 * gib
    assert copy["reason"] == "pieces"
    assert copy["moving_helps"] is False
    assert copy["where"]["line"] == 13
    assert found["status"] == 1


def test_it_tells_a_program_what_is_left_out():
    """Where the small ones may be left out, one is, and the answer is that all fits."""
    found = answer(f"{TRAP}/three.yaml", "--lose", "h4")
    (pool,) = found["losses"][0]["pools"]
    assert pool["left_out"] == ["small-3.1"]
    assert pool["restarts"] == [{"copy": "big.1", "from": "h4", "to": "h3"}]
    assert found["status"] == 0
