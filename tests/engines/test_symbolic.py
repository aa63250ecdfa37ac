"""Do functions of the leaves say the same as the definition, scenario by scenario?"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from tests.engines.systems import majority_and_all, systems

from falsework.engines import symbolic
from falsework.engines.gates import GateBuilder
from falsework.engines.judge import judge
from falsework.engines.symbolic import functions


class Tables:
    """Functions as whole tables: bit s of the number is the value in scenario s, whose bit i is leaf i."""

    def __init__(self, n):
        self.n = n
        self.every = (1 << (1 << n)) - 1

    def constant(self, value):
        """All bits, or none."""
        return self.every if value else 0

    def leaf(self, row):
        """The scenarios in which the leaf stands."""
        return sum(1 << s for s in range(1 << self.n) if s >> row & 1)

    def all_of(self, functions):
        """Their common bits."""
        found = self.every
        for each in functions:
            found &= each
        return found

    def any_of(self, functions):
        """All their bits."""
        found = 0
        for each in functions:
            found |= each
        return found

    def at_least(self, k, functions):
        """The bits that `k` of them have."""
        return sum(1 << s for s in range(1 << self.n) if sum(each >> s & 1 for each in functions) >= k)

    def choose(self, condition, then, otherwise):
        """Bits of one or of the other."""
        return condition & then | (self.every & ~condition) & otherwise


def judged(graph):
    """The same tables by the judge."""
    tables = [0] * len(graph.kept)
    for s in range(1 << graph.n_leaves):
        failed = {row for row in range(graph.n_leaves) if not s >> row & 1}
        for number, value in enumerate(judge(graph, failed)):
            tables[number] |= value << s
    return tables


@settings(deadline=None)
@given(systems(max_leaves=5))
def test_functions_are_what_the_judge_says_in_every_scenario(graph):
    """Random systems with loops of both signs and boxes: equal tables."""
    found, exact = functions(graph, Tables(graph.n_leaves))
    assert exact
    assert found == judged(graph)


@settings(deadline=None)
@given(systems(max_leaves=4))
def test_wide_boxes_are_bounded_from_both_sides(graph):
    """With no box asked in full and few sets asked, "lower" is below the truth and "upper" above it."""
    true = judged(graph)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(symbolic, "WHOLE", 0)
        patch.setattr(symbolic, "ASKED", 4)
        lower, _ = functions(graph, Tables(graph.n_leaves), side="lower")
        upper, _ = functions(graph, Tables(graph.n_leaves), side="upper")
    for low, middle, high in zip(lower, true, upper, strict=True):
        assert low & ~middle == 0
        assert middle & ~high == 0


def test_a_wide_box_asked_about_all_small_sets_is_exact_as_far_as_they_go():
    """More than half of five, asked about sets of up to two: three false ones are what "upper" can't see."""
    builder = GateBuilder()
    most, every = builder.oracle([builder.leaf(str(n)) for n in range(5)], 2, majority_and_all, "most")
    graph = builder.freeze([most, every])
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(symbolic, "WHOLE", 0)
        patch.setattr(symbolic, "ASKED", 16)  # 1 + 5 + 10
        (low, low_every), exact = functions(graph, Tables(5), side="lower")
        (high, high_every), _ = functions(graph, Tables(5), side="upper")
    assert not exact
    assert low == sum(1 << n for n in range(32) if bin(n).count("1") >= 3)
    assert high == (1 << 32) - 1
    assert low_every == high_every == 1 << 31


def test_a_box_that_is_not_monotone_is_read_carefully():
    """By hand: a box that answers "not just x" is false without y; then it stays false without x and y too."""
    builder = GateBuilder()

    def odd(inputs):
        return (inputs[1] | ~inputs[0])[np.newaxis]

    (only,) = builder.oracle([builder.leaf("x"), builder.leaf("y")], 1, odd, "odd")
    (found,), exact = functions(builder.freeze([only]), Tables(2))
    assert exact
    assert found == 0b1100  # true with y, whatever x does
