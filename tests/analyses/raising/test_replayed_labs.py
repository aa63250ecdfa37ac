"""Are orders of work for any small lab sound, and their stand-ins the cheapest?"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from tests.ground import Ground
from tests.raising_strategies import bare_texts
from tests.replayer import complaints
from tests.strategies import lab_of

from falsework.analyses.raising.plan import plan
from falsework.invent import invent_bare
from falsework.support.standing import Standing

pytestmark = pytest.mark.slow


@settings(max_examples=120)
@given(bare_texts())
@pytest.mark.slow
def test_an_order_for_any_small_lab_is_sound_and_cheapest(text):
    """The replayer finds nothing wrong, in any order that `after` allows, and no cheaper set of stand-ins would do."""
    lab = lab_of(text)
    ground = Ground(lab)
    found = plan(Standing(lab), from_nothing=True)
    cost = ground.cheapest()
    assert complaints(found, lab) == []
    assert bool(found.stuck) == (cost is None)
    if cost is None:
        copies = {name for name, thing in lab.things.items() if thing.IS == "copy"}
        unmade = [name for name in ground.unmade(ground.stand_ins) if name not in copies]
        assert [name for name in found.stuck if name not in copies] == unmade
    else:
        assert found.cost_s == cost
        assert found.proven


@pytest.mark.parametrize(
    ("nodes", "seed"),
    [(6, 1), pytest.param(12, 4, marks=pytest.mark.slow), pytest.param(30, 2, marks=pytest.mark.slow)],
)
def test_an_order_for_an_invented_lab_is_sound_and_cheapest(nodes, seed):
    """Labs that look like real ones, in crates: walked by the replayer, and priced by trying every set."""
    lab = lab_of(invent_bare(nodes, seed))
    found = plan(Standing(lab))
    assert found.steps
    assert complaints(found, lab, shuffles=1) == []
    assert found.cost_s == Ground(lab).cheapest()
