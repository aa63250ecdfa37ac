"""Does an order that was found pass as one that was written by hand, and does the exact graph agree with it?"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from tests.raising_strategies import bare_texts
from tests.strategies import lab_of

from falsework.analyses.order import replay
from falsework.analyses.raising.plan import plan
from falsework.analyses.raising.reorder import renumbered, reorder
from falsework.analyses.raising.result import Doing
from falsework.model.build import load
from falsework.support.moments import stages_of
from falsework.support.standing import Standing

pytestmark = pytest.mark.slow

KEYS = {
    Doing.LEND: "with",
    Doing.BRING: "brings",
    Doing.HAND_OVER: "moves",
    Doing.REPOINT: "repoints",
    Doing.RETIRE: "retires",
}
BARE = Path(__file__).parents[3] / "examples" / "observatory" / "bare.yaml"


def written(found, *, without=()):
    """The order of a plan, as a person would write it, some steps forgotten."""
    lines = []
    for step in found.steps:
        if step.number in without:
            continue
        key = KEYS.get(step.doing)
        does = f", {key}: {json.dumps(list(step.things))}" if key else ""
        lines.append(f"  - {{do: step {step.number}{does}}}\n")
    return "\norder:\n" + "".join(lines)


def waits_for_itself(slip, lab):
    """Stand-ins that need each other to run are lent one after the other, and serve when both are there."""
    return slip.what == "unmet" and lab.things[slip.thing].IS == "stand-in"


@given(bare_texts(), st.randoms(use_true_random=False))
@settings(max_examples=20)
def test_an_order_that_was_found_has_no_slip(text, random):
    """Written down and replayed on the exact graph, in the order found and in any other that its steps allow."""
    lab = lab_of(text)
    standing = Standing(lab)
    found = plan(standing, from_nothing=True)
    assume(not found.stuck and found.steps)
    order, left = [], list(found.steps)
    while left:
        able = [step for step in left if all(each in order for each in step.after)]
        step = random.choice(able)
        order.append(step.number)
        left.remove(step)
    for some in (found, renumbered(standing, found, order)):
        slips = replay(lab_of(text + written(some))).slips
        assert [slip for slip in slips if not waits_for_itself(slip, lab)] == []


@given(bare_texts())
@settings(max_examples=10)
def test_a_safer_order_is_still_sound(text):
    """Reordered, it has no slip either, and the same steps."""
    lab = lab_of(text)
    standing = Standing(lab)
    found = plan(standing, from_nothing=True)
    assume(not found.stuck and found.steps)
    safer = reorder(standing, found)
    assert sorted(step.says for step in safer.steps) == sorted(step.says for step in found.steps)
    assert safer.moments[-1].built == found.moments[-1].built
    slips = replay(lab_of(text + written(safer))).slips
    assert [slip for slip in slips if not waits_for_itself(slip, lab)] == []


@pytest.fixture(scope="module")
def observatory():
    """The observatory in crates, and the order found for it."""
    standing = Standing(load(BARE))
    return standing, plan(standing, from_nothing=True)


def test_the_observatory_is_sound_at_every_moment(observatory):
    """Whatever should stand after a step stands, by the exact graph, power, wire and room included."""
    standing, found = observatory
    stages = stages_of(standing)
    assert stages.missing(found.moments) == [()] * len(found.moments)
    safer = reorder(standing, found)
    assert stages.missing(safer.moments) == [()] * len(safer.moments)


def test_the_observatory_written_down_has_no_slip(observatory):
    """The whole order as text under the lab: not one slip."""
    _, found = observatory
    order = replay(lab_of(BARE.read_text(encoding="utf-8") + written(found)))
    assert order.slips == ()
    assert not any(order.broken)


@pytest.mark.parametrize(
    ("doing", "whats"),
    [
        (Doing.LEND, {"unmet", "not there"}),
        (Doing.HAND_OVER, {"two owners"}),
        (Doing.REPOINT, {"address"}),
        (Doing.RETIRE, {"left"}),
    ],
)
@pytest.mark.slow
def test_a_step_that_is_forgotten_is_missed(observatory, doing, whats):
    """Without any one step that lends, moves, repoints or retires, the order has a slip of the right kind."""
    _, found = observatory
    text = BARE.read_text(encoding="utf-8")
    steps = [step for step in found.steps if step.doing is doing]
    assert steps
    for step in steps:
        slips = replay(lab_of(text + written(found, without=[step.number]))).slips
        assert whats <= {slip.what for slip in slips}, step
