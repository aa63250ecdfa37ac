from __future__ import annotations

from dataclasses import replace
from itertools import pairwise, permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.strategies import lab_of

from falsework.analyses.raising.fragile import fragile
from falsework.analyses.raising.reorder import least_fragile, renumbered, reorder
from falsework.analyses.raising.result import Doing, Moment, Plan, Step
from falsework.support.standing import Standing
from falsework.units import ThreePoint


def cost(order, seconds, weight):
    """Time times weight of an order, straight from the definition."""
    return sum(seconds[step] * weight(frozenset(order[:at])) for at, step in enumerate(order))


def many(weight):
    """The same weight, for many sets at a time."""
    return lambda some: [weight(done) for done in some]


def is_sound(order, waits):
    """Whether every step comes once, and after those that it waits for."""
    place = {step: at for at, step in enumerate(order)}
    return sorted(order) == list(range(len(waits))) and all(
        place[each] < place[step] for step, before in enumerate(waits) for each in before
    )


@st.composite
def works(draw):
    """Up to six steps, what each waits for, how long they take, and a weight for each set of them."""
    count = draw(st.integers(1, 6))
    waits = [
        [each for each in range(step) if draw(st.sampled_from([False, False, True]))] for step in range(count)
    ]
    seconds = [draw(st.integers(1, 9)) for _ in range(count)]
    values = draw(st.lists(st.integers(0, 5), min_size=2**count, max_size=2**count))
    return waits, seconds, lambda done: values[sum(1 << step for step in done)]


@given(works())
@settings(max_examples=60)
def test_never_worse_and_no_exchange_of_neighbours_helps(work):
    """Sound, no worse than the one given, rightly told, settled; and twice the same."""
    waits, seconds, weight = work
    found = least_fragile(waits, seconds, many(weight))
    assert is_sound(found.order, waits)
    assert found.before == cost(range(len(waits)), seconds, weight)
    assert found.after == cost(found.order, seconds, weight) <= found.before
    assert found.settled
    for at in range(len(waits) - 1):
        turned = [*found.order]
        turned[at], turned[at + 1] = turned[at + 1], turned[at]
        if is_sound(turned, waits):
            assert cost(turned, seconds, weight) >= found.after - 1e-9
    assert least_fragile(waits, seconds, many(weight)) == found


@given(works())
@settings(max_examples=40)
def test_few_questions_still_give_a_sound_order(work):
    """Cut short, it is still sound and no worse."""
    waits, seconds, weight = work
    found = least_fragile(waits, seconds, many(weight), most=len(waits))
    assert is_sound(found.order, waits)
    assert found.after <= found.before


def test_the_best_of_all_orders_of_four():
    """A pair half made is fragile while the rest goes on: both halves one after the other, and last."""
    waits = [[], [], [], [0]]
    seconds = [1, 5, 5, 1]

    def weight(done):
        return 1 if (0 in done) and (3 not in done) else 0

    found = least_fragile(waits, seconds, many(weight))
    best = min(cost(order, seconds, weight) for order in permutations(range(4)) if is_sound(order, waits))
    assert found.before == 11
    assert found.after == best == 1
    at = [found.order.index(step) for step in (0, 3)]
    assert at[1] - at[0] == 1


def test_a_cut_over_moves_as_a_whole():
    """Torn apart by a long step a run of three is worse, so no neighbour moves; the run as a whole does."""
    waits, seconds = [[], [], [1], [2]], [10, 1, 1, 1]

    def weight(done):
        if 3 in done:
            return 0
        return 2 if 0 in done else 1 if 1 in done else 0

    found = least_fragile(waits, seconds, many(weight))
    assert (found.before, found.after, found.order) == (6, 2, (1, 2, 3, 0))


def test_steps_that_stay_together_stay_together():
    """Nothing comes in between, however much that would help."""
    waits, seconds = [[], [0], []], [1, 1, 1]

    def weight(done):
        return 0 if done in ({0}, {0, 2}) else 1

    assert least_fragile(waits, seconds, many(weight)).order == (0, 2, 1)
    assert least_fragile(waits, seconds, many(weight), together=[(0, 1)]).order == (0, 1, 2)


LAB = """
falsework: 1
lab: Two pairs
machines: {n1..4: {is: node}}
services:
  names: {on: [n1, n2]}
  pages: {on: [n3, n4], needs: [names]}
"""


def step(number, things, after, hours=1):
    """A step that brings something."""
    takes = ThreePoint(low=1, likely=hours * 3600, high=9e9)
    return Step(
        number=number, doing=Doing.BRING, things=things, says="bring it", takes=takes, after=after, owners={}
    )


def handmade(*things_after):
    """A plan over the lab: what each step brings, and after which."""
    nodes = frozenset(["n1", "n2", "n3", "n4"])
    steps = [step(number, things, after) for number, (things, after) in enumerate(things_after, start=1)]
    built, moments = nodes, [Moment(step=0, built=nodes, lent=frozenset(), serving={})]
    for each in steps:
        services = {name.partition(".")[0] for name in each.things}
        built = built | services | set(each.things)
        moments.append(Moment(step=each.number, built=built, lent=frozenset(), serving={}))
    return Plan(
        steps=tuple(steps),
        already=tuple(sorted(nodes)),
        stand_ins=(),
        cost_s=0.0,
        bound_s=0.0,
        stuck=(),
        circle=(),
        would_do=(),
        moments=tuple(moments),
    )


HALVES = (
    (("names.1",), ()),
    (("pages.1",), (1,)),
    (("pages.2",), (1,)),
    (("names.2",), ()),
)


def test_the_second_name_server_comes_before_what_leans_on_the_first():
    """Pages on one name server hang on its node; the second one goes before them."""
    standing = Standing(lab_of(LAB))
    plan = handmade(*HALVES)
    found = reorder(standing, plan)
    things = [each.things[0] for each in found.steps]
    assert things.index("names.2") < things.index("pages.1")
    assert [each.number for each in found.steps] == [1, 2, 3, 4]
    assert all(number < each.number for each in found.steps for number in each.after)
    assert found.moments[-1].built == plan.moments[-1].built

    def hours(some):
        return sum(
            len({name for one in each.singles for name in one.services})
            for each in fragile(standing, some.moments)[:-1]
        )

    assert hours(found) < hours(plan)


def test_renumbering_gives_each_moment_what_is_there_by_then():
    """Moments follow the steps, services once a copy of theirs is there, and only grow."""
    standing = Standing(lab_of(LAB))
    found = renumbered(standing, handmade(*HALVES), [4, 1, 3, 2])
    nodes = {"n1", "n2", "n3", "n4"}
    assert [set(each.built) - nodes for each in found.moments] == [
        set(),
        {"names", "names.2"},
        {"names", "names.1", "names.2"},
        {"names", "names.1", "names.2", "pages", "pages.2"},
        {"names", "names.1", "names.2", "pages", "pages.1", "pages.2"},
    ]
    assert [each.after for each in found.steps] == [(), (), (2,), (2,)]
    assert all(one.built <= other.built for one, other in pairwise(found.moments))


@pytest.mark.parametrize("order", [[2, 1, 3, 4], [1, 2, 3], [1, 1, 2, 3]])
def test_an_order_that_is_none_is_refused(order):
    """A step before one that it waits for, or not every step once."""
    with pytest.raises(ValueError, match="step"):
        renumbered(Standing(lab_of(LAB)), handmade(*HALVES), order)


def test_owners_follow_the_steps_that_change_them():
    """Who owns what is told after each step, in the new order too."""
    standing = Standing(lab_of(LAB))
    plan = handmade((("names.1",), ()), (("names.2",), ()))
    steps = (replace(plan.steps[0], owners={"a": "x"}), replace(plan.steps[1], owners={"a": "x", "b": "y"}))
    found = renumbered(standing, replace(plan, steps=steps), [2, 1])
    assert [each.owners for each in found.steps] == [{"b": "y"}, {"b": "y", "a": "x"}]
