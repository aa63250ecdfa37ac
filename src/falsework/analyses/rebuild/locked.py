"""Which backups survive a loss and still can't be read, because what opens them was lost with the data?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from falsework.analyses.rebuild.destroyed import Destroying, Ruin
from falsework.analyses.rebuild.knowing import Knowing, lacking_of, open_, readable
from falsework.analyses.rebuild.regrowing import data_places
from falsework.model.lab import Lab
from falsework.model.parts import Rack, Room
from falsework.model.services import Backup, Data
from falsework.support.standing import Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Locked:
    """One backup that is no help.

    Attributes:
        data: what is gone for good.
        backup: the first of its backups that survives.
        lost: the places of the data; a rack or room; or nothing, for the whole lab.
        lacking: data and keys without which it can't be read.
    """

    data: Data
    backup: Backup
    lost: tuple[str, ...]
    lacking: tuple[str, ...]


def locked(standing: Standing) -> tuple[Locked, ...]:
    """Each data set at most once, with the smallest loss that does it: its own places, a rack, a room, all.

    Cost:
        Nothing where no restore asks for anything; else a fixed point over data and keys for each loss.
    """
    lab = standing.lab
    asking = [data for data in lab.of(Data) if _asks(lab, data)]
    if not asking:
        return ()
    destroying, knowing = Destroying(standing), Knowing(lab)
    losses = [
        *dict.fromkeys(data_places(data) for data in asking),
        *((each.id,) for kind in (Rack, Room) for each in lab.of(kind)),
    ]
    before = readable(knowing.wants(destroying.ruins([()])[0]))
    found: dict[str, Locked] = {}
    for ruin in (*destroying.ruins(losses), destroying.teardown()):
        left = [data for data in asking if data.id in before and data.id not in found]
        for each in _lost(knowing, ruin, left) if left else ():
            found[each.data.id] = each
    return tuple(found[data.id] for data in asking if data.id in found)


def _asks(lab: Lab, data: Data) -> bool:
    """Whether a restore may ask for data or keys; a place that is lost as well is told elsewhere."""
    holders = (data, *lab.named(data.of.ids if data.of else ()))
    return any(backup.needs for backup in data.backed_up) or (
        bool(data.backed_up) and any(each.needs and each.needs.to_restore for each in holders)
    )


def _lost(knowing: Knowing, ruin: Ruin, asking: list[Data]) -> Iterator[Locked]:
    if all(any(ruin.survives(place) for place in data_places(data)) for data in asking):
        return
    known = readable(knowing.wants(ruin))
    for data in asking:
        if data.id in known:
            continue
        for backup in data.backed_up:
            asks = knowing.backup(ruin, data, backup)
            if asks is not None and not open_(asks, known):
                lacking = lacking_of(asks, known)
                yield Locked(data=data, backup=backup, lost=ruin.lost, lacking=lacking)
                break
