import json

import pytest
from tests.faces.cli.typed import DRAFT, MENDED, SHELF, typed

pytestmark = pytest.mark.slow

ALONE = """\
falsework: 1
lab: Two
machines:
  a..c: {is: node}
services:
  one: a
  two: [a, b]
  three: [a, b, c]
"""


@pytest.fixture
def alone(tmp_path):
    """Services on one, two and three machines that share nothing."""
    path = tmp_path / "lab.yaml"
    path.write_text(ALONE)
    return str(path)


@pytest.mark.parametrize(
    ("service", "least", "said"),
    [
        ("one", 1, "one: margin 1; one part brings it down alone"),
        ("two", 2, "two: margin 2; it survives any one part, and 1 pair brings it down"),
        ("three", None, "three: margin more than 2; it survives any two parts"),
    ],
)
def test_the_margin_is_the_fewest_parts_that_bring_it_down(alone, service, least, said):
    """One machine, two, or more than two, as counted on the fingers."""
    assert typed("why", alone, service).out.splitlines()[0] == said
    assert json.loads(typed("why", alone, service, "--json").out)["margin"]["least"] == least


def test_with_parts_out_the_margin_is_what_is_left(alone):
    """What survives one part has margin 1 once the other is out, and 0 once both are."""
    assert typed("why", alone, "two", "--out", "a").out.startswith("two: margin 1;")
    said = typed("why", alone, "two", "--out", "a", "--out", "b")
    assert said.out.startswith("two does not stand as it is\n")
    assert "a is lost" in said.out
    assert "alone" not in said.out


def test_leans_are_told_in_words_with_their_place():
    """Each lean is a clause with the line that says so."""
    said = typed("why", SHELF, "pages").out
    assert "        pages is served by any one of pages.1, pages.2  (examples/kitchen-shelf.yaml:27:" in said
    assert "        each of them needs names to run and to start  (examples/kitchen-shelf.yaml:27:" in said
    assert "        pages.1 runs on desk-1  (" in said


def test_any_thing_may_be_asked_about():
    """A switch, a store and a key have leans and a margin too; a part's own loss is not counted."""
    for thing in ("sw-1", "disks", "unseal"):
        said = typed("why", MENDED, thing)
        assert said.status == 0
        assert "What it leans on:" in said.out
    answer = json.loads(typed("why", MENDED, "sw-1", "--json").out)
    assert "sw-1" not in answer["margin"]["single_points"]
    assert "A" in answer["margin"]["single_points"]


def test_with_a_loss_the_chain_is_told_one_step_a_line():
    """The chain goes from the thing to the lost part, each step with its place."""
    said = typed("why", DRAFT, "desk-3", "--lose", "B")
    head, blank, *steps = said.out.splitlines()
    assert (said.status, head, blank) == (1, "lose strip B: desk-3 falls at once", "")
    assert steps[0].strip().startswith("desk-3 has no power  (examples/observatory/draft.yaml:")
    assert steps[-1].strip().startswith("B is lost  (examples/observatory/draft.yaml:")


def test_what_stands_needs_no_chain(alone):
    """With nothing broken there is one line and status 0."""
    said = typed("why", alone, "three", "--lose", "a")
    assert (said.status, said.out) == (0, "lose node a: three stands\n")


def test_what_blinks_is_explained_and_is_no_fall():
    """A failover is told with its length and its cause, and the status stays 0."""
    said = typed("why", MENDED, "router", "--lose", "gate-1")
    assert said.status == 0
    assert said.out.startswith("lose node gate-1 (with hide-3 out): router blinks for ")
    assert "gate-1 is lost" in said.out
