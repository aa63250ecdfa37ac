"""Which single losses may do more in company?"""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.engines.systems import systems

from falsework.engines.company import Company
from falsework.engines.gates import GateBuilder, GateGraph
from falsework.engines.judge import judge


@given(graph=systems(max_leaves=10), data=st.data())
@settings(deadline=None, max_examples=200)
def test_who_does_not_meet_a_loss_does_no_more_on_top_of_it(graph: GateGraph, data: st.DataObject) -> None:
    """On top of any loss, a leaf that does not meet it makes false just what it makes false alone."""
    lost = data.draw(st.sets(st.integers(0, graph.n_leaves - 1), max_size=4))
    met = Company(graph).met(sorted(lost))
    assert met.tolist() == sorted(set(met.tolist()))
    after = np.array(judge(graph, lost))
    for leaf in set(range(graph.n_leaves)) - set(met.tolist()):
        both, alone = np.array(judge(graph, {*lost, leaf})), np.array(judge(graph, {leaf}))
        assert both.tolist() == (after & alone).tolist()


def test_few_are_met() -> None:
    """Of two pairs of twins, the loss of one twin meets the other one; that of two strangers meets both others."""
    builder = GateBuilder()
    twins = [[builder.leaf(f"{pair}{n}") for n in range(2)] for pair in "ab"]
    company = Company(builder.freeze([builder.any_of(pair) for pair in twins]))
    assert company.met([0]).tolist() == [1]
    assert company.met([0, 2]).tolist() == [1, 3]
    assert company.met([]).tolist() == []


def test_three_may_meet_where_two_do_not() -> None:
    """Of three of which one must stand, two that are lost meet the third, and one alone meets none."""
    builder = GateBuilder()
    company = Company(builder.freeze([builder.any_of([builder.leaf(f"{n}") for n in range(3)])]))
    assert company.met([0]).tolist() == []
    assert company.met([0, 1]).tolist() == [2]
