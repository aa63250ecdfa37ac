"""Blocks lie as low as can be: held against every way to put them."""

import itertools

from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.engines.stacking import stacked

columns = st.tuples(
    st.integers(1, 9),
    st.lists(st.tuples(st.integers(0, 8), st.integers(1, 3)).map(lambda p: (p[0], p[0] + p[1])), max_size=2),
    st.lists(st.tuples(st.integers(1, 3), st.integers(1, 9)), max_size=4),
)


def best(height, taken, blocks):
    """Fewest left out, then the least moment, over every whole place of every block or none."""
    found = (len(blocks) + 1, 0.0)
    for places in itertools.product([None, *range(height)], repeat=len(blocks)):
        held = [(low, low + tall) for low, (tall, _) in zip(places, blocks, strict=True) if low is not None]
        whole = [*held, *((max(low, 0), min(high, height)) for low, high in taken)]
        if any(high > height for _, high in held):
            continue
        if any(
            a[0] < b[1] and b[0] < a[1] for a, b in itertools.combinations(whole, 2) if a in held or b in held
        ):
            continue
        left = sum(1 for each in places if each is None)
        moment = sum(
            mass * (low + tall / 2)
            for low, (tall, mass) in zip(places, blocks, strict=True)
            if low is not None
        )
        found = min(found, (left, moment))
    return found


@given(columns)
@settings(max_examples=60, deadline=None)
def test_no_way_lies_lower(column):
    """As many are in, and their weight as low, as in the best of all ways."""
    height, taken, blocks = column
    found = stacked(height, taken, blocks)
    left = sum(1 for each in found.at if each is None)
    moment = sum(
        mass * (low + tall / 2) for low, (tall, mass) in zip(found.at, blocks, strict=True) if low is not None
    )
    assert found.least
    assert (left, moment) == best(height, taken, blocks)


def test_many_alike_are_few_orders():
    """Forty blocks of one sort are one order, and proved."""
    found = stacked(42, [(0, 2)], [(1, 10)] * 40)
    assert found.least
    assert sorted(found.at) == list(range(2, 42))


@given(st.lists(st.tuples(st.integers(1, 3), st.integers(1, 9)), min_size=1, max_size=5), st.integers(0, 3))
@settings(max_examples=30, deadline=None)
def test_one_free_place_needs_no_trying(blocks, taken):
    """The densest lowest is the best of all orders, above what stands at the bottom."""
    height = taken + sum(tall for tall, _ in blocks)
    found = stacked(height, [(0, taken)] if taken else [], blocks)

    def moment(order):
        low, total = taken, 0.0
        for tall, mass in order:
            total += mass * (low + tall / 2)
            low += tall
        return total

    assert found.least
    got = sum(mass * (low + tall / 2) for low, (tall, mass) in zip(found.at, blocks, strict=True))
    assert abs(got - min(map(moment, itertools.permutations(blocks)))) < 1e-9


def test_many_different_go_by_density():
    """More orders than are tried: densest lowest, and not called the least."""
    blocks = [(1, 20 - number) for number in range(12)]
    found = stacked(20, [(12, 13)], blocks)
    assert not found.least
    assert list(found.at) == list(range(12))
