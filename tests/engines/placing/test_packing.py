import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.engines.placing.problems import left_out, plain, problems

from falsework.engines.placing.packing import Holes, homeless, pack, restarted
from falsework.engines.placing.problem import NOWHERE, Apart


def holes(takes, left, **more):
    """Holes of one resource, open to every item."""
    bins = tuple(range(len(left)))
    given = {
        "takes": [(each,) for each in takes],
        "may": [bins for _ in takes],
        "rules": [() for _ in takes],
        "domain": (),
        "left": [(each,) for each in left],
    }
    return Holes(**(given | more))


@settings(deadline=None, max_examples=300)
@given(problem=problems(most_items=6), data=st.data())
def test_as_few_are_left_out_as_by_trying_everything(problem, data):
    """After any loss as few items are homeless as can be, and that is known."""
    bins = st.integers(NOWHERE, problem.n_bins - 1)
    bin_of = np.array(data.draw(st.lists(bins, min_size=problem.n_items, max_size=problem.n_items)))
    lost = tuple(data.draw(st.sets(st.integers(0, problem.n_bins - 1))))
    found = restarted(problem, bin_of, lost)
    assert len(found.homeless) == left_out(problem, bin_of, lost)
    assert found.exact
    # Where they were put holds: from there nobody has to look for a place, and nothing is too full.
    assert not set(found.bin_of.values()) & set(lost)


@settings(deadline=None, max_examples=200)
@given(
    takes=st.lists(st.integers(1, 9), min_size=1, max_size=7),
    left=st.lists(st.integers(0, 14), min_size=1, max_size=4),
    rule=st.lists(st.integers(0, 2), min_size=7, max_size=7),
    domain=st.lists(st.lists(st.integers(NOWHERE, 2), min_size=4, max_size=4), min_size=3, max_size=3),
)
def test_a_bound_on_steps_is_pessimistic_and_never_optimistic(takes, left, rule, domain):
    """With hardly any steps more may be left out, never fewer; the proven least stays below."""
    asked = holes(takes, left, rules=[(each,) for each in rule[: len(takes)]], domain=domain)
    full, hasty = pack(asked), pack(asked, steps=1)
    assert full.exact
    assert hasty.least <= len(full.homeless) <= len(hasty.homeless)


def test_whole_items_do_not_fit_into_holes_that_are_large_enough_together():
    """Two holes of 3 do not house 2, 2 and 2, though their sum is 6."""
    found = pack(holes([2, 2, 2], [3, 3]))
    assert len(found.homeless) == 1
    assert found.exact


def test_search_finds_what_the_largest_first_misses():
    """Holes of 10 and 9 house 5, 5, 3, 3 and 3; a best fit of the largest first leaves one out."""
    found = pack(holes([5, 5, 3, 3, 3], [10, 9]))
    assert found.homeless == ()
    assert sorted(found.bin_of) == [0, 1, 2, 3, 4]


def test_fewest_are_left_out_not_the_smallest():
    """One item of 4 gives way to two of 2."""
    assert pack(holes([4, 2, 2], [4])).homeless == (0,)


def test_at_most_so_many_left_out_or_nothing_is_placed():
    """A packing that leaves out too many is none."""
    asked = holes([4, 2, 2], [4])
    assert pack(asked, most_out=0).homeless == (0, 1, 2)
    assert pack(asked, most_out=0).least == 1
    assert pack(asked, most_out=1).homeless == (0,)


def test_many_equal_items_in_equal_holes_are_settled_within_the_steps():
    """Forty items of 3 find room in thirteen holes of 7 for twenty-six: that is proven though sums allow thirty."""
    found = pack(holes([3] * 40, [7] * 13))
    assert len(found.homeless) == 14
    assert found.exact


def test_hundreds_of_items_do_not_exhaust_the_stack():
    """A thousand items and more are packed in one go."""
    found = pack(holes([1] * 1500, [100] * 15))
    assert found.homeless == ()


@pytest.mark.parametrize(("left", "out"), [(float("inf"), ()), (0.3, ()), (0.29, (0,))])
def test_fractions_and_what_binds_nothing(left, out):
    """Fractions are compared with some slack, and infinity has room for all."""
    assert len(pack(holes([0.1, 0.1, 0.1], [left])).homeless) == len(out)


def test_items_that_may_be_left_out_make_room_wherever_they_are():
    """The item that sheds runs on in no hole, and is nobody's company."""
    problem = plain(
        [2, 2, 2],
        [2, 4],
        sheds=np.array([False, True, False]),
        apart=(Apart(name="apart", items=(0, 1), domain=(0, 1)),),
    )
    assert homeless(problem, np.array([0, 1, 1]), (0,)) == frozenset()


def test_items_stay_apart_from_those_that_run():
    """The only free bin is in a domain that another item of the rule runs in."""
    problem = plain([1, 1], [5, 5, 5], apart=(Apart(name="apart", items=(0, 1), domain=(0, 1, 1)),))
    assert homeless(problem, np.array([0, 1]), (0,)) == {0}
    assert homeless(problem, np.array([0, 1]), (0, 1)) == {0} or homeless(
        problem, np.array([0, 1]), (0, 1)
    ) == {1}


def test_what_does_not_restart_is_gone_and_needs_no_place():
    """An item that does not restart makes no one homeless, itself included."""
    problem = plain([3, 3], [3, 3], restarts=np.array([False, True]))
    assert homeless(problem, np.array([0, 1]), (0,)) == frozenset()
    assert homeless(problem, np.array([0, 1]), (1,)) == {1}


def test_what_is_wasted_in_holes_that_are_too_small_is_seen_on_the_way():
    """Of twenty items of 4 to 6 two don't fit into seven holes of 13 and 14, which sums alone don't tell.

    With one left out five holes hold three items each. In a hole of 14 that takes a 4 at least, in one of 13 two: all
    seven, in three holes with 4, 5 and 5 and two with 4, 4 and 5. But there are only seven of 5.
    """
    found = pack(holes([6] * 6 + [5] * 7 + [4] * 7, [13] * 4 + [14] * 3), steps=3_000)
    assert found.exact
    assert len(found.homeless) == 2
