import numpy as np
import pytest
from tests.engines.placing.problems import plain

from falsework.engines.placing.cost import broken, costs, held, used
from falsework.engines.placing.problem import (
    NOWHERE,
    Apart,
    AtMost,
    Balance,
    Comfort,
    Loss,
    Moves,
    Near,
    Shared,
    Spread,
    Together,
)


def at(*bins):
    """A placement."""
    return np.array(bins, dtype=np.int64)


def test_use_counts_a_moved_item_once_and_what_is_held_twice():
    """What moves is used where it lies; what counts twice is held in its old bin, too."""
    problem = plain([[2, 3]], [[9, 9], [9, 9]], start=at(0), twice=np.array([False, True]))
    assert used(problem, at(1)).tolist() == [[0, 0], [2, 3]]
    assert held(problem, at(1)).tolist() == [[0, 3], [2, 3]]
    assert held(problem, at(0)).tolist() == [[2, 3], [0, 0]]
    assert held(problem, at(NOWHERE)).tolist() == [[0, 0], [0, 0]]


def test_a_bin_that_is_too_full_is_told_by_its_name():
    """Capacity is per bin; what counts twice fills the old bin."""
    problem = plain([3, 3], [5, 5], start=at(0, NOWHERE), twice=np.array([True]))
    assert broken(problem, at(0, 0)) == ("b0",)
    assert broken(problem, at(1, 0)) == ("b0",)
    assert broken(problem, at(0, 1)) == ()


def test_an_item_that_is_nowhere_or_where_it_may_not_be_is_told_by_its_name():
    """Allowed bins bind, and every item needs one."""
    problem = plain([1, 1], [5, 5], allowed=np.array([[True, False], [True, True]]))
    assert broken(problem, at(1, NOWHERE)) == ("i0", "i1")
    assert broken(problem, at(0, 1)) == ()


@pytest.mark.parametrize(
    ("rule", "kept", "not_kept"),
    [
        (
            {"apart": (Apart(name="x", items=(0, 1), domain=(0, 0, 1, NOWHERE)),)},
            [(0, 2), (3, 3)],
            [(0, 1), (2, 2)],
        ),
        (
            {"together": (Together(name="x", items=(0, 1), domain=(0, 0, 1, NOWHERE)),)},
            [(0, 1)],
            [(0, 2), (3, 3)],
        ),
        (
            {"spread": (Spread(name="x", items=(0, 1), domain=(0, 0, 1, NOWHERE), at_least=2),)},
            [(0, 2)],
            [(0, 1), (2, 3), (3, 3)],
        ),
        (
            {"near": (Near(name="x", items=(0,), to=(1,), domain=(0, 0, 1, NOWHERE)),)},
            [(0, 1), (3, 0)],
            [(0, 2), (2, 3)],
        ),
        ({"near": (Near(name="x", items=(0,), to=(0, 1), domain=(0, 0, 1, 1)),)}, [(0, 2)], []),
        (
            {"at_most": (AtMost(name="x", items=(0, 1), bins=(0, 1), most=1),)},
            [(0, 2), (2, 2)],
            [(0, 1), (1, 1)],
        ),
        ({"shared": (Shared(name="x", bins=(0, 1), resource=0, capacity=4),)}, [(0, 2)], [(0, 1), (1, 1)]),
        ({"losses": (Loss(name="x", bins=(1, 2)),)}, [(1, 2), (0, 0)], []),
        ({"losses": (Loss(name="x", bins=(0, 1, 2, 3)),)}, [], [(1, 2)]),
        (
            {
                "losses": (Loss(name="x", bins=(0,)),),
                "apart": (Apart(name="y", items=(0, 1), domain=(0, 1, 1, 1)),),
            },
            [],
            [(2, 0)],
        ),
    ],
)
def test_a_hard_rule_is_told_when_it_is_not_kept(rule, kept, not_kept):
    """Each kind of rule on two items in four bins, by hand."""
    problem = plain([3, 3], [9, 9, 9, 9], **rule)
    for each in kept:
        assert broken(problem, at(*each)) == (), each
    for each in not_kept:
        assert broken(problem, at(*each)) == ("x",), each
    assert costs(problem, at(0, 0)) == (0, 0, 0)


def test_shared_limits_count_what_is_held_twice():
    """A move out of the limit's bins holds its place there."""
    limit = Shared(name="x", bins=(0,), resource=0, capacity=3)
    problem = plain([3, 3], [9, 9], shared=(limit,), start=at(0, 1), twice=np.array([True]))
    assert broken(problem, at(1, 0)) == ("x",)


def test_what_is_wished_for_costs_at_its_level():
    """Near costs by item, at most once, a loss by homeless item."""
    problem = plain(
        [2, 2, 2],
        [4, 4],
        near=(Near(name="n", items=(0, 1), to=(2,), domain=(0, 1), level=1, weight=5),),
        at_most=(AtMost(name="m", items=(0, 1, 2), bins=(0,), most=0, level=0, weight=7),),
        losses=(Loss(name="l", bins=(0,), level=2, weight=3),),
    )
    assert costs(problem, at(0, 0, 1)) == (7, 10, 3)
    assert costs(problem, at(1, 1, 0)) == (7, 10, 3)
    assert costs(problem, at(0, 1, 0)) == (7, 5, 3)
    assert broken(problem, at(0, 0, 1)) == ()


def test_comfort_balance_and_moves_by_hand():
    """The sums of the docstrings, worked out on paper."""
    problem = plain(
        [[3, 1], [2, 2]],
        [[10, 6], [10, 6]],
        group=at(0, 0),
        start=at(0, 0),
        comfort=(Comfort(level=0, upto=at(4, 9, 1, 1).reshape(2, 2), weight=at(2, 3)),),
        balance=(Balance(resource=0, against=1, target=2, level=1, weight=5),),
        moves=(
            Moves(level=2, each=at(10, 100), busiest=1000),
            Moves(level=2, each=at(0, 0), way=at(0, 7, 8, 0).reshape(2, 2), way_weight=10000),
        ),
    )
    # Both in bin 0: used 5 and 3; 1 above 4. Balance: free (5, 3) -> 2*5-3 = 7; (10, 6) -> 14: 5 * 21.
    assert costs(problem, at(0, 0)) == (2, 105, 0)
    # Item 1 in bin 1: used there 2 and 2: 1 above each: 2 + 3. Free (7, 5) -> 9; (8, 4) -> 12: 5 * 21.
    assert costs(problem, at(0, 1)) == (5, 105, 100 + 1000 + 70000)
    # Both in bin 1: 5 and 3: (5-1)*2 + (3-1)*3.
    assert costs(problem, at(1, 1)) == (14, 105, 110 + 2000 + 140000)


def test_an_item_that_was_nowhere_does_not_move():
    """A first place costs nothing."""
    problem = plain([1], [1], start=at(NOWHERE), moves=(Moves(level=0, each=at(5), busiest=5),))
    assert costs(problem, at(0)) == (0, 0, 0)
