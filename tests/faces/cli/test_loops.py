import json

import pytest
from tests.faces.cli.typed import MENDED, SHELF, typed
from tests.faces.test_plain import valid

pytestmark = pytest.mark.slow

SEALED = "tests/labs/raising/16-sealed-store/one.yaml"
KNOT = """
falsework: 1
lab: Knots
machines: {n1..2: {is: node}}
services:
  a: {on: n1, needs: {to start: [b]}}
  b: {on: n2, needs: {to start: [a]}}
  c: {on: n1, needs: {to run: [d]}}
  d: {on: n2, needs: {to run: [c]}}
"""


def test_a_lab_without_loops():
    """Nothing waits for itself: one line, status 0."""
    said = typed("loops", SHELF)
    assert (said.status, said.out, said.err) == (0, "Kitchen shelf: nothing waits for itself\n", "")


def test_a_loop_is_told_with_places_and_cuts():
    """The ring, each wait with its place, what it means, what would cut it, and the cheapest way out; status 1."""
    said = typed("loops", SEALED)
    assert said.status == 1
    assert said.out.splitlines()[0] == "The key inside the box: 4 loops to start"
    assert "h1 -> storage password -> secrets -> h1" in said.out
    assert f"h1 needs to start storage password ({SEALED}:6:40)" in said.out
    assert "means   once all are down, none comes back by itself" in said.out
    assert "15 min of work; nothing cheaper does it:" in said.out


def test_several_kinds_are_counted(tmp_path):
    """Kinds are told apart in the first line, and a loop to run says that it holds."""
    path = tmp_path / "lab.yaml"
    path.write_text(KNOT, encoding="utf-8")
    said = typed("loops", str(path))
    assert said.out.splitlines()[0] == "Knots: 2 loops: 1 to start, 1 to run"
    assert "it holds while it stands" in said.out


def test_only_a_few_are_shown_unless_all_are_asked_for():
    """The bare observatory has many; the rest is counted."""
    few, every = (
        typed("loops", "examples/observatory/bare.yaml"),
        typed("loops", "examples/observatory/bare.yaml", "--all"),
    )
    assert few.status == every.status == 0
    assert "more loops to build; --all shows them." in few.out
    assert "more loops" not in every.out
    assert len(every.out) > len(few.out)


@pytest.mark.parametrize("lab", [SHELF, SEALED, MENDED])
def test_the_answer_fits_its_schema(lab):
    """In JSON everything is there, as the schema says."""
    said = typed("loops", lab, "--json")
    answer = valid(json.loads(said.out))
    assert answer["status"] == said.status
    for loop in answer["loops"]:
        assert loop["ring"][0] == loop["ring"][-1]
        assert [link["thing"] for link in loop["links"]] == loop["ring"][:-1]
    assert all(cuts["proven"] for cuts in answer["cheapest"])
