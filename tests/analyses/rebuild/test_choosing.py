from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from tests.engines.founded.systems import cheapest_by_trying, slowly
from tests.raising_strategies import bare_texts
from tests.strategies import lab_of

from falsework.analyses.rebuild.asking import Asking
from falsework.analyses.rebuild.choosing import fewest
from falsework.engines.founded.system import Clause, System
from falsework.support.standing import Standing


@given(bare_texts())
@settings(deadline=None, max_examples=40)
def test_the_stand_ins_are_the_cheapest_and_what_is_stuck_is_stuck(text):
    """After a teardown, of all sets of stand-ins none costs less, and what no set brings back is told as such."""
    asking = Asking(Standing(lab_of(text)))
    grown = asking.grown(asking.destroying.teardown(), saved=[*asking.before])
    growth, picked = grown.growth, grown.picked
    goals = frozenset(growth.goals)
    whole = slowly(growth.system, tuple(growth.offers.values()))[1]
    assert picked.stuck == goals - whole
    costs = {item: round(asking.costs[name]) for name, item in growth.offers.items()}
    best = cheapest_by_trying(replace(growth.system, costs=costs), goals & whole)
    assert sum(costs[growth.offers[name]] for name in picked.stand_ins) == best
    assert picked.proven


@pytest.mark.parametrize(("each", "both", "found"), [(2.0, 5.0, {0, 1}), (3.0, 5.0, {2}), (2.5, 5.0, {2})])
def test_of_lists_that_weigh_the_same_the_one_with_fewest_is_taken(each, both, found):
    """Two that each open one thing, or one that opens both: by weight, then by number."""
    begin = [(), (), (), *((Clause(of=(one, 2), enough=1, begun=True),) for one in (0, 1))]
    system = System(names=("",) * 5, begin=tuple(begin), serve=((),) * 5)
    assert fewest(system, (3, 4), {0: each, 1: each, 2: both}) == (frozenset(found), True)


@pytest.mark.parametrize("scale", [1.0, 1e6, 1e12])
def test_weights_of_any_size_are_told_apart(scale):
    """Petabytes are weighed as well as bytes."""
    begin = [(), (), (Clause(of=(0, 1), enough=1, begun=True),)]
    system = System(names=("",) * 3, begin=tuple(begin), serve=((),) * 3)
    assert fewest(system, (2,), {0: 8191.0 * scale, 1: 8192.0 * scale}) == (frozenset({0}), True)
