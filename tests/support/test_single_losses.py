from __future__ import annotations

from hypothesis import given, settings
from tests.strategies import lab_of, texts

from falsework.support.single_losses import now, single_losses
from falsework.support.standing import Standing


@given(texts())
@settings(deadline=None, max_examples=40)
def test_every_single_loss_does_what_the_verdicts_say(text):
    """Each part is told with exactly what it changes; parts that are not told change nothing of what was asked."""
    standing = Standing(lab_of(text))
    names = [name for number, name in enumerate(standing.support.things) if number % 2]
    calm = now(standing, names)
    told = {}
    for change in single_losses(standing, names):
        for part in change.parts:
            assert part not in told
            told[part] = change
    for part, view in zip(standing.parts, standing.views([(each,) for each in standing.parts]), strict=True):
        there = told[part].there if part in told else calm
        for name in names:
            assert there.up(name) == view.up(name)
            assert there.back(name) == view.back(name)
