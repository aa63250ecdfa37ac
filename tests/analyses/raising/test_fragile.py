from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.strategies import lab_of, texts

from falsework.analyses.raising import alone as ways
from falsework.analyses.raising import fragile as module
from falsework.analyses.raising.fragile import fragile, single_points
from falsework.analyses.raising.result import Moment, Single
from falsework.support.moments import Stages
from falsework.support.standing import Standing


def moment(step, built, lent=(), serving=None):
    """A moment, by hand."""
    return Moment(step=step, built=frozenset(built), lent=frozenset(lent), serving=serving or {})


def test_a_build_with_a_stand_in_step_by_step():
    """The laptop is the single point of all that leans on it, until the names' own pair is."""
    standing = Standing(
        lab_of("""
falsework: 1
lab: Names from a laptop
machines: {n1..3: {is: node}}
services:
  names: {on: [n1, n3]}
  pages: {on: n2, needs: [names]}
stand-ins:
  laptop: {for: names}
""")
    )
    nodes = ["n1", "n2", "n3"]
    pages = [*nodes, "pages", "pages.1"]
    everything = [*pages, "names", "names.1", "names.2"]
    lent = {"lent": ["laptop"], "serving": {"names": "laptop"}}
    moments = [
        moment(0, nodes),
        moment(1, nodes, **lent),
        moment(2, pages, **lent),
        moment(3, everything, **lent),
        moment(4, everything, lent=["laptop"], serving={"names": "names"}),
        moment(5, everything),
    ]
    found = fragile(standing, moments)
    laptop = Single(part="laptop", services=("names", "pages"))
    alone = Single(part="n2", services=("pages",))
    assert [each.step for each in found] == [0, 1, 2, 3, 4, 5]
    assert [each.serving for each in found] == [(), ("names",), *[("names", "pages")] * 4]
    assert [each.singles for each in found] == [
        (),
        (Single(part="laptop", services=("names",)),),
        (laptop, alone),
        (laptop, alone),
        (alone,),
        (alone,),
    ]
    assert [each.margin for each in found] == [0, 1, 1, 1, 1, 1]
    assert all(each.missing == () for each in found)


def test_two_of_everything_leave_a_margin_of_two():
    """Nothing alone stops what has a second copy elsewhere; before the second copy is made, its node does."""
    standing = Standing(
        lab_of("falsework: 1\nlab: Two\nmachines: {n1..2: {is: node}}\nservices: {names: {on: n1..2}}\n")
    )
    first = ["n1", "n2", "names", "names.1"]
    found = fragile(standing, [moment(1, first), moment(2, [*first, "names.2"])])
    assert [each.margin for each in found] == [1, 2]
    assert found[0].singles == (Single(part="n1", services=("names",)),)


def test_what_should_stand_and_does_not_is_missing():
    """Pages before the names that they need: the exact graph says no."""
    standing = Standing(
        lab_of("""
falsework: 1
lab: Too early
machines: {n1..2: {is: node}}
services: {names: {on: n1}, pages: {on: n2, needs: [names]}}
""")
    )
    (found,) = fragile(standing, [moment(1, ["n1", "n2", "pages", "pages.1"])])
    assert found.missing == ("pages", "pages.1")
    assert (found.serving, found.margin) == ((), 0)


@given(texts(), st.randoms(use_true_random=False))
@settings(max_examples=40)
def test_single_points_are_those_of_plain_questions(text, random):
    """Whatever parts are not there yet: the same singles as losing them and each further part by itself."""
    standing = Standing(lab_of(text))
    if standing.support.loads:
        return  # what is not there draws no power; what is lost is still taken to
    moments, wanted = [], []
    for step in range(5):
        absent = random.sample(standing.parts, random.randint(0, min(4, len(standing.parts))))
        here = [name for name in standing.support.things if name not in absent]
        moments.append(moment(step, here))
        outside = {
            name for name in absent if standing.support.things[name].word in ("outside", "room", "rack")
        }
        lost = set(absent) - outside
        (before,) = standing.views([lost])
        serving = [name for name in standing.support.services if before.back(name)]
        singles = {}
        for part in standing.parts:
            (after,) = standing.views([{*lost, part}])
            falls = tuple(name for name in serving if not after.back(name))
            if falls:
                singles[part] = falls
        wanted.append((tuple(serving), singles))
    found = fragile(standing, moments)
    assert [(each.serving, {one.part: one.services for one in each.singles}) for each in found] == wanted
    assert single_points(Stages(standing), moments) == tuple(each.singles for each in found)


def test_no_more_moments_than_asked_for_first_and_last_among_them():
    """Evenly chosen, and progress says how far it is."""
    standing = Standing(
        lab_of("falsework: 1\nlab: One\nmachines: {n1: {is: node}}\nservices: {names: {on: n1}}\n")
    )
    moments = [moment(step, ["n1", "names", "names.1"]) for step in range(11)]
    told = []
    found = fragile(standing, moments, most=3, progress=lambda done, of: told.append((done, of)))
    assert [each.step for each in found] == [0, 5, 10]
    assert told == [(0, 3), (3, 3)]
    assert [each.step for each in fragile(standing, moments, most=1)] == [10]
    assert fragile(standing, []) == ()


@given(texts(), st.randoms(use_true_random=False))
@settings(max_examples=40)
def test_a_large_lab_is_asked_in_another_way_and_finds_the_same(text, random):
    """Groups first, and by halving while things only come: the same singles, in the same order, as one by one."""
    standing = Standing(lab_of(text))
    if standing.support.rooms:
        return  # odd cases of packing are no rule that losing more hurts more
    things = list(standing.support.things)
    coming = random.sample(things, len(things))
    sizes = sorted(random.randint(0, len(things)) for _ in range(7))
    sizes.insert(random.randint(0, 7), random.randint(0, len(things)))  # and once some of it goes
    moments = [moment(step, coming[:size]) for step, size in enumerate(sizes)]
    plain = fragile(standing, moments)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(module, "MANY", 0)
        patch.setattr(ways, "MANY", 0)
        patch.setattr(ways, "GROUPS", (4, 2, 1))
        assert fragile(standing, moments) == plain


def test_a_single_point_that_gets_a_second_copy_is_found_to_the_moment():
    """The only node under the names is a single point until another copy serves, whichever way it is asked."""
    standing = Standing(
        lab_of("""
falsework: 1
lab: A second copy comes
machines: {n1..9: {is: node}}
services: {names: {on: [n1, n2]}}
""")
    )
    nodes = [f"n{number}" for number in range(1, 10)]
    stages = [["n1"], ["n1", "names", "names.1"]]
    stages += [[*stages[-1], *nodes[2:count]] for count in range(3, 10)]
    stages.append([*stages[-1], "n2", "names.2"])
    moments = [moment(step, built) for step, built in enumerate(stages)]
    one = Single(part="n1", services=("names",))
    wanted = [(), *[(one,)] * 8, ()]
    for many in (0, 10**6):
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(module, "MANY", many)
            patch.setattr(ways, "MANY", many)
            assert [each.singles for each in fragile(standing, moments)] == wanted
