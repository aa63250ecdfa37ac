import numpy as np
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from tests.engines.placing.problems import placements, plain, problems

from falsework.engines.placing.cost import broken
from falsework.engines.placing.problem import Apart, Loss, Problem, Shared, Together
from falsework.engines.placing.why_not import (
    Change,
    Kind,
    contradiction,
    demanding,
    loosened,
    reasons,
    why_not,
)


def possible(problem: Problem) -> bool:
    """Whether some placement keeps every hard rule, by looking at all."""
    return any(not broken(problem, each) for each in placements(problem))


@settings(deadline=None, max_examples=100)
@given(problem=problems(most_items=4, most_bins=3, tight=True))
def test_nothing_can_be_left_out_of_a_contradiction(problem):
    """The reasons alone leave no placement, and without any one of them there is one; or all can be met."""
    found = contradiction(problem, seconds=60)
    if found is None:
        assert possible(problem)
        return
    assert found.smallest
    assert not possible(demanding(problem, found.reasons))
    for each in found.reasons:
        assert possible(demanding(problem, [other for other in found.reasons if other != each])), each


def told(problem: Problem) -> list[tuple[Kind, str]]:
    """Kind and name of each reason."""
    found = contradiction(problem, seconds=60)
    assert found is not None
    assert found.smallest
    return [(each.kind, each.name) for each in found.reasons]


def test_an_item_larger_than_any_bin():
    """The item and the resource; the items that would fit are not told."""
    problem = plain([[1, 1], [9, 1], [2, 2]], [[5, 5], [8, 9]])
    assert told(problem) == [(Kind.RESOURCE, "r0"), (Kind.SIZE, "i1")]
    assert why_not(problem).because == ("r0", "i1")


def test_three_voters_in_two_domains():
    """The rule alone contradicts itself: there are fewer domains than items."""
    rule = Apart(name="voters apart", items=(0, 1, 2), domain=(0, 0, 1, 1))
    problem = plain([1, 1, 1, 1], [9, 9, 9, 9], apart=(rule,))
    assert told(problem) == [(Kind.APART, "voters apart")]


def test_together_against_apart():
    """Two rules that can't be kept at once; the rest of the problem is not told."""
    problem = plain(
        [1, 1, 1],
        [9, 9],
        apart=(
            Apart(name="others apart", items=(1, 2), domain=(0, 1)),
            Apart(name="apart", items=(0, 1), domain=(0, 1)),
        ),
        together=(Together(name="together", items=(0, 1), domain=(0, 1)),),
    )
    assert told(problem) == [(Kind.APART, "apart"), (Kind.TOGETHER, "together")]


def test_allowed_bins_against_capacity():
    """Two items that may lie in one bin only, which has no room for both."""
    allowed = np.array([[True, False], [True, False], [True, True]])
    problem = plain([3, 3, 3], [5, 9], allowed=allowed)
    assert told(problem) == [
        (Kind.ALLOWED, "i0"),
        (Kind.ALLOWED, "i1"),
        (Kind.RESOURCE, "r0"),
        (Kind.SIZE, "i0"),
        (Kind.SIZE, "i1"),
    ]
    assert why_not(problem).because == ("i0", "i1", "r0")


def test_an_item_that_may_lie_nowhere():
    """Its allowed bins alone are the reason."""
    problem = plain([1, 1], [5, 5], allowed=np.array([[True, True], [False, False]]))
    assert told(problem) == [(Kind.ALLOWED, "i1")]


def test_no_bins_at_all():
    """Nothing can be left out: there is just no bin."""
    problem = plain([1], [])
    assert told(problem) == [(Kind.BINS, "no bins")]


def test_a_loss_without_room_is_told_with_what_fills_it():
    """Two items of 3 in two bins of 5: each is alone, and finds no room beside the other."""
    losses = (Loss(name="without b0", bins=(0,)), Loss(name="without b1", bins=(1,)))
    problem = plain([3, 3], [5, 5], losses=losses)
    # With one loss only both could lie in ... no: 6 are more than 5, so one of them is lost with any bin.
    assert told(problem) == [
        (Kind.RESOURCE, "r0"),
        (Kind.SIZE, "i0"),
        (Kind.SIZE, "i1"),
        (Kind.LOSS, "without b0"),
    ]


def test_rules_of_one_name_are_one_reason():
    """A rule that the problem lists as pairs is told once, with all its places in the list."""
    pairs = tuple(Apart(name="pairs", items=pair, domain=(0, 1)) for pair in ((0, 1), (1, 2), (0, 2)))
    found = contradiction(plain([1, 1, 1], [9, 9], apart=pairs), seconds=60)
    assert [(each.name, each.numbers) for each in found.reasons] == [("pairs", (0, 1, 2))]


def test_shared_limits_count_with_sizes():
    """A limit over two bins leaves no place for a third item."""
    limit = Shared(name="strip", bins=(0, 1), resource=0, capacity=7)
    found = told(plain([3, 3, 3], [9, 9], shared=(limit,)))
    assert (Kind.SHARED, "strip") in found
    assert len(found) == 5


def test_out_of_time_nothing_is_said_that_was_not_shown():
    """Without time there is no contradiction; nor is a set called smallest that was not tested."""
    problem = plain([9], [5])
    assert contradiction(problem, seconds=-1) is None


def roomier(at: int, more: int, price: float) -> Change:
    """A bin made larger."""

    def made(problem: Problem) -> Problem:
        from dataclasses import replace

        capacity = problem.capacity.copy()
        capacity[at] += more
        return replace(problem, capacity=capacity)

    return Change(name=f"b{at} +{more}", price=price, made=made)


def test_the_cheapest_changes_are_found():
    """Two cheap ones together are better than one that is dear, and one is better than two of the same price."""
    problem = plain([4, 4], [2, 2])
    dear, one, two = roomier(0, 6, 50), roomier(0, 2, 10), roomier(1, 2, 20)
    found = loosened(problem, (dear, one, two))
    assert [each.name for each in found.changes] == ["b0 +2", "b1 +2"]
    assert (found.price, found.complete) == (30, True)
    assert [each.name for each in loosened(problem, (roomier(0, 6, 30), one, two)).changes] == ["b0 +6"]


def test_no_change_is_needed_or_none_helps():
    """What is possible needs nothing; what none of the changes mends is told as such."""
    assert loosened(plain([1], [1]), ()).changes == ()
    nothing = loosened(plain([9], [1]), (roomier(0, 1, 1), roomier(0, 2, 1)))
    assert (nothing.changes, nothing.complete, nothing.tried) == (None, True, 4)
    assert loosened(plain([9], [1]), (roomier(0, 1, 1),), seconds=-1).complete is False


@settings(deadline=None, max_examples=40)
@given(
    problem=problems(most_items=3, most_bins=2, tight=True),
    steps=st.lists(st.tuples(st.integers(0, 1), st.integers(1, 4), st.integers(0, 5)), max_size=3),
)
def test_no_cheaper_changes_would_do(problem, steps):
    """Among all sets of changes none that is cheaper makes a placement possible."""
    changes = tuple(roomier(at % problem.n_bins, more, price) for at, more, price in steps)
    found = loosened(problem, changes, seconds=60)
    assert found.complete
    sums = []
    for bits in range(1 << len(changes)):
        some = [change for number, change in enumerate(changes) if bits >> number & 1]
        changed = problem
        for change in some:
            changed = change.made(changed)
        if possible(changed):
            sums.append(sum(change.price for change in some))
    assert (found.changes is None) == (not sums)
    assert found.price == min(sums, default=0)


@settings(deadline=None, max_examples=50)
@given(problem=problems(most_items=3, most_bins=3, tight=True))
def test_all_reasons_together_are_the_hard_part_of_the_problem(problem):
    """Demanding everything leaves the same placements as the problem has."""
    demanded = demanding(problem, reasons(problem))
    assume(problem.n_items)
    for each in placements(problem):
        assert bool(broken(problem, each)) == bool(broken(demanded, each))
