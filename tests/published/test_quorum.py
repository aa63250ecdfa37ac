from __future__ import annotations

from itertools import combinations

import pytest
from tests.strategies import lab_of

from falsework.analyses.verdicts import Verdict, lose
from falsework.model.rules import majority_of
from falsework.support.graph import Room
from falsework.support.room import packed
from falsework.support.standing import Standing


def voters(count):
    """A service that a majority of so many nodes serves."""
    text = f"falsework: 1\nlab: x\nmachines: {{n1..{count}: {{is: node}}}}\nservices: {{s: {{on: n*, serves: majority}}}}\n"
    return Standing(lab_of(text))


@pytest.mark.parametrize(
    ("count", "majority", "tolerated"), [(1, 1, 0), (2, 2, 0), (3, 2, 1), (4, 3, 1), (5, 3, 2)]
)
def test_the_majority_table(count, majority, tolerated):
    """A majority of n is floor(n/2)+1, and n less that may fail, whichever they are; one more and it falls.

    Source: majority table for consensus groups in public documentation of several systems; for five: Ongaro and
    Ousterhout, In Search of an Understandable Consensus Algorithm (extended version), sections 2 and 5.1.
    """
    assert majority_of("majority", count) == majority
    standing = voters(count)
    for size in range(count + 1):
        views = standing.views(list(combinations(standing.parts, size)))
        assert all(view.back("s") == (size <= tolerated) for view in views)


@pytest.mark.parametrize(("count", "printed"), [(2, 0.9801), (3, 0.999702), (4, 0.999408)])
def test_two_or_four_voters_are_worse_than_three(count, printed):
    """With nodes that work 99 % of the time three voters beat two and four. Source: binomial, own arithmetic."""
    standing = voters(count)
    losses = [lost for size in range(count + 1) for lost in combinations(standing.parts, size)]
    found = sum(
        0.99 ** (count - len(lost)) * 0.01 ** len(lost)
        for lost, view in zip(losses, standing.views(losses), strict=True)
        if view.back("s")
    )
    assert found == pytest.approx(printed, abs=5e-7)  # six digits are printed


@pytest.mark.parametrize(("serves", "verdict"), [("majority", Verdict.FALLS), ("any", Verdict.STANDS)])
def test_two_nodes_with_the_link_cut(serves, verdict):
    """With the link between two nodes cut neither has a majority and both stop; if votes are ignored both run.

    Source: follows from the majority table; from memory.
    """
    text = f"""
falsework: 1
lab: x
machines: {{n1..2: {{is: node}}, sw-1..2: {{is: switch}}}}
wire: {{cables: [n1 -- sw-1, n2 -- sw-2, sw-1 -- sw-2]}}
services: {{s: {{on: n*, serves: {serves}}}}}
"""
    standing = Standing(lab_of(text))
    (link,) = (part for part in standing.parts if part.count("sw-") == 2)
    assert standing.baseline.up("s")
    assert lose(standing, [link], thin=False).of("s").verdict is verdict


@pytest.mark.parametrize(("hosts", "ceiling"), [(2, 0.5), (3, 0.667), (4, 0.75), (5, 0.8)])
def test_the_load_that_leaves_room_for_one_host_less(hosts, ceiling):
    """Hosts filled to (n-1)/n have room for everything with any one gone; a little more and they have not.

    Source: by definition; common practice.
    """
    assert (hosts - 1) / hosts == pytest.approx(ceiling, abs=5e-4)
    for each, fits in ((hosts - 1, True), (hosts, False)):
        room = filled(hosts, each)
        share = sum(take[1] for take in room.takes) / sum(free[1] for free in room.free)
        assert (share <= (hosts - 1) / hosts) == fits
        for gone in range(hosts):
            assert (not packed(room, frozenset([gone]))) == fits


def filled(hosts, each):
    """So many hosts of as many units of memory, each with `each` copies of one unit."""
    copies = [host for host in range(hosts) for _ in range(each)]
    none = (0.0, 0.0, 0.0)
    return Room(
        pool="p",
        hosts=tuple(f"h{host}" for host in range(hosts)),
        free=((0.0, float(hosts), 0.0, 0.0),) * hosts,
        copies=tuple(f"c{number}" for number in range(len(copies))),
        host_of=tuple(copies),
        takes=((none[0], 1.0, *none[1:]),) * len(copies),
        apart=tuple(range(len(copies))),
        domain_of=(tuple(range(hosts)),) * len(copies),
        sheds=(False,) * len(copies),
    )
