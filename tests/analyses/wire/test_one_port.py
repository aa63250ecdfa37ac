from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.strategies import lab_of

from falsework.analyses.wire.one_port import limits
from falsework.model.build import load
from falsework.support.carriers import Wires
from falsework.support.standing import Standing

TRAPS = Path(__file__).parents[2] / "labs" / "traps" / "05-one-port-voters"


def of(lab):
    """The limits of a lab."""
    standing = Standing(lab)
    return standing, limits(standing, Wires(lab, standing.support.networks))


@pytest.mark.parametrize(
    ("name", "falls_by", "possible", "two_ports", "more_switches"),
    [
        ("base", ("sw-1",), False, 1, 1),
        ("one", (), True, 0, 0),
        ("two", ("sw-1", "sw-2"), False, 2, 2),
        ("three", ("sw-2",), False, 1, 1),
    ],
)
def test_the_traps(name, falls_by, possible, two_ports, more_switches):
    """Trap 5 and its variants: five on two switches, 2 + 2 + 1 with two ports, four on two, a row of three switches."""
    _, (limit,) = of(load(TRAPS / f"{name}.yaml"))
    assert limit.falls_by == falls_by
    assert limit.possible == possible
    assert (limit.two_ports, limit.more_switches) == (two_ports, more_switches)


VOTERS = """
falsework: 1
lab: Voters
machines:
  v1..COUNT: {is: node, ports: {a: 1 Gb/s}}
  s1..SWITCHES: {is: switch, ports: 20}
wire:
  cables: [CABLES]
services:
  state: {on: v*, serves: majority}
"""


def voters(at, joined):
    """A lab of one-port voters, each at a switch, and these pairs of switches joined."""
    lines = [f"v{number + 1} -- s{switch + 1}" for number, switch in enumerate(at)]
    lines += [f"s{one + 1} -- s{other + 1}" for one, other in joined]
    text = VOTERS.replace("COUNT", str(len(at))).replace("CABLES", ", ".join(lines))
    return text.replace("SWITCHES", str(1 + max([*at, *(end for pair in joined for end in pair)])))


def test_three_on_three_is_no_alarm():
    """Three voters on three joined switches survive any one: possible, and nothing falls."""
    _, (limit,) = of(lab_of(voters((0, 1, 2), [(0, 1), (1, 2), (2, 0)])))
    assert limit.possible
    assert limit.falls_by == ()


def test_what_is_possible_is_shown():
    """Two of three on one of three switches: one moves, and any one switch may go."""
    _, (limit,) = of(lab_of(voters((0, 0, 1), [(0, 1), (1, 2), (2, 0)])))
    assert limit.falls_by == ("s1",)
    assert limit.possible
    assert dict(limit.arrangement) == {"s1": 1, "s2": 1, "s3": 1}


@given(st.lists(st.integers(0, 2), min_size=3, max_size=5), st.booleans())
@settings(deadline=None, max_examples=30)
def test_what_it_falls_by_is_what_the_verdicts_say(at, closed):
    """Losing a switch is told where the service stands no more by it; some arrangement is possible where one stands all."""
    joined = [(0, 1), (1, 2), (2, 0)] if closed else [(0, 1), (1, 2)]
    standing, (limit,) = of(lab_of(voters(tuple(at), joined)))
    switches = ("s1", "s2", "s3")
    views = standing.views([(switch,) for switch in switches])
    assert limit.falls_by == tuple(s for s, view in zip(switches, views, strict=True) if not view.up("state"))


@pytest.mark.parametrize("count", [3, 4, 5])
@pytest.mark.parametrize("joined", [((0, 1),), ((0, 1), (1, 2)), ((0, 1), (1, 2), (2, 0))])
def test_possible_against_the_verdicts_of_every_way(count, joined):
    """All ways of plugging in, each asked of the verdict engine: one survives every switch exactly where it says so."""
    switches = 1 + max(max(pair) for pair in joined)
    _, (limit,) = of(lab_of(voters((0,) * (count - 1) + (1,), joined)))

    def survives(at):
        standing = Standing(lab_of(voters(at, joined)))
        views = standing.views([(f"s{each + 1}",) for each in range(switches)])
        return all(view.up("state") for view in views)

    def ways(left, least):
        if not left:
            yield ()
            return
        for switch in range(least, switches):
            for rest in ways(left - 1, switch):
                yield (switch, *rest)

    assert limit.possible == any(survives(at) for at in ways(count, 0))


def test_services_that_want_all_or_one_are_not_told():
    """Where one copy is enough, or all are needed, the spread is no question."""
    text = voters((0, 0, 1), [(0, 1)])
    for word in ("any", "all"):
        assert not of(lab_of(text.replace("majority", word)))[1]
