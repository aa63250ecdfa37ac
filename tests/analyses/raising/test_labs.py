"""Do the traps about loops, stand-ins and build order get the order of work that they must get?

Each lab of `tests/labs/raising` says in its first line what must come out; `expect.yaml` beside it says it again
for this file: whether a plan is possible, with which stand-ins, what comes before what, which loops there are.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml
from tests.replayer import complaints

from falsework.analyses.raising.plan import plan
from falsework.analyses.raising.result import Doing, Plan
from falsework.model.build import load
from falsework.model.lab import Lab
from falsework.support.standing import Standing
from falsework.units import Dimension, parse

LABS = Path(__file__).parents[2] / "labs" / "raising"
FOLDERS = sorted(path.parent for path in LABS.glob("*/expect.yaml"))
FILES = sorted(path for folder in FOLDERS for path in folder.glob("*.yaml") if path.name != "expect.yaml")


def expectations(folder: Path) -> list[dict[str, Any]]:
    """What the sidecar of a trap expects, an entry each."""
    found: list[dict[str, Any]] = yaml.safe_load((folder / "expect.yaml").read_text(encoding="utf-8"))
    return found


def entries_with(*keys: str) -> list[Any]:
    """Every expectation that has one of these keys, as parameters of a test."""
    return [
        pytest.param(folder / f"{entry['file']}.yaml", entry, id=f"{folder.name}/{entry['file']}-{number}")
        for folder in FOLDERS
        for number, entry in enumerate(expectations(folder))
        if any(key in entry for key in keys)
    ]


@cache
def standing(path: Path) -> Standing:
    """A lab ready for questions."""
    return Standing(load(path))


@cache
def planned(path: Path) -> Plan:
    """The order of work for a lab, from nothing where it does not say what stands."""
    return plan(standing(path), from_nothing=standing(path).lab.today is None)


def comes(found: Plan, lab: Lab, name: str) -> int:
    """The number of the first step that brings a thing, or a copy of it, or lends it; 0 if it was there."""
    service = name.rpartition(".")[0]
    for step in found.steps:
        if step.doing not in (Doing.BRING, Doing.LEND):
            continue
        if any(each in (name, service) or each.rpartition(".")[0] == name for each in step.things):
            return step.number
    assert name in found.already, f"{name} never comes"
    return 0


@pytest.mark.parametrize("path", FILES, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_a_lab_is_short_and_says_what_must_come_out(path):
    """Fewer than 25 lines, the first a comment; and its sidecar expects two things of it at least."""
    lines = path.read_text(encoding="utf-8").splitlines()
    assert len(lines) < 25
    assert lines[0].startswith("# ")
    assert max(map(len, lines)) <= 125
    assert sum(each["file"] == path.stem for each in expectations(path.parent)) >= 2


@pytest.mark.parametrize("path", FILES, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_the_independent_replayer_has_nothing_to_complain_of(path):
    """Walked step by step by somebody else, and in other orders that the steps allow, every plan is sound."""
    found = planned(path)
    assert complaints(found, standing(path).lab, shuffles=5) == []
    assert found.proven == (not found.stuck)


@pytest.mark.parametrize(("path", "entry"), entries_with("possible"))
def test_a_plan_is_possible_or_not(path, entry):
    """Where the trap can be got out of, with these stand-ins at this cost; where not, what is stuck and what would do."""
    found = planned(path)
    assert (not found.stuck) == entry["possible"]
    if entry["possible"]:
        assert list(found.stand_ins) == entry["stand-ins"]
        if "cost" in entry:
            assert found.cost_s == parse(entry["cost"], Dimension.TIME)
    else:
        copies = {name for name, thing in standing(path).lab.things.items() if thing.IS == "copy"}
        assert [name for name in found.stuck if name not in copies] == entry["stuck"]
        assert entry["would do"] in found.would_do
        assert found.circle[0] == found.circle[-1]
        assert len(found.circle) > 2
    if "repoints" in entry:
        told = [name for step in found.steps if step.doing is Doing.REPOINT for name in step.things]
        assert told == entry["repoints"]


@pytest.mark.parametrize(("path", "entry"), entries_with("before"))
def test_first_things_come_first(path, entry):
    """What others are made with comes before them."""
    found, lab = planned(path), standing(path).lab
    for first, then in entry["before"]:
        assert comes(found, lab, first) < comes(found, lab, then), (first, then)


@pytest.mark.parametrize(("path", "entry"), entries_with("does"))
def test_a_cut_over_goes_step_by_step(path, entry):
    """State is frozen or followed, copied, checked, handed over; clients are told; then it is proved and retired."""
    done = [step.doing.value for step in planned(path).steps]
    assert list(dict.fromkeys(done)) == list(dict.fromkeys(["bring", *entry["does"]])) or list(
        dict.fromkeys(done)
    ) == list(entry["does"])
    assert [word for word in done if word not in ("bring", "lend")] == [
        word for word in entry["does"] if word not in ("bring", "lend")
    ]
