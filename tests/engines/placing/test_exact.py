import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ortools.sat.python import cp_model
from tests.engines.placing.problems import best, by_looking_at_all, placements, plain, problems

from falsework.engines.placing.cost import broken, costs
from falsework.engines.placing.exact import solve, whole
from falsework.engines.placing.model import Index, build
from falsework.engines.placing.problem import NOWHERE, Apart, AtMost, Impossible, Loss, Moves, Near, Placement
from falsework.errors import LimitError


@settings(deadline=None, max_examples=100)
@given(problem=problems())
def test_the_best_of_all_is_found_and_proved(problem):
    """Level by level nothing is better, as looking at every placement shows; and none is found where there is none."""
    found = best(problem, seconds=60, workers=1)
    expected = by_looking_at_all(problem)
    if expected is None:
        assert isinstance(found, Impossible)
    else:
        assert isinstance(found, Placement)
        assert broken(problem, found.bin_of) == ()
        assert costs(problem, found.bin_of) == found.cost
        assert found.cost == expected
        assert found.proven


@settings(deadline=None, max_examples=100)
@given(problem=problems())
def test_losses_that_come_into_the_model_one_by_one_lead_to_the_same(problem):
    """Where losses are looked at only when they leave somebody homeless, the best of all is proved as well."""
    found = whole(problem, seconds=60, at_once=0)
    expected = by_looking_at_all(problem)
    assert found.impossible == (expected is None)
    if expected is not None:
        assert found.bin_of is not None
        assert costs(problem, found.bin_of) == found.cost == found.bound == expected


@settings(deadline=None, max_examples=60)
@given(problem=problems(most_items=4), data=st.data())
def test_a_part_is_solved_as_well_as_it_can_be_while_the_others_stay(problem, data):
    """With some items free and some bins open, nothing is better that leaves the others where they are."""
    kept = [each for each in placements(problem) if not broken(problem, each)]
    if not kept:
        return
    at = data.draw(st.sampled_from(kept))
    free = data.draw(st.sets(st.integers(0, problem.n_items - 1), min_size=1))
    bins = data.draw(st.sets(st.integers(0, problem.n_bins - 1))) | {int(at[item]) for item in free}
    found = solve(build(Index(problem), free=free, bin_of=at, bins=bins), start=at, seconds=60)
    best_part = min(
        costs(problem, each)
        for each in kept
        if all(
            int(each[item]) in bins if item in free else each[item] == at[item]
            for item in range(problem.n_items)
        )
    )
    assert found.bin_of is not None
    assert broken(problem, found.bin_of) == ()
    assert costs(problem, found.bin_of) == best_part


def test_a_start_is_improved_and_the_same_answer_comes_twice():
    """Whatever it begins with, the same is found each time."""
    problem = plain(
        [3, 2, 2, 1],
        [4, 4, 4],
        start=np.array([0, 1, 2, 2]),
        apart=(Apart(name="apart", items=(1, 2), domain=(0, 1, 2)),),
        losses=tuple(Loss(name=f"without b{at}", bins=(at,), level=0) for at in range(3)),
        moves=(Moves(level=1, each=np.array([1, 1, 1, 1])),),
    )
    first = best(problem, seconds=60, workers=1, start=np.array([0, 1, 2, 1]))
    again = best(problem, seconds=60, workers=1, start=np.array([0, 1, 2, 1]))
    assert first.bin_of.tolist() == again.bin_of.tolist()
    assert first.proven
    assert first.cost == by_looking_at_all(problem)


def test_two_threads_prove_the_same_costs():
    """More threads find the same best."""
    problem = plain([3, 2, 2, 1], [5, 4, 4], losses=(Loss(name="without b0", bins=(0,), level=0),))
    assert best(problem, seconds=60, workers=2).cost == best(problem, seconds=60, workers=1).cost


def test_progress_names_the_level_with_its_cost_and_bound():
    """What is told last of a level is what was found."""
    told = []
    problem = plain(
        [1, 1, 1],
        [9, 9],
        near=(Near(name="near", items=(0,), to=(1,), domain=(0, 1), level=1, weight=3),),
        at_most=(AtMost(name="not both", items=(0, 1), bins=(0, 1), most=1, level=0, weight=2),),
        apart=(Apart(name="apart", items=(0, 1), domain=(0, 1)),),
        moves=(Moves(level=2, each=np.array([1, 1, 1])),),
        start=np.array([0, 0, NOWHERE]),
    )
    found = best(problem, seconds=60, workers=1, progress=lambda *each: told.append(each))
    assert found.cost == (2, 3, 1)
    assert {level: cost for level, cost, _ in told} | {"first": 2} == {"first": 2, "second": 3, "third": 1}


def test_stopped_by_the_keyboard_the_best_so_far_is_returned():
    """Whoever presses Ctrl-C at the first news has a placement, and no level after that is called proven."""

    def stop(level, cost, bound):
        raise KeyboardInterrupt

    problem = plain(
        [3, 2, 2, 1, 3, 2],
        [6, 6, 6],
        near=(Near(name="near", items=(0,), to=(1,), domain=(0, 1, 2), level=0),),
        apart=(Apart(name="apart", items=(0, 1), domain=(0, 1, 2)),),
        moves=(Moves(level=1, each=np.array([1, 1, 1, 1, 1, 1])),),
        start=np.array([0, 0, 0, 0, 1, 1]),
    )
    found = best(problem, seconds=60, workers=1, progress=stop)
    assert isinstance(found, Placement)
    assert broken(problem, found.bin_of) == ()
    assert found.cost[0] == 1
    assert found.bound[1] == 0
    assert not found.proven


def test_stopped_between_two_levels_the_best_so_far_is_returned(monkeypatch):
    """Ctrl-C while the next question is put, not solved, leaves what the last one found."""
    asked = []
    minimize = cp_model.CpModel.minimize

    def put(model, cost):
        asked.append(cost)
        if len(asked) == 2:
            raise KeyboardInterrupt
        minimize(model, cost)

    monkeypatch.setattr(cp_model.CpModel, "minimize", put)
    problem = plain(
        [3, 2, 2, 1, 3, 2],
        [6, 6, 6],
        near=(Near(name="near", items=(0,), to=(1,), domain=(0, 1, 2), level=0),),
        apart=(Apart(name="apart", items=(0, 1), domain=(0, 1, 2)),),
        moves=(Moves(level=1, each=np.array([1, 1, 1, 1, 1, 1])),),
        start=np.array([0, 0, 0, 0, 1, 1]),
    )
    found = whole(problem, seconds=60, workers=1)
    assert len(asked) == 2
    assert found.stopped
    assert found.bin_of is not None
    assert broken(problem, found.bin_of) == ()
    assert found.cost[0] == 1


def test_nothing_to_place_and_nowhere_to_place_it():
    """No item is a placement; no bin is none."""
    assert best(plain([], [5]), seconds=60).proven
    assert best(plain([1], []), seconds=60) == Impossible(because=("no bins",), smallest=True)
    assert best(plain([9], [5]), seconds=60) == Impossible(because=("r0", "i0"), smallest=True)


def test_no_time_at_all_is_told_not_taken_for_impossible():
    """Neither found nor proved: the limit is named."""
    rng = np.random.default_rng(1)
    size = rng.integers(100, 999, size=(300, 2))
    problem = plain(size, np.tile(size.sum(axis=0) // 60 + 1, (60, 1)))
    with pytest.raises(LimitError, match="no placement was found in 0 s"):
        best(problem, seconds=0.0, workers=1)
