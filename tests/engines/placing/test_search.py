from __future__ import annotations

import os

os.environ.setdefault("NUMBA_DISABLE_JIT", "1")  # compiling takes longer than all that is looked at here

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.engines.placing.problems import by_looking_at_all, plain, problems

from falsework.engines.placing import kernel
from falsework.engines.placing.cost import broken, costs, has_moved, held, used
from falsework.engines.placing.flat import flat, state
from falsework.engines.placing.losses import planned, safety
from falsework.engines.placing.problem import NOWHERE, Apart, Comfort, Loss, Moves, Near
from falsework.engines.placing.search import Search
from falsework.engines.placing.start import start

pytestmark = pytest.mark.slow

FEW = settings(deadline=None, max_examples=60)
SECONDS = 1.0


def walker(problem, bin_of):
    """A problem's arrays, a counted state, room to work in, and a heat at which every step is taken."""
    data = flat(problem)
    own = state(data, bin_of)
    safe = safety(problem, data)
    kernel.recount(data, own, safe)
    heat = kernel.Heat(np.full(data.n_levels, 1e300), 0, np.zeros(problem.n_items), 0.0, 0.0, 0.0)
    return data, own, safe, kernel.work(data), heat


def somewhere(problem, draw):
    """A bin for every item, drawn."""
    return np.array(
        [draw(st.integers(0, problem.n_bins - 1)) for _ in range(problem.n_items)], dtype=np.int64
    )


def found(problem, seconds=SECONDS, enough=None):
    """What a search finds, or what is enough."""
    search = Search(problem, seconds=seconds, workers=1)
    search.wait(lambda best: search.stop() if enough is not None and enough(best) else None)
    search.stop()
    return search.best


class TestTheSums:
    @FEW
    @given(data=st.data(), problem=problems(losses=False))
    def test_after_every_step_they_are_what_the_judge_says(self, data, problem):
        """Steps of one, two and three items, taken or not: cost by level and what is broken agree with the judge."""
        flat_, own, safe, work, heat = walker(problem, somewhere(problem, data.draw))
        for _ in range(6):
            count = data.draw(st.integers(1, min(3, problem.n_items)))
            items = data.draw(
                st.lists(st.integers(0, problem.n_items - 1), min_size=count, max_size=count, unique=True)
            )
            work.items[:count] = items
            work.news[:count] = [data.draw(st.integers(0, problem.n_bins - 1)) for _ in items]
            cold = data.draw(st.booleans())
            before = own.bin_of.copy()
            taken = kernel.step(
                flat_, own, safe, work, count, heat._replace(temperature=np.zeros(4)) if cold else heat
            )
            after = before.copy()
            after[items] = work.news[:count]
            assert own.bin_of.tolist() == (after if taken else before).tolist()
            assert tuple(own.cost[1:].tolist()) == costs(problem, own.bin_of)
            assert (own.cost[0] == 0) == (not broken(problem, own.bin_of))
            assert own.use.tolist() == used(problem, own.bin_of).tolist()
            assert own.held.tolist() == held(problem, own.bin_of).tolist()
            again = state(flat_, own.bin_of)
            safe_again = safety(problem, flat_)
            kernel.recount(flat_, again, safe_again)
            for name, one, other in zip(own._fields, own, again, strict=True):
                assert one.tolist() == other.tolist(), name

    @FEW
    @given(data=st.data(), problem=problems(losses=False))
    def test_no_step_breaks_what_holds(self, data, problem):
        """However hot, a placement that breaks nothing never comes to break anything; the best is kept."""
        flat_, own, safe, work, heat = walker(problem, somewhere(problem, data.draw))
        heat = heat._replace(swaps=0.3, relays=0.3, homing=0.5)
        best, best_cost = own.bin_of.copy(), own.cost.copy()
        first = int(own.cost[0])
        kernel.seed(data.draw(st.integers(0, 99)))
        for _ in range(3):
            was = int(own.cost[0])
            kernel.anneal(flat_, own, safe, work, heat, best, best_cost, 20, np.zeros((4, 2)))
            assert was > 0 or own.cost[0] == 0
        assert best_cost[0] <= first
        assert tuple(best_cost[1:].tolist()) == costs(problem, best)
        assert (best_cost[0] == 0) == (not broken(problem, best))


def homeless_of(problem, own, safe):
    """The plans of every loss held to the rules as they are written; how many items have none, by loss."""
    counts = []
    for number, loss in enumerate(problem.losses):
        at, lost = own.bin_of, set(loss.bins)
        sheds = np.zeros(problem.n_items, dtype=bool) if problem.sheds is None else problem.sheds
        restarts = np.ones(problem.n_items, dtype=bool) if problem.restarts is None else problem.restarts
        where = {
            item: int(at[item]) for item in range(problem.n_items) if at[item] not in lost and not sheds[item]
        }
        homeless = 0
        for item in range(problem.n_items):
            if int(at[item]) in lost and restarts[item] and not sheds[item]:
                to = planned(own, safe, item, number)
                if to < 0:
                    homeless += 1
                    continue
                assert to not in lost
                assert problem.allowed is None or problem.allowed[item, to]
                where[item] = to
        use = np.zeros_like(problem.capacity)
        for item, to in where.items():
            use[to] += problem.size[item]
        for item, to in where.items():
            if int(at[item]) in lost:
                assert (use[to] <= problem.capacity[to]).all()
        for apart in problem.apart:
            domains = [(apart.domain[where[i]], i) for i in set(apart.items) if i in where]
            moved = {domain for domain, item in domains if int(at[item]) in lost} - {NOWHERE}
            for domain in moved:
                assert sum(1 for one, _ in domains if one == domain) == 1
        counts.append(homeless)
    return counts


class TestLosses:
    @settings(deadline=None, max_examples=80)
    @given(data=st.data(), problem=problems())
    def test_plans_hold_after_every_step(self, data, problem):
        """After any step, taken or undone, each plan keeps room and company; what is homeless costs its weight."""
        flat_, own, safe, work, heat = walker(problem, somewhere(problem, data.draw))
        for _ in range(6):
            homeless = homeless_of(problem, own, safe)
            if safe is None:
                return
            assert safe.homeless.tolist() == [*homeless, sum(homeless)]
            again = state(flat_, own.bin_of)
            safe_again = safety(problem, flat_)
            kernel.recount(flat_, again, safe_again)
            cost = own.cost.copy()
            for loss, one, other in zip(
                safe.rules.tolist(), homeless, safe_again.homeless.tolist(), strict=False
            ):
                cost[loss[0]] += loss[1] * (other - one)
            assert cost.tolist() == again.cost.tolist()
            assert safe.calm.tolist() == safe_again.calm.tolist()
            judged = costs(problem, own.bin_of)
            if not sum(homeless):
                assert tuple(own.cost[1:].tolist()) == judged
                assert (own.cost[0] == 0) == (not broken(problem, own.bin_of))
            assert own.cost[0] > 0 or not broken(problem, own.bin_of)
            count = data.draw(st.integers(1, min(3, problem.n_items)))
            items = data.draw(
                st.lists(st.integers(0, problem.n_items - 1), min_size=count, max_size=count, unique=True)
            )
            work.items[:count] = items
            work.news[:count] = [data.draw(st.integers(0, problem.n_bins - 1)) for _ in items]
            cold = data.draw(st.booleans())
            kernel.step(
                flat_, own, safe, work, count, heat._replace(temperature=np.zeros(4)) if cold else heat
            )

    def test_room_is_kept_for_the_loss_of_any_one(self):
        """Three bins of six, six items of two: two in each, so that two find a place in what two bins leave."""
        problem = plain(
            [2] * 6,
            [6, 6, 6],
            start=np.array([0, 0, 0, 1, 1, 1]),
            losses=tuple(Loss(name=f"loss {b}", bins=(b,)) for b in range(3)),
        )
        best = found(problem, seconds=600.0, enough=lambda best: best.broken == 0)
        assert best.broken == 0
        assert broken(problem, best.bin_of) == ()

    def test_a_step_that_leaves_no_room_is_not_taken(self):
        """The only bin that the first may go to when its own is lost stays empty enough, whatever it costs."""
        problem = plain(
            [2, 2, 2],
            [4, 4, 2],
            start=np.array([0, 1, 2]),
            allowed=np.array([[True, True, False], [True, True, True], [True, True, True]]),
            losses=(Loss(name="loss", bins=(0,)),),
            comfort=(Comfort(level=0, upto=np.array([[4], [4], [0]]), weight=np.array([1])),),
        )
        data, own, safe, work, heat = walker(problem, np.array([0, 1, 2]))
        assert own.cost.tolist() == [0, 2, 0, 0]
        work.items[0], work.news[0] = 2, 1
        assert not kernel.step(data, own, safe, work, 1, heat)
        assert own.bin_of.tolist() == [0, 1, 2]
        assert homeless_of(problem, own, safe) == [0]


class TestSteps:
    def test_two_that_change_places_where_neither_fits_alone(self):
        """Full bins: only a swap brings each item to where it costs nothing."""
        problem = plain(
            [2, 2],
            [2, 2],
            start=np.array([0, 1]),
            moves=(Moves(level=1, each=np.array([1, 1])),),
            near=(
                Near(name="near", items=(0,), to=(0,), domain=(0, 1)),
                *(
                    Near(
                        name="x", items=(k,), to=(), domain=(0, NOWHERE) if k == 0 else (NOWHERE, 0), level=0
                    )
                    for k in (0, 1)
                ),
            ),
        )
        best = found(problem, seconds=600.0, enough=lambda best: best.cost == (0, 2, 0))
        assert best.bin_of.tolist() == [1, 0]
        assert best.cost == (0, 2, 0)

    def test_one_goes_home_so_that_another_gets_its_room(self):
        """What counts twice stays held at home: room goes to the item that saves more, the other goes back."""
        problem = plain(
            [[4], [2]],
            [[4], [2], [4]],
            twice=np.array([True]),
            start=np.array([0, 1]),
            comfort=(Comfort(level=0, upto=np.array([[0], [0], [4]]), weight=np.array([1])),),
        )
        data, own, safe, work, heat = walker(problem, np.array([0, 2]))
        assert own.cost[1] == 4
        work.items[:2], work.news[:2] = (1, 0), (1, 2)
        assert kernel.step(data, own, safe, work, 2, heat._replace(temperature=np.zeros(data.n_levels)))
        assert own.cost[1] == 2
        assert has_moved(problem, own.bin_of).tolist() == [True, False]

    def test_an_item_is_drawn_home(self):
        """With a pull of 5, a step away that saves 4 is not taken; with one of 3 it is."""
        problem = plain(
            [4],
            [4, 4],
            start=np.array([0]),
            comfort=(Comfort(level=0, upto=np.array([[0], [4]]), weight=np.array([1])),),
        )
        for pull, taken in ((5.0, False), (3.0, True)):
            data, own, safe, work, heat = walker(problem, np.array([0]))
            work.items[0], work.news[0] = 0, 1
            cold = heat._replace(temperature=np.zeros(data.n_levels), pulled=1, pull=np.array([pull]))
            assert kernel.step(data, own, safe, work, 1, cold) == taken


class TestTheStart:
    def test_what_is_placed_stays(self):
        """Only items that are nowhere are put somewhere."""
        problem = plain([1, 1, 1], [3, 3], start=np.array([1, NOWHERE, 1]))
        assert start(problem).tolist() == [1, 0, 1]

    def test_the_largest_first_and_apart(self):
        """Three of five in bins of six, kept apart, get a bin each."""
        problem = plain(
            [5, 1, 5, 5],
            [6, 6, 6],
            apart=(Apart(name="apart", items=(0, 2, 3), domain=(0, 1, 2)),),
        )
        placed = start(problem)
        assert len({int(placed[item]) for item in (0, 2, 3)}) == 3
        assert broken(problem, placed) == ()

    @FEW
    @given(problem=problems(losses=False))
    def test_every_item_has_a_bin(self, problem):
        """Whatever the rules say, every item lies in some bin, and who was in one is still there."""
        placed = start(problem)
        assert ((placed >= 0) & (placed < problem.n_bins)).all()
        was = problem.start != NOWHERE
        assert (placed[was] == problem.start[was]).all()


class TestTheWhole:
    @pytest.mark.parametrize("seed", range(4))
    def test_small_ones_to_the_best_there_is(self, seed):
        """Fifteen items whose best placement is seen at a glance: five to a bin, each beside its like."""
        rng = np.random.default_rng(seed)
        kinds = rng.permutation(np.repeat([0, 1, 2], 5))
        problem = plain(
            np.ones(15, dtype=np.int64),
            [5, 5, 5],
            apart=tuple(
                Apart(name=f"apart {one}", items=(one, other), domain=(0, 1, 2))
                for one in range(15)
                for other in range(one)
                if kinds[one] != kinds[other]
            ),
        )
        best = found(problem, seconds=600.0, enough=lambda best: best.broken == 0)
        assert best.broken == 0
        assert broken(problem, best.bin_of) == ()
        assert all(len({int(b) for b in best.bin_of[kinds == kind]}) == 1 for kind in range(3))

    @settings(deadline=None, max_examples=5)
    @given(problem=problems(losses=False))
    def test_random_ones_never_beat_the_best_there_is(self, problem):
        """What it finds is a placement whose cost is as told, and no better than the best of all."""
        best = found(problem, seconds=0.3)
        least = by_looking_at_all(problem)
        if best.broken == 0:
            assert broken(problem, best.bin_of) == ()
            assert best.cost == costs(problem, best.bin_of)
            assert least is not None
            assert best.cost >= least

    def test_stopping_at_once(self):
        """A search that is stopped before it has begun still knows a placement, or says that it has none yet."""
        search = Search(plain([1], [1]), seconds=60.0, workers=2)
        search.stop()
        assert search.best is None or search.best.bin_of.tolist() == [0]

    def test_progress_only_gets_better(self):
        """Each placement told is better than the one before."""
        told = []
        search = Search(
            plain(
                np.arange(1, 9),
                [20, 20],
                comfort=(Comfort(level=0, upto=np.array([[0], [20]]), weight=np.array([1])),),
                start=np.zeros(8, dtype=np.int64),
            ),
            seconds=SECONDS,
            workers=2,
        )
        search.wait(lambda best: told.append((best.broken, *best.cost)))
        search.stop()
        assert told == sorted(set(told), reverse=True)
