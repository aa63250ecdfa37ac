"""Where do the copies of a lost machine go, and after which loss is the least room left?"""

from __future__ import annotations

import numpy as np

from falsework.analyses.placing.result import Rehoused
from falsework.engines.placing.packing import restarted
from falsework.engines.placing.problem import Ints, Loss
from falsework.support.placing.whole import Placeable


def worst(asked: Placeable, bin_of: Ints) -> Rehoused | None:
    """The loss after which most copies find no place, and of equal ones that which displaces most; None without any.

    Args:
        asked: the problem.
        bin_of: (n_items,) the placement.
    """
    found = [_rehoused(asked, bin_of, loss) for loss in asked.problem.losses]
    return max(
        (each for each in found if each.homes or each.homeless),
        key=lambda each: (len(each.homeless), len(each.homes)),
        default=None,
    )


def _rehoused(asked: Placeable, bin_of: Ints, loss: Loss) -> Rehoused:
    packed = restarted(asked.problem, bin_of, loss.bins)
    name = asked.problem.item_names
    sheds = asked.problem.sheds
    gone = np.isin(bin_of, loss.bins)
    out = np.flatnonzero(gone & sheds).tolist() if sheds is not None else []
    return Rehoused(
        says=loss.name,
        hosts=tuple(asked.scene.hosts[at] for at in loss.bins),
        homes={name[item]: asked.scene.hosts[at] for item, at in sorted(packed.bin_of.items())},
        homeless=tuple(name[item] for item in packed.homeless),
        left_out=tuple(name[item] for item in out),
    )
