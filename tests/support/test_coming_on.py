"""How long after power has returned does each thing begin to draw?"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.strategies import lab_of

from falsework.analyses.cold_start import cold_start
from falsework.support.coming_on import ComingOn
from falsework.support.standing import Standing

LAB = """
falsework: 1
lab: t
outside: {grid: the street}
power:
  c: {is: circuit, fed by: grid, comes on after: 1 s}
  cell: {is: ups, fed by: c, comes on after: 10 s, battery: 400 Wh}
  A: {is: strip, fed by: cell, outlets: 8, staggers: 2 s}
  B: {is: strip, fed by: c}
machines:
  x: {is: node, fed by: A, wakes in: 60 s}
  y: {is: node, fed by: A.1, wakes in: 60 s, comes on after: 5 s}
  z: {is: node, fed by: [A, B], wakes in: 60 s}
  w: {is: node, fed by: A, enough: 1, wakes in: 60 s}
"""


def test_outlets_by_name_and_in_order():
    """The one that names outlet 1 has it; x, z and w have 2, 3 and 4: 2, 4 and 6 s after the strip, which is live after 11 s."""
    coming = ComingOn(lab_of(LAB))
    assert coming.live_s("A") == 11
    assert coming.fed_s("y") == {"y.supply-1": 11}
    assert coming.fed_s("x") == {"x.supply-1": 13}
    assert coming.fed_s("z") == {"z.supply-1": 15, "z.supply-2": 1}
    assert coming.fed_s("w") == {"w.supply-1": 17}


def test_a_cold_start_waits_for_it():
    """By hand: x 13 + 60, y 11 + 5 + 60, z by B already 1 + 60, w 17 + 60 s after the power is back."""
    up = cold_start(Standing(lab_of(LAB))).up_s
    assert {name: up[name] for name in "xyzw"} == pytest.approx({"x": 73, "y": 76, "z": 61, "w": 77})


def test_both_supplies_are_waited_for_where_both_are_needed():
    """What can't run on one begins once its outlet in A is on: 15 + 60 s."""
    text = LAB.replace("z: {is: node, fed by: [A, B],", "z: {is: node, fed by: [A, B], enough: 2,")
    assert cold_start(Standing(lab_of(text))).up_s["z"] == pytest.approx(75)


def test_a_strip_in_a_strip():
    """What is plugged into a strip that hangs on outlet 3 of another waits for that outlet, and for its own."""
    text = """
falsework: 1
lab: t
outside: {grid: the street}
power:
  A: {is: strip, fed by: grid, staggers: 2 s}
  B: {is: strip, fed by: A.3, staggers: 1 s}
machines:
  x..z: {is: node, fed by: B}
"""
    coming = ComingOn(lab_of(text))
    assert [coming.fed_s(name)[f"{name}.supply-1"] for name in ("x", "y", "z")] == [4, 5, 6]


def test_sleds_wait_with_their_enclosure():
    """A box that comes on after 20 s holds its nodes and their controllers back by so much."""
    text = """
falsework: 1
lab: t
outside: {grid: the street}
power: {A: {is: strip, fed by: grid}}
machines:
  box: {is: enclosure, fed by: A, comes on after: 20 s, holds: {a..b: {is: node, wakes in: 30 s}}}
"""
    up = cold_start(Standing(lab_of(text))).up_s
    assert up["box.a"] == pytest.approx(50)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.tuples(st.booleans(), st.integers(0, 5), st.integers(0, 9)),
        min_size=1,
        max_size=6,
    ),
    st.integers(0, 7),
    st.integers(0, 4),
)
def test_played_through_second_by_second(machines, ups_s, stagger):
    """Against a clock that switches on one thing after another: each outlet, the battery, then each machine."""
    lines = "".join(
        f"  n{k}: {{is: node, fed by: {'A' if on_a else 'B'}, comes on after: {after} s, wakes in: {wakes} s}}\n"
        for k, (on_a, after, wakes) in enumerate(machines)
    )
    text = (
        "falsework: 1\nlab: t\noutside: {grid: the street}\npower:\n"
        f"  u: {{is: ups, fed by: grid, battery: 1 Wh, comes on after: {ups_s} s}}\n"
        f"  A: {{is: strip, fed by: u, staggers: {stagger} s}}\n  B: {{is: strip, fed by: grid}}\n"
        f"machines:\n{lines}"
    )
    up = cold_start(Standing(lab_of(text))).up_s
    ready: dict[int, int] = {}
    in_a = [k for k, (on_a, _, _) in enumerate(machines) if on_a]
    began: dict[int, int] = {}
    for now in range(80):
        for k, (on_a, after, _) in enumerate(machines):
            lit = now >= after if not on_a else now - after >= ups_s + stagger * in_a.index(k)
            if lit:
                began.setdefault(k, now)
        for k, start in began.items():
            if now - start == machines[k][2]:
                ready[k] = now
    assert {k: up[f"n{k}"] for k in ready} == pytest.approx(ready)
    assert len(ready) == len(machines)
