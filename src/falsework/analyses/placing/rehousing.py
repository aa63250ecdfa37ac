"""Where do the copies of a lost machine go, and after which loss is the least room left?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from falsework.analyses.placing.result import Rehoused
from falsework.engines.placing.packing import restarted
from falsework.engines.placing.problem import NOWHERE, Bools, Ints, Loss, Problem
from falsework.support.placing.whole import Placeable


def worst(asked: Placeable, bin_of: Ints) -> Rehoused | None:
    """The loss after which most copies find no place, then most are left out, then most move; None without any.

    Args:
        asked: the problem.
        bin_of: (n_items,) the placement.
    """
    found = [_rehoused(asked, bin_of, loss) for loss in asked.problem.losses]
    return max(
        (each for each in found if each.homes or each.homeless or each.left_out),
        key=lambda each: (len(each.homeless), len(each.left_out), len(each.homes)),
        default=None,
    )


def _rehoused(asked: Placeable, bin_of: Ints, loss: Loss) -> Rehoused:
    """Nobody is left out where all fit; else those that may be are, and come back as far as there is room for them."""
    problem, sheds = asked.problem, asked.problem.shedding
    packed = restarted(replace(problem, sheds=None), bin_of, loss.bins)
    out: tuple[int, ...] = ()
    if packed.homeless and sheds.any():
        packed = restarted(problem, bin_of, loss.bins)
        out = _left_out(problem, bin_of, sheds, loss, packed.bin_of)
    name = problem.item_names
    return Rehoused(
        says=loss.name,
        hosts=tuple(asked.scene.hosts[at] for at in loss.bins),
        homes={name[item]: asked.scene.hosts[at] for item, at in sorted(packed.bin_of.items())},
        homeless=tuple(name[item] for item in packed.homeless),
        left_out=tuple(name[item] for item in out),
    )


def _left_out(
    problem: Problem, bin_of: Ints, sheds: Bools, loss: Loss, homes: Mapping[int, int]
) -> tuple[int, ...]:
    """Those that may be left out and have to be: whose host is gone, or is full with those that came."""
    after = bin_of.copy()
    after[np.isin(bin_of, loss.bins)] = NOWHERE
    for item, at in homes.items():
        after[item] = at
    there = (after != NOWHERE) & ~sheds
    left = problem.capacity.copy()
    np.subtract.at(left, after[there], problem.size[there])
    out = []
    for item in np.flatnonzero(sheds).tolist():
        at = int(after[item])
        if at != NOWHERE and (problem.size[item] <= left[at]).all():
            left[at] -= problem.size[item]
        else:
            out.append(item)
    return tuple(out)
