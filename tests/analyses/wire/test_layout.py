from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.strategies import lab_of

from falsework.analyses.wire.layout import label_of, layout
from falsework.analyses.wire.places import Place, proposed_m, stock_m

LAB = """
falsework: 1
lab: Two racks
places:
  hall: room
  attic: room
  r1..2: {is: rack, in: hall, units: 20, width: 600 mm}
machines:
  n1: {is: node, ports: {a: 1 Gb/s, b: 1 Gb/s, m: 100 Mb/s}, controller: m, in: r1, at: 1 U}
  n2: {is: node, ports: {a: 10 Gb/s}, in: r2, at: 5 U}
  n3: {is: node, ports: {a: 1 Gb/s}, in: attic}
  n4..5: {is: node, ports: {a: 10 Gb/s, m: 1 Gb/s}, controller: m}
  s1: {is: switch, ports: {1..4: 1 Gb/s, up: 10 Gb/s}, in: r1, at: 11 U}
wire:
  cables:
    - n1.a -- s1.1
    - {run: n2.a -- s1.2, colour: green}
    - {run: n3.a -- s1.3, length: 12 m}
"""


def test_each_port_once_with_what_is_in_it():
    """Ports stand in the order of the file, taken ones with the label and the far end."""
    found = layout(lab_of(LAB))
    box = next(each for each in found.boxes if each.machine == "s1")
    assert [(port.name, port.far, port.label) for port in box.ports] == [
        ("1", "n1.a", "s1.1"),
        ("2", "n2.a", "s1.2"),
        ("3", "n3.a", "s1.3"),
        ("4", "", ""),
        ("up", "", ""),
    ]
    assert box.free == 2
    assert [(each.speed, each.used, each.free) for each in found.budget] == [(1e9, 3, 1), (1e10, 0, 1)]


def test_a_cable_runs_at_its_slower_port():
    """A port of 10 Gb/s in one of 1 Gb/s runs at that, and is told."""
    runs = {run.label: run for run in layout(lab_of(LAB)).runs}
    assert (runs["s1.2"].speed, runs["s1.2"].mismatched, runs["s1.2"].colour) == (1e9, True, "green")
    assert not runs["s1.1"].mismatched


def test_lengths_by_hand():
    """10 U in one rack: 0.44 + 0.6 + 0.5 m, sold as 2 m; rack to rack 11 U + 5 U + 5 m + 0.5 m, sold as 7 m."""
    runs = {run.label: run for run in layout(lab_of(LAB)).runs}
    assert (runs["s1.1"].length, runs["s1.1"].proposed) == (2.0, True)
    assert (runs["s1.2"].length, runs["s1.2"].proposed) == (7.0, True)
    assert (runs["s1.3"].length, runs["s1.3"].proposed) == (12.0, False)


def test_from_room_to_room_somebody_must_measure():
    """Without a length said, and in two rooms, none is proposed."""
    lab = lab_of(LAB)
    assert proposed_m(lab, Place(room="hall"), Place(room="attic")) is None
    assert proposed_m(lab, Place(), Place()) is None


@pytest.mark.parametrize(
    ("least", "sold"), [(0.1, 0.25), (2.0, 2.0), (2.01, 3.0), (30.0, 30.0), (31.0, 40.0)]
)
def test_lengths_that_are_sold(least, sold):
    """The next one up; beyond 30 m in tens."""
    assert stock_m(least) == sold


def test_what_is_not_wired_yet():
    """Two machines want four ports: two of 10 Gb/s, of which one is free, and two of 1 Gb/s, of which one is."""
    wanted = layout(lab_of(LAB)).wanted
    assert wanted.machines == ("n4", "n5")
    assert wanted.ports == {1e10: 2, 1e9: 2}
    assert wanted.short == 2


def test_a_slow_port_may_go_into_a_fast_one():
    """A want of 1 Gb/s takes a free port of 10 Gb/s that no faster want needs."""
    text = LAB.replace(
        "n4..5: {is: node, ports: {a: 10 Gb/s, m: 1 Gb/s}, controller: m}",
        "n4..5: {is: node, ports: {a: 1 Gb/s}}",
    )
    assert layout(lab_of(text)).wanted.short == 0


def test_what_was_taken_is_told():
    """Lengths hang on the way across a room, told at both ends of what is usual."""
    (length,) = [each for each in layout(lab_of(LAB)).taken if each.key == "length"]
    assert length.low
    assert length.high
    assert length.low != length.high


NAMES = st.sampled_from(["s1", "s2", "s10", "n1", "n2", "n10"])
SWITCHES = frozenset(("s1", "s2", "s10"))


@st.composite
def wiring(draw):
    """Cables between ports of which each takes one."""
    ports = [(name, str(port)) for name in ("s1", "s2", "s10", "n1", "n2", "n10") for port in range(1, 5)]
    order = draw(st.permutations(ports))
    count = draw(st.integers(1, 11))
    pairs = [(order[2 * at], order[2 * at + 1]) for at in range(count)]
    return [pair for pair in pairs if pair[0][0] != pair[1][0]]


@given(wiring(), st.randoms(use_true_random=False))
@settings(deadline=None, max_examples=200)
def test_a_label_never_changes_when_other_cables_come_or_go(cables, random):
    """Whatever else is laid, and in which order or direction it is written, a cable keeps its label; no two share one."""
    before = {frozenset(ends): label_of(ends, SWITCHES) for ends in cables}
    assert len(set(before.values())) == len(before)
    kept = [ends for ends in cables if random.random() < 0.5]
    random.shuffle(kept)
    for ends in kept:
        assert label_of(ends[::-1], SWITCHES) == before[frozenset(ends)]


@given(wiring(), st.integers(0, 10))
@settings(deadline=None, max_examples=40)
def test_labels_stay_in_a_lab_too(cables, which):
    """Taking one cable out of a lab file leaves the labels of all others as they were."""
    if not cables:
        return
    left = [ends for number, ends in enumerate(cables) if number != which % len(cables)]

    def labels(those):
        lines = ", ".join(f"{one[0]}.{one[1]} -- {other[0]}.{other[1]}" for one, other in those)
        text = (
            "falsework: 1\nlab: x\nmachines:\n  s1: {is: switch, ports: 4}\n  s2: {is: switch, ports: 4}\n  s10: {is: switch, ports: 4}\n"
            "  n1: {is: node, ports: {1..4: 1 Gb/s}}\n  n2: {is: node, ports: {1..4: 1 Gb/s}}\n  n10: {is: node, ports: {1..4: 1 Gb/s}}\n"
            f"wire:\n  cables: [{lines}]\n"
        )
        return {run.id: run.label for run in layout(lab_of(text)).runs}

    before, after = labels(cables), labels(left)
    assert all(before[name] == label for name, label in after.items())
