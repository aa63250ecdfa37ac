"""When is data lost, and how much work goes with it?

While the drives that hold a data set are whole, nothing is lost, reached or not. When they are not, it is
restored from the youngest backup that survives; where none does, all of it is gone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from falsework.analyses.years.fallen import hands_at
from falsework.analyses.years.known import Known
from falsework.analyses.years.lived import Lived, Pieces
from falsework.engines.renewal.plan import Bools
from falsework.model.services import Data
from falsework.support.times import NEVER

RESTORED_AT = 50e6
"""Assumed: a restore reads 50 MB a second, half of what a 1 Gb/s wire carries."""
EVERY_S = 86_400.0
"""Assumed where a backup does not say how often it is made: daily."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DataLoss:
    """One loss of one data set.

    Attributes:
        data: its id.
        run: in which run of its block.
        at_s: when, on the run's clock.
        work_lost_s: how much work is lost, seconds; infinite where all of it is gone.
        restored_s: how long the restore takes once the drives are there, seconds; 0 where there is none.
        units: the parts that were broken then, by number.
    """

    data: str
    run: int
    at_s: float
    work_lost_s: float
    restored_s: float
    units: tuple[int, ...]


def data_losses(lived: Lived, rng: np.random.Generator) -> tuple[tuple[DataLoss, ...], tuple[Pieces, ...]]:
    """Every loss of data, and how long what it belongs to is out for it.

    Args:
        lived: the runs.
        rng: where chance comes from: how old the youngest backup is.
    """
    known = lived.known
    losses: list[DataLoss] = []
    pieces: list[Pieces] = []
    for data in known.standing.lab.of(Data):
        whole = lived.kept.get(f"held:{data.id}")
        if whole is None or not whole[0]:  # the first set is the empty one
            continue
        for stretch in np.flatnonzero(whole[lived.cut.before] & ~whole[lived.cut.state]).tolist():
            loss, until = _one(lived, data, stretch, whole, rng)
            losses.append(loss)
            pieces.extend(_out(known, data, loss, until))
    return tuple(losses), tuple(pieces)


def _one(
    lived: Lived, data: Data, stretch: int, whole: Bools, rng: np.random.Generator
) -> tuple[DataLoss, float]:
    """A loss, and when all is there again: drives, hands and what was restored."""
    cut = lived.cut
    state, at = int(cut.state[stretch]), float(cut.start_s[stretch])
    ages = [
        (backup.every or EVERY_S) * rng.random()
        for number, backup in enumerate(data.backed_up)
        if lived.kept[f"backup {number + 1} of {data.id}"][state]
    ]
    # A draw for each backup, usable or not, would only make the stream longer: losses are rare.
    restored = (data.size or 0.0) / RESTORED_AT if ages else 0.0
    again = stretch
    while again < len(cut.run) and cut.run[again] == cut.run[stretch] and not whole[cut.state[again]]:
        again += 1
    drives = float(cut.end_s[again - 1])
    begun = float(hands_at(lived, np.array([drives]), cut.state[[stretch]])[0])
    loss = DataLoss(
        data=data.id,
        run=int(cut.run[stretch]),
        at_s=at,
        work_lost_s=min(ages, default=NEVER),
        restored_s=restored,
        units=cut.sets[state],
    )
    return loss, begun + restored


def _out(known: Known, data: Data, loss: DataLoss, until: float) -> Sequence[Pieces]:
    services = [name for name in (data.of.ids if data.of else ()) if name in known.services]
    if not services:
        return ()
    count = len(services)
    return (
        Pieces(
            service=np.array([known.services.index(name) for name in services], dtype=np.int64),
            run=np.full(count, loss.run),
            start_s=np.full(count, loss.at_s),
            end_s=np.full(count, until),
        ),
    )
