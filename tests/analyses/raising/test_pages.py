"""Is what the pages say of raising a lab so?"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import yaml
from tests.ground import Ground
from tests.strategies import lab_of, text_of

from falsework.analyses.raising.plan import plan
from falsework.analyses.raising.result import Doing
from falsework.model.lab import Lab
from falsework.support.standing import Standing

DOCS = Path(__file__).parents[3] / "docs"
PAGE = (DOCS / "explanation" / "raising.md").read_text(encoding="utf-8")
LAB = lab_of(re.findall(r"^```yaml\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)[0])
ROWS = [
    [cell.strip() for cell in line.strip("|").split("|")] for line in PAGE.splitlines() if line[:1] == "|"
]


def test_the_rounds_of_the_example_are_those_of_the_page():
    """Each round is made from what the rounds before it gave, and from nothing else."""
    ground = Ground(LAB)
    rounds = [row[1].split(", ") for row in ROWS if row[0].isdigit()]
    assert [name for each in rounds for name in each] == ["laptop", "desk-1", "desk-2", "names", "installer"]
    made, lent, covers = set[str](), set[str](), {"installer": ("laptop",)}
    for number, names in enumerate(rounds):
        now = ground.now(made, lent, covers if lent else {})
        copies = {name: f"{name}.1" for name in ("names", "installer")}
        able = [
            name
            for name in (*ground.made, *(("laptop",) if not lent else ()))
            if name not in made and ground.lacks(name, now, covers if lent else {}) is None
        ]
        assert able == [copies.get(name, name) for name in names], number
        made.update(name for name in able if name != "laptop")
        lent.add("laptop")


def test_only_the_sets_that_the_page_names_are_cheaper():
    """None and the phone alone cost less than the laptop, and neither gets anything done."""
    ground = Ground(LAB)
    assert {each.costs for each in ground.stand_ins.values()} == {600.0, 7200.0, 10800.0}
    goals = ground.goals
    assert ground.unmade(()) == ground.unmade(("phone",)) == goals
    assert ground.unmade(("laptop",)) == ground.unmade(("old server",)) == []


def test_the_plan_of_the_example_is_the_one_of_the_page():
    """The laptop, for two hours, proved; lent first and retired in the end."""
    found = plan(Standing(LAB), from_nothing=True)
    assert (found.stand_ins, found.cost_s, found.proven) == (("laptop",), 7200.0, True)
    assert (found.steps[0].doing, found.steps[-1].doing) == (Doing.LEND, Doing.RETIRE)
    brought = [name for step in found.steps if step.doing is Doing.BRING for name in step.things]
    assert sorted(brought) == ["desk-1", "desk-2", "installer", "names"]
    assert brought.index("installer") > brought.index("names") > brought.index("desk-1")


TUTORIAL = (DOCS / "tutorial" / "raising.md").read_text(encoding="utf-8")
PIECES = [
    yaml.load(each, Loader=yaml.BaseLoader)
    for each in re.findall(r"^```yaml\n(.*?)^```$", TUTORIAL, re.M | re.S)
]
HOW_TO = sorted((DOCS / "how-to").glob("*.md"))


def shelf(*, pieces: int) -> Lab:
    """The shelf of the tutorial after so many of its pieces were written into the file."""
    whole: dict[str, Any] = {}
    for piece in PIECES[:pieces]:
        for name, section in piece.items():
            whole[name] = {**whole.get(name, {}), **section} if isinstance(section, dict) else section
    return lab_of(text_of(whole))


def test_the_shelf_can_not_be_made_at_first():
    """As the tutorial says: at first there is no order, and both the names and the installer are to blame."""
    found = plan(Standing(shelf(pieces=1)), from_nothing=True)
    assert {"desk-1", "names", "installer"} <= set(found.stuck)
    assert not found.steps


def test_the_laptop_alone_is_taken_and_nobody_is_told():
    """As the tutorial says: an hour for the laptop, ten minutes less than tower and phone; its address stays."""
    lab = shelf(pieces=2)
    assert Ground(lab).cheapest() == 3600.0
    costs = {name: each.costs for name, each in Ground(lab).stand_ins.items()}
    assert costs["old tower"] + costs["phone"] == 3600.0 + 600.0
    found = plan(Standing(lab), from_nothing=True)
    assert (found.stand_ins, found.proven) == (("laptop",), True)
    assert Doing.REPOINT not in [step.doing for step in found.steps]


def test_what_stands_today_is_not_made_again():
    """With the last piece of the tutorial written in, three things stand and are in no step."""
    found = plan(Standing(shelf(pieces=len(PIECES))))
    assert {"socket", "strip", "hub"} <= set(found.already)
    brought = {name for step in found.steps for name in step.things}
    assert not brought & {"socket", "strip", "hub"}
    assert {"desk-1", "desk-3", "pages"} <= brought


@pytest.mark.parametrize("path", [DOCS / "tutorial" / "raising.md", *HOW_TO], ids=lambda path: path.stem)
def test_links_and_labs_of_a_page_are_sound(path):
    """Every link leads to a file that is there, and every whole lab on the page loads."""
    text = path.read_text(encoding="utf-8")
    for target in re.findall(r"\]\(([^)#]+)\)", text):
        assert (path.parent / target).exists(), target
    for piece in re.findall(r"^```yaml\n(.*?)^```$", text, re.M | re.S):
        if piece.startswith(("lab:", "falsework:")):
            assert lab_of(piece).things
