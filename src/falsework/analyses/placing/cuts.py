"""What does an aim that a placement does not meet say about all placements?"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from falsework.analyses.aims.result import AimResult
from falsework.engines.placing.problem import AtMost, Ints
from falsework.model.people import Alarm
from falsework.support.placing.losing import in_touch
from falsework.support.placing.whole import AIMS, Placeable
from falsework.support.standing import Standing


def cut(asked: Placeable, standing: Standing, bin_of: Ints, aim: AimResult, name: str) -> AtMost | None:
    """A rule that every placement breaks in which the aim is broken for the same reason; None if there is none.

    The witness is a loss after which a service falls. What fell with it and can be placed elsewhere lay on hosts
    that the loss takes away. As long as all of that lies on these hosts it falls again, and takes the rest along:
    what has fallen leans on what has fallen, wherever the others are. So at least one of it must lie elsewhere.

    Args:
        asked: the problem.
        standing: the lab as it was placed.
        bin_of: that placement.
        aim: a result that is not met.
        name: what to call the rule.
    """
    if aim.witness is None:
        return None
    alarms = [str(alarm.id) for alarm in standing.lab.of(Alarm)]
    starts = [aim.effect.service] if aim.effect is not None else alarms
    cone = _cone(standing, starts)
    scene, view = asked.scene, aim.witness.view
    left = in_touch(standing, scene.hosts, [aim.witness.lost])[:, 0]
    gone = frozenset(np.flatnonzero(~left).tolist())
    items = tuple(
        item
        for item, copy in enumerate(scene.copies)
        if copy.id in cone and int(bin_of[item]) in gone and not view.up(copy.id)
    )
    able = any(scene.bin[host] not in gone for item in items for host in scene.may[item])
    if not able:
        return None
    return AtMost(name=name, items=items, bins=tuple(sorted(gone)), most=len(items) - 1, level=AIMS)


def _cone(standing: Standing, starts: Iterable[str]) -> frozenset[str]:
    """Everything that these lean on, over any number of steps, themselves included."""
    things = standing.support.things
    seen: set[str] = set()
    waiting = list(starts)
    while waiting:
        name = waiting.pop()
        if name in seen or name not in things:
            continue
        seen.add(name)
        waiting.extend(each for lean in things[name].leans for each in lean.on)
    return frozenset(seen)
