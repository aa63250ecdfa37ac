"""Moves from one placement to another, one item at a time."""

from dataclasses import replace
from itertools import islice, permutations

import numpy as np
from hypothesis import assume, given
from hypothesis import strategies as st
from tests.engines.placing.problems import placements, plain, problems

from falsework.engines.placing.cost import broken, costs
from falsework.engines.placing.moves import ordered
from falsework.engines.placing.problem import HARD, NOWHERE, Apart, AtMost


def array(*bins):
    """A placement."""
    return np.array(bins, dtype=np.int64)


def played(problem, bin_of, shifts):
    """Every placement on the way, the first included; each move finds room in its new bin beside its old one."""
    at = bin_of.copy()
    yield at.copy()
    for shift in shifts:
        assert at[shift.item] == shift.start
        if shift.end != NOWHERE:
            there = problem.size[at == shift.end].sum(axis=0) + problem.size[shift.item]
            assert (there <= problem.capacity[shift.end]).all()
        at[shift.item] = shift.end
        yield at.copy()


def test_what_frees_room_goes_first():
    """b1 has room for one only: who leaves it goes before who comes."""
    problem = plain([[2], [2]], [[2], [2], [2]])
    shifts = ordered(problem, array(0, 1), array(1, 2))
    assert [(shift.item, shift.start, shift.end) for shift in shifts] == [(1, 1, 2), (0, 0, 1)]
    assert all(shift.clean for shift in shifts)


def test_two_that_change_places_need_a_third():
    """Two full bins change their items over a third, and where there is none, one has to stop."""
    problem = plain([[2], [2]], [[2], [2], [2]])
    shifts = ordered(problem, array(0, 1), array(1, 0))
    assert [(shift.item, shift.end) for shift in shifts] == [(0, 2), (1, 0), (0, 1)]
    assert all(shift.clean for shift in shifts)
    tight = plain([[2], [2]], [[2], [2]])
    shifts = ordered(tight, array(0, 1), array(1, 0))
    assert [(shift.item, shift.end) for shift in shifts] == [(0, NOWHERE), (1, 0), (0, 1)]
    assert [shift.clean for shift in shifts] == [False, True, True]


def test_company_is_kept_on_the_way():
    """Two that may not lie together go so that they never do."""
    problem = plain([[1], [1]], [[4], [4], [4]], apart=(Apart(name="apart", items=(0, 1), domain=(0, 1, 2)),))
    shifts = ordered(problem, array(0, 1), array(1, 2))
    assert [shift.item for shift in shifts] == [1, 0]


def test_what_cannot_be_kept_is_told():
    """Both of a pair must leave one bin for another while at most one of them may be outside both: it is said."""
    rule = AtMost(name="few", items=(0, 1), bins=(2,), most=0, level=HARD)
    full = plain([[2], [2]], [[2], [2], [2]], at_most=(rule,))
    shifts = ordered(full, array(0, 1), array(1, 0))
    assert not all(shift.clean for shift in shifts)


@given(problem=problems(most_items=4, losses=False), data=st.data())
def test_an_order_is_found_where_there_is_one(problem, data):
    """Every item moves once and all is kept, whenever any order at all does that; and it always arrives."""
    nowhere = np.full(problem.n_items, NOWHERE, dtype=np.int64)
    problem = replace(problem, start=nowhere, comfort=(), balance=(), moves=())
    good = [each for each in islice(placements(problem), 4_000) if not broken(problem, each)]
    assume(len(good) > 1)
    start = good[data.draw(st.integers(0, len(good) - 1))]
    goal = good[data.draw(st.integers(0, len(good) - 1))]
    shifts = ordered(problem, start, goal)
    way = list(played(problem, start, shifts))
    assert (way[-1] == goal).all()
    most = max(costs(problem, start)[0], costs(problem, goal)[0])
    for shift, at in zip(shifts, way[1:], strict=True):
        if shift.clean:
            assert not broken(problem, at) or NOWHERE in at
            assert costs(problem, at)[0] <= most or NOWHERE in at
    if any(
        _clean(problem, start, goal, order, most) for order in permutations(np.flatnonzero(start != goal))
    ):
        assert all(shift.clean for shift in shifts)
        assert sorted(shift.item for shift in shifts) == sorted(np.flatnonzero(start != goal))


def _clean(problem, start, goal, order, most):
    at = start.copy()
    for item in order:
        if (
            problem.size[at == goal[item]].sum(axis=0) + problem.size[item] > problem.capacity[goal[item]]
        ).any():
            return False
        for shared in problem.shared:
            inside = np.isin(at, shared.bins)
            there = problem.size[inside, shared.resource].sum() + problem.size[item, shared.resource]
            if goal[item] in shared.bins and there > shared.capacity and problem.size[item, shared.resource]:
                return False
        at[item] = goal[item]
        if broken(problem, at) or costs(problem, at)[0] > most:
            return False
    return True
