"""Do functions come out of the library as they went in?"""

from __future__ import annotations

import numpy as np
from tests.engines.diagrams.random_trees import tree_of

from falsework.engines.diagrams.build import Diagrams
from falsework.engines.diagrams.flat import FALSE, TRUE
from falsework.engines.diagrams.layers import layers
from falsework.engines.diagrams.limits import Limits
from falsework.engines.diagrams.probability import probability
from falsework.engines.diagrams.sensitivity import sensitivity
from falsework.engines.diagrams.solve import diagram, top_probability
from falsework.engines.trees.tree import Op


def test_constants_alone():
    """True and false have no nodes of their own, sure probabilities, and no slope."""
    diagrams = Diagrams(range(3))
    flat = diagrams.flat([diagrams.true, diagrams.false])
    assert flat.n_nodes == 2
    assert flat.roots.tolist() == [TRUE, FALSE]
    assert layers(flat) == []
    assert probability(flat, np.full(3, 0.5)).tolist() == [1.0, 0.0]
    assert not sensitivity(flat, np.full((3, 2), 0.5)).any()


def test_constants_among_others():
    """They keep their places among the roots, and a function given twice is one node."""
    diagrams = Diagrams([2, 0, 1])
    x = diagrams.var(0)
    flat = diagrams.flat([diagrams.false, x, diagrams.true, x, diagrams.negate(x)])
    assert flat.variable.tolist() == [2, 0, 1]
    assert flat.roots[[0, 2]].tolist() == [FALSE, TRUE]
    assert flat.roots[1] == flat.roots[3] != flat.roots[4]
    p = np.array([0.1, 0.25, 0.7])  # by level: of 2, 0, 1
    assert probability(flat, p).tolist() == [0.0, 0.25, 1.0, 0.25, 0.75]
    assert sensitivity(flat, p)[:, 1].tolist() == [0.0, 1.0, 0.0, 1.0, -1.0]


def test_a_constant_tree_has_a_diagram():
    """A gate that is always true: one root, the terminal."""
    made = diagram(tree_of(1, (Op.CONSTANT, [], 1)), limits=Limits(nodes=1 << 10))
    assert made.flat.roots.tolist() == [TRUE]
    assert top_probability(made) == 1.0
