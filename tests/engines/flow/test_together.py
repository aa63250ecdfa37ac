"""The largest share of many demands is proved by its flows from below and by its prices from above."""

from __future__ import annotations

import heapq
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.engines.flow.nets import joined, nets

from falsework.engines.flow.largest import largest
from falsework.engines.flow.net import Link, Net
from falsework.engines.flow.together import Demand, together


def cheapest(net, demand, found):
    """The least that any way of a demand pays in prices of links and vertices."""
    start = found.passing.get(demand.one, 0.0)
    waiting, done = [(start, demand.one)], set()
    while waiting:
        paid, at = heapq.heappop(waiting)
        if at == demand.other:
            return paid
        if at in done or (at in net.ends and at != demand.one):
            continue
        done.add(at)
        for link in net.links:
            if at in (link.one, link.other) and link.one != link.other:
                into = link.across(at)
                if demand.within is None or link.name in demand.within:
                    more = found.prices.get((link.name, into), 0.0) + found.passing.get(into, 0.0)
                    heapq.heappush(waiting, (paid + more, into))
    return float("inf")


def check(net, demands, found):
    """What flows adds up and exceeds nothing; what is paid at the prices shows that no larger share fits."""
    carries = {link.name: link.carries for link in net.links}
    links = {link.name: link for link in net.links}
    used = {}
    through = dict.fromkeys(net.vertices, 0.0)
    groups = {}
    for demand in demands:
        groups.setdefault((demand.one, demand.within), []).append(demand)
    for ((one, _), those), flow in zip(groups.items(), found.along, strict=True):
        balance = dict.fromkeys(net.vertices, 0.0)
        for (name, into), amount in flow.items():
            balance[into] += amount
            balance[links[name].across(into)] -= amount
            used[name, into] = used.get((name, into), 0.0) + amount
            through[into] += amount
        for demand in those:
            balance[demand.other] -= found.share * demand.amount
            balance[one] += found.share * demand.amount
            through[one] += found.share * demand.amount
        assert all(abs(left) < 1e-6 for left in balance.values())
    assert all(amount <= carries[name] + 1e-6 for (name, _), amount in used.items())
    assert all(through[vertex] <= most + 1e-6 for vertex, most in net.passes.items() if vertex in through)
    worth = sum(carries[name] * price for (name, _), price in found.prices.items())
    worth += sum(net.passes[vertex] * price for vertex, price in found.passing.items())
    paid = sum(demand.amount * cheapest(net, demand, found) for demand in demands)
    assert found.share * paid >= worth - 1e-6 * max(worth, 1.0)
    assert paid > 0


def test_two_that_share_a_link_by_hand():
    """Three and one over a link of two: half of each."""
    net = Net(
        links=(
            Link(name="a", one="s", other="x", carries=9),
            Link(name="b", one="x", other="t", carries=2),
        )
    )
    demands = [Demand(one="s", other="t", amount=3.0), Demand(one="x", other="t", amount=1.0)]
    found = together(net, demands)
    assert found.share == pytest.approx(0.5)
    assert set(found.prices) == {("b", "t")}
    check(net, demands, found)


def test_both_directions_are_there_at_once():
    """A link carries two there and two back at the same time."""
    net = Net(links=(Link(name="a", one="s", other="t", carries=2),))
    found = together(net, [Demand(one="s", other="t", amount=2.0), Demand(one="t", other="s", amount=2.0)])
    assert found.share == pytest.approx(1.0)


def test_the_three_cornered_net_by_hand():
    """A ring of three links of one, a demand of one along each: half as much again goes round the other way."""
    ring = Net(
        links=tuple(
            Link(name=one + other, one=one, other=other, carries=1)
            for one, other in (("a", "b"), ("b", "c"), ("c", "a"))
        )
    )
    demands = [
        Demand(one=one, other=other, amount=1.0) for one, other in (("a", "b"), ("b", "c"), ("c", "a"))
    ]
    found = together(ring, demands)
    # Straight each fills its own direction; the way round takes two of the other, and each of those is shared by two.
    assert found.share == pytest.approx(1.5)
    check(ring, demands, found)


def test_a_demand_stays_within():
    """A demand that may not take a link does not go that way."""
    net = Net(
        links=(
            Link(name="direct", one="s", other="t", carries=1),
            Link(name="out", one="s", other="x", carries=5),
            Link(name="in", one="x", other="t", carries=5),
        )
    )
    free = Demand(one="s", other="t", amount=1.0)
    held = Demand(one="s", other="t", amount=1.0, within=frozenset({"direct"}))
    assert together(net, [free]).share == pytest.approx(6.0)
    assert together(net, [held]).share == pytest.approx(1.0)
    check(net, [held, free], together(net, [held, free]))


def test_nothing_to_get_through_is_no_question():
    """Without a demand there is no share."""
    with pytest.raises(ValueError, match="nothing to get through"):
        together(Net(links=()), [])


@given(nets())
@settings(max_examples=80)
def test_one_demand_gets_the_largest_flow(net):
    """With one demand the share is the largest flow over the demand."""
    if largest(net, "0", "1").value:
        found = together(net, [Demand(one="0", other="1", amount=2.0)])
        assert found.share == pytest.approx(largest(net, "0", "1").value / 2.0)


@given(nets(), st.data())
@settings(max_examples=80)
def test_flows_and_prices_prove_each_other(net, data):
    """Up to four demands at random: both certificates hold."""
    pairs = [pair for pair in product(net.vertices, repeat=2) if pair[0] != pair[1] and joined(net, *pair)]
    if not pairs:
        return
    ends = data.draw(st.lists(st.sampled_from(pairs), min_size=1, max_size=4))
    demands = [
        Demand(one=one, other=other, amount=float(data.draw(st.integers(1, 5)))) for one, other in ends
    ]
    check(net, demands, together(net, demands))


@given(
    st.integers(1, 4),
    st.integers(1, 4),
    st.integers(1, 4),
    st.lists(st.integers(1, 4), min_size=3, max_size=3),
)
@settings(max_examples=40)
def test_every_split_in_whole_steps_is_no_better(first, second, third, amounts):
    """On a triangle, brute force over how each of three demands is split between its two ways finds no more."""
    net = Net(
        links=(
            Link(name="ab", one="a", other="b", carries=first),
            Link(name="bc", one="b", other="c", carries=second),
            Link(name="ac", one="a", other="c", carries=third),
        )
    )
    ends = (("a", "b"), ("b", "c"), ("a", "c"))
    demands = [
        Demand(one=one, other=other, amount=float(amount))
        for (one, other), amount in zip(ends, amounts, strict=True)
    ]
    found = together(net, demands)
    carries = {link.name: link.carries for link in net.links}
    steps = 12
    best = 0.0
    for splits in product(range(steps + 1), repeat=3):
        load = {}
        for (one, other), amount, part in zip(ends, amounts, splits, strict=True):
            third_one = next(each for each in "abc" if each not in (one, other))
            straight, around = amount * part / steps, amount * (steps - part) / steps
            for at, into, much in (
                (one, other, straight),
                (one, third_one, around),
                (third_one, other, around),
            ):
                load[at, into] = load.get((at, into), 0.0) + much
        share = min(carries["".join(sorted(arc))] / much for arc, much in load.items() if much)
        best = max(best, share)
    assert found.share >= best - 1e-6
    check(net, demands, found)
