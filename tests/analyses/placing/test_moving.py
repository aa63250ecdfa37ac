from __future__ import annotations

import numpy as np
from tests.strategies import lab_of

from falsework.analyses.placing.moving import moved
from falsework.support.placing.whole import placeable
from falsework.support.standing import Standing

GIB = float(1 << 30)
SWAP = """
falsework: 1
lab: Two that change places
machines:
  h-1..2: {is: node, memory: 8 GiB, ports: {a: 1 Gb/s}}
pools:
  cluster: {hosts: h-1..2}
services:
  a: {on: cluster, takes: {memory: 8 GiB, disk: 10 GiB}, placed: h-1}
  b: {on: cluster, takes: {memory: MEMORY, disk: 20 GiB}, placed: h-2}
"""


def moves(memory: str):
    """The moves by which a and b change places."""
    asked = placeable(Standing(lab_of(SWAP.replace("MEMORY", memory))))
    return moved(asked, np.array([1, 0]))


def test_where_both_hosts_are_full_one_is_stopped_and_its_disk_copied_when_it_starts_again():
    """Its memory is not: it stopped in good order. The other is copied whole."""
    found = moves("8 GiB")
    assert [(each.copy, each.start, each.end) for each in found] == [
        ("a.1", "h-1", ""),
        ("b.1", "h-2", "h-1"),
        ("a.1", "", "h-2"),
    ]
    assert [each.size / GIB for each in found] == [0, 28, 10]
    assert found[2].seconds == 8 * 10 * GIB / 1e9
    assert not found[0].clean


def test_a_copy_of_which_nobody_says_where_it_runs_copies_nothing():
    """It starts where it should be."""
    lab = lab_of(SWAP.replace("MEMORY", "1 GiB").replace(", placed: h-2", ""))
    found = moved(placeable(Standing(lab)), np.array([0, 1]))
    assert [(each.copy, each.start, each.end, each.size) for each in found] == [("b.1", "", "h-2", 0.0)]


def test_what_ran_on_a_host_that_is_out_starts_elsewhere():
    """Nothing is copied from there; where it was is told if the lab file says it, and not if that was assumed."""
    text = SWAP.replace("MEMORY", "1 GiB").replace("memory: 8 GiB, ports", "memory: 16 GiB, ports")
    out = frozenset({"h-1"})
    found = moved(placeable(Standing(lab_of(text), out=out)), np.array([0, 0]))
    assert [(each.copy, each.start, each.was, each.end, each.size) for each in found] == [
        ("a.1", "", "h-1", "h-2", 0.0)
    ]
    bare = text.replace(", placed: h-1", "").replace(", placed: h-2", "")
    found = moved(placeable(Standing(lab_of(bare), out=out)), np.array([0, 0]))
    assert {(each.copy, each.was) for each in found} == {("a.1", "")}
