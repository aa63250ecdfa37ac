"""Is an aim met that speaks of room without a machine, or of an alarm that leaves?"""

from __future__ import annotations

import numpy as np

from falsework import units
from falsework.analyses.aims.result import AimResult, about, open_aim
from falsework.analyses.explain import told
from falsework.analyses.verdicts import Verdict, losses, verdict_rows
from falsework.errors import few
from falsework.model.people import Aim, Alarm
from falsework.support.lives import TOLD_S
from falsework.support.settling import Packer
from falsework.support.standing import Standing
from falsework.units import Dimension


def room_left(aim: Aim, standing: Standing) -> AimResult:
    """Whether every copy on a pool has room with any one of the named things gone."""
    gone = [name for name in (aim.room_without.ids if aim.room_without else ()) if name not in standing.out]
    views = standing.views([(name,) for name in gone])
    for view, name in zip(views, gone, strict=True):
        for each in standing.support.rooms:
            lost = frozenset(number for number, host in enumerate(each.hosts) if not view.up(host))
            packer = Packer(each)
            settled = packer.settle(lost)
            homeless = [number for number in settled.homeless if not each.sheds[number]]
            if homeless:
                first = each.copies[min(homeless)]
                placed = packer.calm(settled, lost)
                firm = {number: host for number, host in placed.items() if not each.sheds[number]}
                left = packer.holes(without=settled.gave_way, placed=firm)
                hole = max((free[1] for number, free in enumerate(left) if number not in lost), default=0.0)
                size = units.format(each.takes[min(homeless)][1], Dimension.DATA)
                return AimResult(
                    name=aim.name,
                    met=False,
                    says=f"without {name} {len(homeless)} {'copy finds' if len(homeless) == 1 else 'copies find'} no room in {each.pool}, {first} among them",
                    why=(
                        f"{first} takes {size} of memory, and the largest hole left is {units.format(hole, Dimension.DATA)}",
                    ),
                    where=aim.where,
                )
    if not standing.support.rooms:
        return open_aim(aim, "no copy on a pool says what it takes; give services `takes`")
    return AimResult(
        name=aim.name,
        met=True,
        says=f"all copies have room without any one of {len(gone)}",
        where=aim.where,
        tried=len(gone),
    )


def told_of(aim: Aim, standing: Standing) -> AimResult:
    """Whether an alarm leaves, in time, after every single loss that makes a service fall."""
    alarms = standing.lab.of(Alarm)
    if not alarms:
        return AimResult(
            name=aim.name, met=False, says="the lab has no alarm; add one under alarms", where=aim.where
        )
    names = [name for name in (aim.lose.ids if aim.lose else standing.parts) if name not in standing.out]
    verdicts = verdict_rows(standing, standing.service_rows([(name,) for name in names]))
    services, _ = about(aim, standing)
    rows = [standing.support.services.index(service) for service in services]
    bells = [standing.support.services.index(alarm.id) for alarm in alarms]
    silent = (verdicts[rows] >= Verdict.FALLS).any(axis=0) & (verdicts[bells] >= Verdict.FALLS).all(axis=0)
    for loss in losses(standing, [(names[column],) for column in np.flatnonzero(silent)[:256]]):
        if any(loss.of(alarm.id).falls_s > (alarm.told_in or TOLD_S) for alarm in alarms):
            continue
        fallen = [service for service in services if loss.of(service).verdict >= Verdict.FALLS]
        return AimResult(
            name=aim.name,
            met=False,
            says=f"lose {loss.lost[0]}: {few(fallen)} {'falls' if len(fallen) == 1 else 'fall'}, and no alarm leaves",
            why=(told(loss.why(alarms[0].id)),),
            where=aim.where,
            witness=loss,
            tried=len(names),
        )
    return AimResult(
        name=aim.name,
        met=True,
        says=f"an alarm leaves after every loss that matters ({len(names)} looked at)",
        where=aim.where,
        tried=len(names),
    )
