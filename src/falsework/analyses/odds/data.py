"""How often is data lost, and how often does it have to come from a backup?"""

from __future__ import annotations

from falsework.analyses.odds.result import DataOdds
from falsework.analyses.odds.solved import solved, stopping
from falsework.analyses.odds.sources import Sources
from falsework.model.services import Data
from falsework.support.standing import Standing


def data_odds(standing: Standing, sources: Sources) -> tuple[DataOdds, ...]:
    """Every set of data, in lab order.

    A drive that fails is lost until its place is filled and rebuilt; data is lost once fewer are left than its
    layout needs. Read errors while rebuilding are not counted here.
    """
    every = standing.lab.of(Data)
    names = [f"{word}:{data.id}" for data in every for word in ("kept", "held")]
    often = (
        {each.service: each.figures.per_year for each in solved(stopping(standing, names), sources)}
        if names
        else {}
    )
    return tuple(
        DataOdds(
            data=data.id,
            lost_per_year=often[f"kept:{data.id}"],
            restored_per_year=max(often[f"held:{data.id}"] - often[f"kept:{data.id}"], 0.0),
            work_lost_s=_work_lost_s(data),
        )
        for data in every
    )


def _work_lost_s(data: Data) -> float | None:
    """Half the time between the most frequent backups; None where it is not backed up, or none says how often."""
    every = [backup.every for backup in data.backed_up if backup.every is not None]
    return min(every) / 2 if every else None
