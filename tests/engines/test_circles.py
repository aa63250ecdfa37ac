"""Where do rows lean on each other in circles, and how deep do they lie?"""

from __future__ import annotations

import networkx as nx
import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.engines.circles import circles

READS = st.integers(1, 12).flatmap(
    lambda n: st.tuples(
        st.just(n), st.lists(st.tuples(st.integers(0, n - 1), st.integers(0, n - 1)), max_size=30)
    )
)


@given(READS)
@settings(deadline=None, max_examples=200)
def test_circles_and_depths_are_those_of_the_definition(given_: tuple[int, list[tuple[int, int]]]) -> None:
    """Knots are what reaches each other, depths the longest ways down, as a library for graphs says."""
    n, reads = given_
    pairs = np.array(reads, dtype=np.int64).reshape(-1, 2)
    found = circles(pairs[:, 0], pairs[:, 1], n)
    graph = nx.DiGraph(reads)
    graph.add_nodes_from(range(n))
    knots = {row: min(rows) for rows in nx.strongly_connected_components(graph) for row in rows}
    assert found.knot.tolist() == [knots[row] for row in range(n)]
    on_circle = {row for row in range(n) if list(knots.values()).count(knots[row]) > 1 or (row, row) in reads}
    assert set(np.flatnonzero(found.circular).tolist()) == on_circle
    whole = nx.DiGraph((knots[one], knots[other]) for one, other in reads if knots[one] != knots[other])
    whole.add_nodes_from(knots.values())
    deep: dict[int, int] = {}
    for row in reversed(list(nx.topological_sort(whole))):
        deep[row] = max((deep[below] + 1 for below in whole.successors(row)), default=0)
    assert found.depth.tolist() == [deep[knots[row]] for row in range(n)]
