from __future__ import annotations

import os

os.environ.setdefault("NUMBA_DISABLE_JIT", "1")  # compiling takes longer than all that is looked at here

import numpy as np
import pytest
from hypothesis import given, settings
from tests.engines.placing.problems import by_looking_at_all, plain, problems

from falsework.engines.placing import place as module
from falsework.engines.placing.cost import broken, costs
from falsework.engines.placing.place import least, place
from falsework.engines.placing.problem import Apart, AtMost, Balance, Comfort, Impossible, Loss, Moves
from falsework.engines.placing.search import Search
from falsework.errors import LimitError

pytestmark = pytest.mark.slow

FEW = settings(deadline=None, max_examples=25)


@pytest.fixture
def large(monkeypatch):
    """As if every problem were too large for the solver alone; of ten minutes half a second goes to the search."""
    monkeypatch.setattr(module, "_ALONE", -1)
    monkeypatch.setattr(module, "_FIRST", -1)
    monkeypatch.setattr(module, "_SHARE", 1 / 1200)
    return monkeypatch


class TestSmall:
    @FEW
    @given(problem=problems(most_items=4, most_bins=3))
    def test_the_best_there_is_or_that_there_is_none(self, problem):
        """Proved, and what looking at every placement finds."""
        best = by_looking_at_all(problem)
        found = place(problem, seconds=600.0, workers=1)
        if best is None:
            assert isinstance(found, Impossible)
        else:
            assert found.proven
            assert found.cost == best
            assert broken(problem, found.bin_of) == ()
            assert costs(problem, found.bin_of) == best


class TestBetween:
    @settings(deadline=None, max_examples=10)
    @given(problem=problems(most_items=4, most_bins=3))
    def test_solved_first_searched_then_and_solved_again(self, problem):
        """Whatever each of the three may do, the answer is no worse than the best there is, and never better."""
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(module, "_ALONE", -1)
            patch.setattr(module, "_FIRST_SHARE", 1e-9)
            best = by_looking_at_all(problem)
            try:
                found = place(problem, seconds=1.5, workers=1)
            except LimitError:
                return
        if best is None:
            assert isinstance(found, Impossible)
        elif isinstance(found, Impossible):
            pytest.fail("there is a placement")
        else:
            assert found.cost == costs(problem, found.bin_of) >= best
            assert all(bound <= cost for bound, cost in zip(found.bound, found.cost, strict=True))
            assert not found.proven or found.cost == best


class TestLarge:
    def test_the_solver_goes_on_from_the_search_and_proves(self, large):
        """Search first, then proof; the cost is the least there is."""
        problem = plain(
            [3, 2, 2, 1],
            [5, 5],
            start=np.array([0, 0, 1, 1]),
            comfort=(Comfort(level=0, upto=np.array([[4], [4]]), weight=np.array([1])),),
            moves=(Moves(level=1, each=np.array([1, 1, 1, 1])),),
        )
        found = place(problem, seconds=600.0, workers=1)
        assert found.proven
        assert found.cost == by_looking_at_all(problem)

    def test_the_search_alone_stops_when_no_placement_can_be_better(self, large):
        """Where the sums say that nothing is under what was found, the rest of the time is not used."""
        large.setattr(module, "_MOST", -1)
        large.setattr(Search, "wait", told_once(Search.wait))
        problem = plain(
            [2, 2],
            [3, 3],
            losses=(),
            comfort=(Comfort(level=0, upto=np.array([[2], [2]]), weight=np.array([1])),),
        )
        found = place(problem, seconds=600.0, workers=1)
        assert found.proven
        assert found.cost == (0, 0, 0)

    def test_no_placement_and_no_proof(self, large):
        """Where the search finds none and the solver is not asked, it is said so."""
        large.setattr(module, "_MOST", -1)
        problem = plain([2, 2], [3])
        with pytest.raises(
            LimitError, match=r"no placement was found in 0\.5 s, nor a proof that there is none"
        ):
            place(problem, seconds=0.5, workers=1)

    def test_none_at_all(self, large):
        """The solver says why, after the search found none."""
        problem = plain([1, 1], [3, 3], apart=(Apart(name="apart", items=(0, 1), domain=(0, 0)),))
        found = place(problem, seconds=600.0, workers=1)
        assert isinstance(found, Impossible)
        assert "apart" in found.because

    def test_stopped_by_the_keyboard(self, large):
        """The best so far comes back at once, with what bounds it."""

        def stop(cost, bound, seconds):
            raise KeyboardInterrupt

        problem = plain(
            [2, 2, 2],
            [4, 4],
            start=np.array([0, 0, 1]),
            losses=(Loss(name="loss", bins=(0,), level=0),),
        )
        found = place(problem, seconds=600.0, workers=1, progress=stop)
        assert broken(problem, found.bin_of) == ()
        assert found.cost == costs(problem, found.bin_of)

    def test_progress(self, large):
        """It is told cost and bound by level, never a bound above the cost of the end."""
        told = []
        problem = plain(
            [3, 2, 2, 1],
            [5, 5],
            start=np.array([0, 0, 1, 1]),
            comfort=(Comfort(level=0, upto=np.array([[3], [3]]), weight=np.array([1])),),
            moves=(Moves(level=1, each=np.array([1, 1, 1, 1])),),
        )
        found = place(problem, seconds=600.0, workers=1, progress=lambda *each: told.append(each))
        assert told
        assert all(len(cost) == len(bound) == 3 for cost, bound, _ in told)
        assert all(bound[0] <= found.cost[0] for _, bound, _ in told)


class TestLeast:
    def test_comfort_and_balance_by_hand(self):
        """Use 8 over comfort 6, at 3 each; free 4 of one, twice that wanted of another that has 2, at 5 each."""
        problem = plain(
            [[5, 1], [3, 1]],
            [[6, 2], [6, 2]],
            comfort=(Comfort(level=0, upto=np.array([[3, 9], [3, 9]]), weight=np.array([3, 1])),),
            balance=(Balance(resource=0, against=1, target=2, level=2, weight=5),),
        )
        assert least(problem) == (6, 0, 5 * (2 * 4 - 2))

    def test_what_a_lone_item_breaks_anywhere_by_hand(self):
        """Two rules speak of the first item alone: 3 in bin 0, 2 in bin 1; a rule of both is not counted."""
        problem = plain(
            [[1], [1]],
            [[4], [4]],
            at_most=(
                AtMost(name="a", items=(0,), bins=(0,), most=0, level=1, weight=3),
                AtMost(name="b", items=(0,), bins=(1,), most=0, level=1, weight=2),
                AtMost(name="c", items=(0, 1), bins=(0, 1), most=0, level=1, weight=9),
                AtMost(name="d", items=(1,), bins=(0,), most=0, level=2, weight=4),
            ),
        )
        assert least(problem) == (0, 2, 0)

    @FEW
    @given(problem=problems(most_items=4, most_bins=3, losses=False))
    def test_never_above_the_best_there_is(self, problem):
        """At each level, by looking at every placement."""
        best = by_looking_at_all(problem)
        if best is not None:
            assert all(bound <= cost for bound, cost in zip(least(problem), best, strict=True))


def told_once(wait):
    """Waiting that ends in a failure where the search is not stopped by who is told."""

    def waited(search, progress):
        wait(search, progress)
        assert search._over.is_set()

    return waited
