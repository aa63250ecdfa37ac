"""Is every aim that both ends meet met after each move on the way, by the real verdicts?"""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from tests.analyses.placing.looking import Looked
from tests.analyses.placing.small_labs import Rules, aims, invented, lab_of, placements

from falsework.analyses.placing.moving import moved
from falsework.support.placing import placeable
from falsework.support.standing import Standing

SEEDS = [*range(10), *(pytest.param(seed, marks=pytest.mark.slow) for seed in range(10, 60))]


@pytest.mark.parametrize("seed", SEEDS)
def test_a_clean_way_keeps_rules_and_aims(seed):
    """From any lawful placement to any other: while all moves are clean, no rule and no such aim is broken.

    Aims are left out where services need each other: what that asks is not watched on the way.
    """
    text = invented(Random(seed))
    lab = lab_of(text)
    lawful = list(placements(lab))
    if len(lawful) < 2:
        return
    at = Looked(lab=lab, asked=placeable(Standing(lab)), all=())
    here, there = Random(seed).sample(lawful, 2)
    asked = replace(at.asked, problem=replace(at.asked.problem, start=at.bins(here)))
    both = frozenset[str]() if "needs:" in text else met(lab, here) & met(lab, there)
    now, rules = dict(here), Rules(lab)
    for move in moved(asked, at.bins(there)):
        assert move.start == now[move.copy]
        if not move.clean:
            return  # it is told that something is stopped or broken from here on
        now[move.copy] = move.end
        assert rules.kept(now)
        assert both <= met(lab, now)
    assert now == there


def met(lab, host_of):
    """The aims that are met, the copies placed so."""
    return frozenset(aim.name for aim in aims(lab, host_of) if aim.met)
