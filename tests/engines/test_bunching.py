"""Into how few groups do things go?"""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.engines.bunching import fewest_groups


def fits(sizes, limits, group):
    """Whether no group exceeds a limit, added up anew."""
    return all(
        sum(takes.get(at, 0) for takes, own in zip(sizes, group, strict=True) if own == number)
        <= limit + 1e-9
        for number in set(group)
        for at, limit in enumerate(limits)
    )


def slowest(sizes, limits):
    """The fewest groups by trying every way."""
    return min(
        len(set(group))
        for group in itertools.product(range(len(sizes)), repeat=len(sizes))
        if fits(sizes, limits, group)
    )


def test_first_fit_is_not_enough():
    """Of 10: first fit by falling size takes 3 groups for 5, 4, 4, 3, 2, 2 (5+4, 4+3+2, 2); 5+3+2 and 4+4+2 are two."""
    sizes = [{0: size} for size in (5, 4, 4, 3, 2, 2)]
    found = fewest_groups(sizes, [10])
    assert (found.count, found.proved) == (2, True)
    assert fits(sizes, [10], found.group)


def test_two_limits_bind_together():
    """Each pair shares one limit or the other, so three things need three groups although each sum is small."""
    sizes = [{0: 6, 1: 6}, {0: 6}, {1: 6}]
    found = fewest_groups(sizes, [10, 10])
    assert found.count == 2
    sizes = [{0: 6, 1: 6}, {0: 6, 2: 6}, {1: 6, 2: 6}]
    assert fewest_groups(sizes, [10, 10, 10]).count == 3


def test_nothing_and_too_much():
    """Nothing goes into no group; what exceeds a limit alone is refused."""
    assert fewest_groups([], [1]).count == 0
    with pytest.raises(ValueError, match="thing 1"):
        fewest_groups([{0: 1}, {0: 11}], [10])


def test_it_says_when_it_gave_up():
    """With no branches to look at, what first fit found stands, unproved."""
    sizes = [{0: size} for size in (5, 4, 4, 3, 2, 2)]
    found = fewest_groups(sizes, [10], nodes=0)
    assert (found.count, found.proved) == (3, False)


def test_of_very_many_only_the_bound_tells():
    """Three hundred halves go into 150 groups, which the sum proves; odd sizes stay unproved and never stop it."""
    halves = fewest_groups([{0: 5}] * 300, [10])
    assert (halves.count, halves.proved) == (150, True)
    odd = fewest_groups([{0: (3.5, 4, 5.2)[k % 3]} for k in range(300)], [10])
    assert fits([{0: (3.5, 4, 5.2)[k % 3]} for k in range(300)], [10], odd.group)


@settings(max_examples=80, deadline=None)
@given(
    st.lists(st.dictionaries(st.integers(0, 1), st.integers(0, 10), max_size=2), max_size=5),
    st.tuples(st.integers(10, 20), st.integers(10, 20)),
)
def test_against_every_way(sizes, limits):
    """As few as trying every way finds, proved, and within the limits."""
    found = fewest_groups(sizes, limits)
    assert found.proved
    assert len(set(found.group)) == found.count
    assert fits(sizes, limits, found.group)
    if sizes:
        assert found.count == slowest(sizes, limits)
