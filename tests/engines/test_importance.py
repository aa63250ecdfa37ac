from __future__ import annotations

import warnings

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.engines.trees.drawn import COHERENT, chances, tree_of, trees

from falsework.engines import importance
from falsework.engines.trees.enumerate import Enumeration
from falsework.engines.trees.tree import Op

ROUNDING = 1e-9


@given(data=st.data())
def test_birnbaum_is_the_slope(data):
    """P changes by Birnbaum's importance times the change of q: P is linear in each q."""
    tree = data.draw(trees(max_events=5))
    q = data.draw(chances(tree))
    engine = Enumeration(tree)
    slope = importance.birnbaum(*engine.given(q))
    for event in range(len(tree.events)):
        moved = q.copy()
        moved[event] = 1 - moved[event]
        change = engine.probability(moved) - engine.probability(q)
        assert change == pytest.approx(slope[event] * (moved[event] - q[event]), abs=1e-12)


@given(data=st.data())
def test_order_of_the_three_shares(data):
    """Criticality <= Fussell-Vesely over cut sets <= P(event | top) <= 1 in a coherent tree."""
    tree = data.draw(trees(ops=COHERENT, max_events=6))
    q = data.draw(chances(tree, sure=False))
    engine = Enumeration(tree)
    top = engine.probability(q)
    on, off = engine.given(q)
    critical = importance.criticality(top, on, off, q)
    share = importance.fussell_vesely(top, engine.through(q))
    found = importance.diagnosis(top, on, q)
    assert (critical <= share + ROUNDING).all()
    assert (share <= found + ROUNDING).all()
    assert (found <= 1 + ROUNDING).all()
    np.testing.assert_allclose(critical, (top - off) / top, atol=1e-9)


@given(data=st.data())
def test_worths_are_at_least_one_in_coherent_trees(data):
    """A part that failed never makes the top event rarer, one that can't fail never likelier; 1 - 1/RRW is criticality."""
    tree = data.draw(trees(ops=COHERENT, max_events=6))
    q = data.draw(chances(tree, sure=False))
    engine = Enumeration(tree)
    top = engine.probability(q)
    on, off = engine.given(q)
    assert (importance.achievement_worth(top, on) >= 1 - ROUNDING).all()
    reduction = importance.reduction_worth(top, off)
    assert (reduction >= 1 - ROUNDING).all()
    np.testing.assert_allclose(1 - 1 / reduction, importance.criticality(top, on, off, q), atol=1e-9)


def test_shares_of_change_by_hand():
    """Two in series, 0.1 and 0.4: equal steps matter as 0.6 to 0.9, equal percentages as 0.06 to 0.36."""
    engine, q = Enumeration(tree_of(2, (Op.OR, [0, 1]))), np.array([[0.1], [0.4]])
    on, off = engine.given(q)
    equal = importance.differential(on, off, q, in_proportion=False)
    assert equal[:, 0] == pytest.approx([0.6 / 1.5, 0.9 / 1.5])
    assert importance.differential(on, off, q)[:, 0] == pytest.approx([0.06 / 0.42, 0.36 / 0.42])


def test_divisions_by_zero_are_told_without_a_warning():
    """A top event that can't happen makes quotients nan; one that can't without the event makes RRW inf."""
    engine = Enumeration(tree_of(2, (Op.AND, [0, 1])))
    q = np.array([[0.0, 0.5], [0.0, 0.5]])
    top = engine.probability(q)
    on, off = engine.given(q)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert np.isnan(importance.criticality(top, on, off, q)[:, 0]).all()
        assert np.isnan(importance.diagnosis(top, on, q)[:, 0]).all()
        assert np.isnan(importance.reduction_worth(top, off)[:, 0]).all()
        assert importance.reduction_worth(top, off)[:, 1].tolist() == [np.inf, np.inf]
    assert importance.achievement_worth(np.zeros(1), np.full((1, 1), 0.2)).tolist() == [[np.inf]]


def test_one_column_may_come_without_its_axis():
    """A vector of events and a plain number for P are good enough."""
    q = np.array([0.1, 0.4])
    found = importance.diagnosis(np.float64(0.46), np.array([1.0, 1.0]), q)
    assert found == pytest.approx(q / 0.46)
    assert importance.reduction_worth(np.float64(0.46), np.array([0.4, 0.1])) == pytest.approx([1.15, 4.6])
