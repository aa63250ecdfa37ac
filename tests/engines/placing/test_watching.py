"""What one move breaks, counted only where it touches."""

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.engines.placing.problems import problems

from falsework.engines.placing.cost import broken, costs
from falsework.engines.placing.problem import NOWHERE
from falsework.engines.placing.watching import Watch


def judged(problem, at):
    """What the slow judge says."""
    return broken(problem, at), costs(problem, at)


@settings(max_examples=150)
@given(problem=problems(), data=st.data())
def test_a_walk_is_judged_as_the_slow_judge_does(problem, data):
    """After each of some moves, made or only asked about, broken rules and costs are those of the slow judge."""
    nowhere = np.full(problem.n_items, NOWHERE, dtype=np.int64)
    problem = replace(problem, start=nowhere, comfort=(), balance=(), moves=())
    bins = st.integers(NOWHERE, problem.n_bins - 1)
    at = np.array([data.draw(bins) for _ in range(problem.n_items)], dtype=np.int64)
    watch = Watch(problem, at.copy())
    assert (watch.now.broken, watch.now.cost) == judged(problem, at)
    for _ in range(6):
        item, end = data.draw(st.integers(0, problem.n_items - 1)), data.draw(bins)
        then = watch.after(item, end)
        assert (watch.at == at).all()
        moved = at.copy()
        moved[item] = end
        assert (then.broken, then.cost) == judged(problem, moved)
        if data.draw(st.booleans()):
            watch.go(item, end)
            at = moved
            assert (watch.now.broken, watch.now.cost) == judged(problem, at)
