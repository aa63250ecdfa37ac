"""Which fault is told to nobody, and which way was never proved?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from falsework.analyses.explain import told
from falsework.analyses.verdicts import Singles, Verdict, losses
from falsework.errors import few
from falsework.findings.finding import DATA_CAUTION, Finding, Level
from falsework.model.people import Alarm
from falsework.model.services import Data, Service
from falsework.support.standing import Standing


def alarms(standing: Standing, singles: Singles) -> Iterator[Finding]:
    """Alarms that fall with what they should tell of, and silence that nobody outside would notice."""
    bells = standing.lab.of(Alarm)
    if not bells:
        return
    rows = [singles.services.index(bell.id) for bell in bells]
    others = [row for row in range(len(singles.services)) if row not in rows]
    hurt = (singles.verdicts[others] >= Verdict.FALLS).any(axis=0) & (
        singles.verdicts[rows] >= Verdict.FALLS
    ).all(axis=0)
    parts = [singles.parts[column] for column in np.flatnonzero(hurt)]
    parts = [
        loss.lost[0]
        for loss in losses(standing, [(part,) for part in parts])
        if all(loss.of(bell.id).falls_s <= (bell.told_in or 300.0) for bell in bells)
    ]
    if parts:
        yield Finding(
            code="nobody is told",
            level=Level.REMARK,
            says=f"lose {parts[0] if len(parts) == 1 else 'any of ' + few(parts)}: services fall, and no alarm leaves",
            why=tuple(told(losses(standing, [(parts[0],)])[0].why(bell.id)) for bell in bells[:1]),
            mend="let an alarm leave by a way that none of these carries",
            where=bells[0].place("leaves_by"),
            things=tuple(parts),
        )
    for bell in bells:
        if bell.silence_seen_by is None and not any(each.silence_seen_by for each in bells):
            yield Finding(
                code="silence goes unseen",
                level=Level.REMARK,
                says=f"nobody outside notices when {bell.id} falls silent",
                mend="let something outside expect a sign of life: add `silence seen by`",
                where=bell.where,
                things=(bell.id,),
            )
            break


def never_proved(standing: Standing) -> Iterator[Finding]:
    """Failovers and restores that nobody has seen work, told once."""
    moving = [
        service
        for service in standing.lab.of(Service)
        if (service.takes_over is not None or service.floats is not None) and service.proved is None
    ]
    if moving:
        yield Finding(
            code="never proved",
            level=Level.REMARK,
            says=f"the failover of {few([service.id for service in moving])} was never seen to work",
            mend="try it once, and write the day under `proved`",
            where=moving[0].where,
            things=tuple(service.id for service in moving),
        )
    backed = [data for data in standing.lab.of(Data) for backup in data.backed_up if backup.restored is None]
    if backed:
        yield Finding(
            code="never proved",
            level=Level.REMARK,
            says=f"no restore of {few(list(dict.fromkeys(data.id for data in backed)))} was ever seen to work",
            mend="restore one file, and write the day under `restored`",
            where=backed[0].place("backed_up"),
            things=tuple(dict.fromkeys(data.id for data in backed)),
            caution=DATA_CAUTION,
        )
