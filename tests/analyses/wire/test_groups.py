from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from tests.strategies import lab_of, texts

from falsework.analyses.wire.groups import groups
from falsework.analyses.wire.layout import layout
from falsework.model.build import load
from falsework.support.standing import Standing

TRAPS = Path(__file__).parents[2] / "labs" / "traps" / "04-link-pair"


def of(lab):
    """The groups of a lab, by the machine that they are of, or their name."""
    standing = Standing(lab)
    found = groups(standing, {run.id: run for run in layout(lab).runs})
    return {each.group or each.boxes[0]: each for each in found}


@pytest.mark.parametrize(
    ("name", "group", "fails", "survives"),
    [
        ("base-a", "pair", ("sw-1",), ("n1.a -- sw-1.1", "n1.b -- sw-1.2")),
        ("base-b", "n1", ("n1.card",), ("sw-1", "sw-2", "n1.a -- sw-1.1", "n1.b -- sw-2.1")),
        ("one", "n1", ("S1",), ("n1.left", "n1.right")),
        ("three", "box.n1", ("box.net",), ("box.n1.a -- box.net.1",)),
    ],
)
def test_the_traps(name, group, fails, survives):
    """Traps 4a and 4b and their variants: same switch, same card, same strip under both switches, switch in the box."""
    found = of(load(TRAPS / f"{name}.yaml"))[group]
    assert found.fails == fails
    assert found.isolated == fails
    assert set(survives) <= set(found.survives)


def test_two_cards_and_two_switches_survive_all():
    """No single part takes both ways of a machine with two cards to two switches away: no false alarm."""
    found = of(load(TRAPS / "two.yaml"))["n1"]
    assert not found.fails
    assert found.splits


def test_a_trunk_is_not_blamed_for_its_switch():
    """The loss of a switch is no fault of the group between it and another one."""
    found = of(
        lab_of(
            "falsework: 1\nlab: x\nmachines: {s1..2: {is: switch, ports: 4}}\nwire: {cables: [{run: s1.1..2 -- s2.1..2, group: t}]}\n"
        )
    )["t"]
    assert found.fails == ()
    assert len(found.survives) == 2


@given(texts(theme="wire"))
@settings(deadline=None, max_examples=40)
def test_what_a_group_survives_against_every_single_verdict(text):
    """Part by part: the machine stands, and some cable with its card, switch and itself does, or none."""
    lab = lab_of(text)
    standing = Standing(lab)
    for each in groups(standing, {run.id: run for run in layout(lab).runs}):
        owner = next((box for box in each.boxes if standing.support.things[box].word == "node"), None)
        cables = lab.named(each.cables)
        views = standing.views([(part,) for part in standing.parts])
        for part, view in zip(standing.parts, views, strict=True):
            if not all(view.up(box) for box in ([owner] if owner else each.boxes)):
                assert part not in each.fails
                continue
            works = []
            for cable in cables:
                cards = [
                    f"{machine}.{card}"
                    for machine, port in cable.ends
                    for card, ports in getattr(lab.things[machine], "cards", {}).items()
                    if port in ports
                ]
                works.append(
                    all(view.up(name) for name in (cable.id, *cards, *(machine for machine, _ in cable.ends)))
                )
            before = all(
                standing.baseline.up(name)
                for cable in cables
                for name in (cable.id, *(m for m, _ in cable.ends))
            )
            assert (part in each.fails) == (not any(works)) or not before
