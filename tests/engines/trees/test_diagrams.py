"""Do the decision diagrams agree with the unfolding on trees too large to enumerate?"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.engines.trees.diagrams import DiagramEngine
from tests.engines.trees.drawn import COHERENT, chances, trees
from tests.published.trees import open_tree

from falsework.engines.trees.bounds import min_cut_upper_bound, rare_event_sum
from falsework.engines.trees.engine import column
from falsework.engines.trees.expand import expand


@given(data=st.data())
def test_diagrams_and_unfolding_agree(data):
    """On coherent trees of up to 14 events: the same cut sets, and P(top) within their bounds."""
    tree = data.draw(trees(ops=COHERENT, max_events=14, max_gates=12))
    q = data.draw(chances(tree))
    engine, found = DiagramEngine(tree), expand(tree).cut_sets
    assert engine.cut_sets() == found
    top, upper, rare = engine.probability(q), min_cut_upper_bound(found, q), rare_event_sum(found, q)
    assert (top <= upper + 1e-12).all()
    assert (upper <= rare + 1e-12).all()


@pytest.mark.parametrize("name", ["chinese", "ftr10", "isp9603", "isp9606"])
def test_they_agree_on_open_trees(name):
    """The same cut sets, one by one, found in ways that share nothing; P(top) is the published one.

    Source: the Aralia collection, figures of its data repository (DOI 10.5281/zenodo.20160659), six digits.
    """
    tree, published = open_tree("aralia", name)
    engine, q = DiagramEngine(tree), column(tree)
    assert engine.cut_sets() == expand(tree).cut_sets
    top = engine.probability(q)[0]
    assert top == pytest.approx(float(published["top_event_probability"]), rel=1e-5)
    on, off = engine.given(q)
    np.testing.assert_allclose(q * on + (1 - q) * off, top, rtol=1e-12)
