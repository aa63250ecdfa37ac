from __future__ import annotations

from pathlib import Path

import yaml
from hypothesis import given, settings
from tests.raising_strategies import bare_texts
from tests.strategies import lab_of, text_of

from falsework.analyses.rebuild.asking import Asking
from falsework.analyses.rebuild.result import Way
from falsework.model.build import load
from falsework.support.standing import Standing

EXAMPLES = Path(__file__).parents[3] / "examples"


def torn_down(text, saved=()):
    """What comes of a lab, written as text, that is wiped."""
    asking = Asking(Standing(lab_of(text)))
    return asking.loss(asking.destroying.teardown(), saved=[*asking.before, *saved])


def never(loss):
    """The fates of what no accepted stand-in brings back."""
    return [fate for fate in loss.fates if fate.way is Way.STAND_IN and not fate.stand_ins]


@given(bare_texts(most_stand_ins=1))
@settings(deadline=None, max_examples=30)
def test_one_more_stand_in_that_is_named_does_it(text):
    """Whatever a stand-in is said to bring back comes back once the lab file has one."""
    for fate in never(torn_down(text))[:2]:
        assert fate.mend
        for name in fate.would_do[:2]:
            data = yaml.safe_load(text)
            data.setdefault("stand-ins", {})["one more"] = {"for": name, "costs": "1 h"}
            after = torn_down(text_of(data))
            assert fate.thing not in [each.thing for each in never(after)]


def test_a_copy_of_the_key_frees_the_draft():
    """In the draft eight things wait for the seal, half of which lies in what it opens; on paper, nothing waits."""
    asking = Asking(Standing(load(EXAMPLES / "observatory" / "draft.yaml")))
    ruin = asking.destroying.teardown()
    saved = [each for each in asking.before if each != "unseal"]
    stuck = never(asking.loss(ruin, saved=saved))
    assert len(stuck) == 8
    assert {fate.would_keep for fate in stuck} == {("unseal",)}
    assert all(len(fate.circle) > 2 for fate in stuck)
    assert never(asking.loss(ruin, saved=[*saved, "unseal"])) == []
