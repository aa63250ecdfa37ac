"""A lab's open places as a problem: what copies take, what hosts have, and what must be kept."""

import numpy as np
import pytest
from tests.model.texts import lab_of

from falsework.engines.placing.cost import broken, costs
from falsework.engines.placing.problem import HARD, NOWHERE
from falsework.support.placing import LEVELS, placeable
from falsework.support.standing import Standing

SHELF = """
power:
  c1: {is: circuit, volts: 230 V, breaker: 16 A}
  A: {is: strip, fed by: c1}
  B: {is: strip, fed by: c1}
machines:
  n-1..2: {is: node, cores: 4, memory: 32 GiB, disk: 500 GB, fed by: A, draws: 20..60 W}
  n-3..4: {is: node, cores: 4, memory: 32 GiB, disk: 500 GB, fed by: B, draws: 20..60 W}
pools:
  shelf: {hosts: n-*, keeps free: 8 GiB, cores shared: 200 %}
services:
"""


def asked(text):
    """The problem of a lab."""
    return placeable(Standing(lab_of(text)))


def level(found, name, bin_of):
    """What a placement costs at a level."""
    return costs(found.problem, np.array(bin_of))[LEVELS.index(name)]


def test_what_copies_take_and_hosts_have():
    """Memory and disk in MiB, rounded against the copy; cores as far as they may be promised; ports that are free."""
    found = asked(SHELF + "  mail: {on: shelf, takes: {cores: 1, memory: 1.5 GiB, disk: 10 GB, draws: 5 W}}")
    assert found.problem.size.tolist() == [[100, 1536, 9537, 0, 0, 5]]
    cores, memory, disk, cards, _, watts = found.problem.capacity[0].tolist()
    assert (cores, memory, disk, cards, watts) == (800, 24 * 1024, 476837, 0, 40)


def test_copies_without_a_choice_take_room():
    """What runs on a host without a choice is taken off what it has; a pool's own store takes the disks."""
    text = SHELF + "  names: {on: n-1, takes: 4 GiB}\n  mail: {on: shelf, takes: 2 GiB}"
    found = asked(text)
    assert [copy.service for copy in found.scene.copies] == ["mail"]
    assert found.problem.capacity[:, 1].tolist() == [20 * 1024, *[24 * 1024] * 3]


def test_only_what_the_owner_said_is_where_it_is():
    """`placed` is today; a place that was assumed is none."""
    said = asked(SHELF + "  mail: {copies: 2, on: shelf, placed: [n-4, n-1]}")
    assert said.problem.start.tolist() == [3, 0]
    assumed = asked(SHELF + "  mail: {copies: 2, on: shelf}")
    assert assumed.problem.start.tolist() == [NOWHERE, NOWHERE]
    assert sorted(assumed.today.tolist()) != [NOWHERE, NOWHERE]


def test_company_becomes_rules():
    """Apart, away from and beside are hard, near costs at its level."""
    text = SHELF + (
        "  mail: {copies: 2, on: shelf, apart: strip, away from: chat}\n"
        "  chat: {on: shelf, beside: [{of: maps, in: strip}]}\n"
        "  maps: {on: shelf, near: mail}\n"
    )
    found = asked(text)
    order = [copy.id for copy in found.scene.copies]
    assert order == ["mail.1", "mail.2", "chat.1", "maps.1"]
    assert broken(found.problem, np.array([0, 1, 2, 3])) == ("no two copies of mail in one strip",)
    assert broken(found.problem, np.array([0, 2, 0, 1])) == ("mail away from chat, not in one node",)
    assert broken(found.problem, np.array([0, 2, 1, 3])) == ("chat beside maps, in one strip",)
    assert broken(found.problem, np.array([0, 2, 1, 0])) == ()
    assert level(found, "nearness", [0, 2, 1, 0]) == 0
    assert level(found, "nearness", [0, 2, 1, 1]) == 1


def test_what_shares_a_strip_is_a_single_point():
    """Two copies behind one strip stop with it; what takes every host away says nothing about the placement."""
    found = asked(SHELF + "  state: {copies: 2, on: n-*, serves: any}")
    assert level(found, "single points", [0, 1]) == 1
    assert level(found, "single points", [0, 2]) == 0
    pooled = asked(SHELF + "  state: {copies: 2, on: shelf}")
    assert level(pooled, "single points", [0, 1]) == 0
    assert level(pooled, "interruptions", [0, 1]) == 1


def test_an_aim_comes_first():
    """What an aim says of a strip counts among the aims; what may blink does not where copies restart elsewhere."""
    aims = "\naims:\n  strips: {lose: strip, at most: thin, of: state}\n"
    text = SHELF + "  state: {copies: 2, on: n-*, serves: any}" + aims
    found = asked(text)
    assert level(found, "aims", [0, 1]) == 1
    assert level(found, "aims", [0, 2]) == 0
    pooled = asked(text.replace("on: n-*, serves", "on: shelf, serves").replace("thin", "blinks"))
    assert level(pooled, "aims", [0, 1]) == 0


def test_room_without_is_an_aim():
    """20 GiB fit into no hole, and three copies that are kept apart fill all hosts but the full one."""
    aims = "\naims:\n  room: {room without: n-*}\n"
    found = asked(
        SHELF + "  a: {on: shelf, takes: 20 GiB}\n  b: {copies: 3, on: shelf, takes: 10 GiB}" + aims
    )
    assert level(found, "aims", [0, 1, 2, 3]) == 4
    roomy = asked(SHELF + "  a: {on: shelf, takes: 20 GiB}\n  b: {copies: 2, on: shelf, takes: 4 GiB}" + aims)
    assert level(roomy, "aims", [0, 1, 2]) == 0


def test_hosts_that_are_out_take_nothing():
    """A host that is out is no bin, and who was on it is nowhere."""
    lab = lab_of(SHELF + "  mail: {copies: 2, on: shelf, placed: [n-1, n-2]}")
    found = placeable(Standing(lab, out=["n-1"]))
    assert found.scene.hosts == ("n-2", "n-3", "n-4")
    assert found.problem.start.tolist() == [NOWHERE, 0]


def test_watts_of_a_strip_are_shared():
    """Four machines that idle at 20 W and a breaker of one ampere: what their copies draw is limited together."""
    text = (
        SHELF.replace("breaker: 16 A", "breaker: 1 A")
        + "  mail: {copies: 2, on: shelf, takes: {draws: 10 W}}"
    )
    found = asked(text)
    assert [(each.name, each.capacity) for each in found.problem.shared] == [("what c1 carries", 150)]


@pytest.mark.parametrize("share", ["50 %", "80 %"])
def test_comfort_costs(share):
    """Above its comfort a host costs four times more than what the steps say."""
    text = (
        SHELF.replace("keeps free: 8 GiB", f"keeps free: 8 GiB, comfort: {share}")
        + "  a: {on: shelf, takes: 22 GiB}"
    )
    plain = SHELF + "  a: {on: shelf, takes: 22 GiB}"
    over = 22 * 1024 - int(24 * 1024 * float(share.removesuffix(" %")) / 100)
    assert level(asked(text), "balance", [0]) - level(asked(plain), "balance", [0]) == 4 * over
    assert all(each.level != HARD for each in asked(text).problem.comfort)
