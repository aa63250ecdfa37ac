"""What does an aim that a placement does not meet say about all placements?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from falsework.analyses.aims.result import AimResult, about
from falsework.analyses.verdicts import Loss, Verdict
from falsework.engines.placing.problem import AtMost, Ints
from falsework.engines.ways import reach
from falsework.errors import few
from falsework.model.people import Aim, Alarm
from falsework.support import room
from falsework.support.graph import Phase
from falsework.support.placing.losing import in_touch, rooms_without
from falsework.support.placing.whole import AIMS, Placeable
from falsework.support.standing import Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """What a broken aim asks of every placement.

    Attributes:
        rule: of some copies not all may lie on the hosts that the loss takes away.
        aim: the result that it comes from.
        certain: whether every placement that breaks it breaks the aim; else it is a good guess.
        helps: whether some copy could lie elsewhere at all.
    """

    rule: AtMost
    aim: AimResult
    certain: bool
    helps: bool

    @property
    def key(self) -> tuple[tuple[int, ...], tuple[int, ...]]:
        """What it asks: equal for cuts that ask the same."""
        return self.rule.items, self.rule.bins


def cut(asked: Placeable, standing: Standing, bin_of: Ints, aim: AimResult) -> Cut | None:
    """A rule that every placement breaks in which the aim is broken for the same reason; None if there is none.

    The witness is a loss after which a service falls. What fell with it and can be placed elsewhere lay on hosts
    that the loss takes away. As long as all of that lies on these hosts it falls again, and takes the rest along:
    what has fallen leans on what has fallen, wherever the others are. So at least one of it must lie elsewhere.
    That is only a guess where a copy found no room, or did not see what it needs over the wire, or where times count:
    then moving something else may help.

    Args:
        asked: the problem.
        standing: the lab as it was placed.
        bin_of: that placement.
        aim: a result that is not met.
    """
    loss = aim.witness
    starts = None if loss is None else _starts(standing, aim, loss)
    if loss is None or starts is None:
        return None
    cone = _cone(standing, starts)
    scene = asked.scene
    left = in_touch(standing, scene.hosts, [loss.lost])[:, 0]
    gone = frozenset(np.flatnonzero(~left).tolist())
    items = tuple(
        item
        for item, copy in enumerate(scene.copies)
        if copy.id in cone and int(bin_of[item]) in gone and not loss.view.up(copy.id)
    )
    certain = _is_plain(standing, aim) and not _may_go_otherwise(standing, loss, cone)
    copies = [asked.problem.item_names[item] for item in items]
    rule = AtMost(
        name=f"aim {aim.name!r}: {few(copies)} not all where they go with {' and '.join(loss.lost)}",
        items=items,
        bins=tuple(sorted(gone)),
        most=len(items) - 1,
        level=AIMS,
    )
    helps = any(scene.bin[host] not in gone for item in items for host in scene.may[item])
    return Cut(rule=rule, aim=aim, certain=certain, helps=helps)


def _starts(standing: Standing, aim: AimResult, loss: Loss) -> list[str] | None:
    """The services that would all have to fall again; None where it is not by falling that the aim is broken."""
    if aim.effect is not None:
        return [aim.effect.service] if aim.effect.verdict >= Verdict.BLINKS else None
    if aim.kind != "told":
        return None
    alarms = [str(alarm.id) for alarm in standing.lab.of(Alarm)]
    asked = about(_aim(standing, aim), standing)[0]
    fallen = [
        each.service for each in loss.effects if each.verdict >= Verdict.FALLS and each.service in asked
    ]
    return [*alarms, *fallen[:1]] if alarms else None


def _aim(standing: Standing, result: AimResult) -> Aim:
    return next(aim for aim in standing.lab.aims if aim.name == result.name)


def _is_plain(standing: Standing, aim: AimResult) -> bool:
    """Whether neither times nor data count in it."""
    said = _aim(standing, aim)
    lost = aim.effect is not None and aim.effect.verdict is Verdict.LOST
    return said.within is None and said.blinks_under is None and aim.kind != "told" and not lost


def _may_go_otherwise(standing: Standing, loss: Loss, cone: frozenset[str]) -> bool:
    """Whether something of it is down for want of room, or of sight, and not of what it leans on."""
    return any(name in cone for name in _homeless(standing, loss)) or any(
        not _is_explained(standing, loss, name) for name in cone if not loss.view.up(name)
    )


def _homeless(standing: Standing, loss: Loss) -> Iterator[str]:
    (gone,) = rooms_without(standing, [loss.lost])
    for each, lost in zip(standing.support.rooms, gone, strict=True):
        for position in room.packed(each, lost):
            yield each.copies[position]


def _is_explained(standing: Standing, loss: Loss, name: str) -> bool:
    """Whether it is lost, or too little stands of something that it leans on."""
    return name in loss.lost or any(
        sum(loss.view.up(each) for each in lean.on) < lean.enough
        for lean in standing.support.things[name].leans
        if Phase.RUN in lean.phases and "now" in lean.times
    )


def _cone(standing: Standing, starts: Iterable[str]) -> frozenset[str]:
    """Everything that these lean on, over any number of steps, themselves included."""
    things = standing.support.things

    def leans_on(name: str) -> Iterator[str]:
        return (each for lean in things[name].leans for each in lean.on if each in things)

    return frozenset(reach((name for name in starts if name in things), leans_on))
