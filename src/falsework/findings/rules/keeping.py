"""Which drives and backups share a fate?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from falsework import units
from falsework.errors import few
from falsework.findings.finding import DATA_CAUTION, Finding, Level
from falsework.model.parts import Drive
from falsework.model.rules import layout
from falsework.model.services import Data, Store
from falsework.support.reached import domain_of
from falsework.support.standing import Standing
from falsework.units import Dimension


def batches(standing: Standing) -> Iterator[Finding]:
    """Drives of one batch that together would be too many for their store."""
    for store in standing.lab.of(Store):
        for shares, survives in _groups(standing, store):
            holds: dict[str, list[str]] = {}
            hit: dict[str, set[int]] = {}
            for number, share in enumerate(shares):
                for drive in share:
                    if drive.batch:
                        holds.setdefault(drive.batch, []).append(drive.id)
                        hit.setdefault(drive.batch, set()).add(number)
            for batch, names in holds.items():
                if len(hit[batch]) > survives > 0:
                    both = "both" if len(names) == 2 else "them all"
                    yield Finding(
                        code="one cause takes both",
                        level=Level.REMARK,
                        says=f"{few(names)} of {store.id} are of batch {batch}: one cause may take {both} at once",
                        why=(f"{store.id} survives the loss of {survives}",),
                        mend="swap one of them with a drive of another batch",
                        where=store.place("drives"),
                        things=(store.id, *names),
                        caution=DATA_CAUTION,
                    )


def _groups(standing: Standing, store: Store) -> Iterator[tuple[list[list[Drive]], int]]:
    """The independent groups of a store: the shares of each, and how many of them may be lost."""
    named = standing.lab.named(store.drives.ids if store.drives else ())
    drives = [thing for thing in named if isinstance(thing, Drive)]
    working = drives[: len(drives) - store.spares]
    plan = layout(store.layout, len(working))
    if plan.group:
        for first in range(0, len(working), plan.group):
            yield [[drive] for drive in working[first : first + plan.group]], plan.survives
        return
    bundles: dict[str, list[Drive]] = {}
    for drive in working:
        domain = domain_of(standing.lab, standing.shared, store, drive.id)
        bundles.setdefault(domain, []).append(drive)
    yield list(bundles.values()), plan.survives


def backups(standing: Standing) -> Iterator[Finding]:
    """Backups that share the fate of their source, come too rarely, or were never restored."""
    kept = [data for data in standing.lab.of(Data) if data.backed_up]
    fates = _shared_fates(standing) if kept else {}
    for data in kept:
        for number, backup in enumerate(data.backed_up, start=1):
            if (
                data.may_lose is not None
                and backup.every is not None
                and backup.every > data.may_lose
                and len(data.backed_up) == 1
            ):
                yield Finding(
                    code="backup too rare",
                    level=Level.REMARK,
                    says=f"{data.id} may lose {units.format(data.may_lose, Dimension.TIME)} of work and is backed up every {units.format(backup.every, Dimension.TIME)}",
                    mend="back it up more often, or allow more loss",
                    where=backup.where,
                    things=(data.id,),
                    caution=DATA_CAUTION,
                )
            shared = fates.get((data.id, number), ())
            if shared:
                yield Finding(
                    code="backup on its source",
                    level=Level.REMARK,
                    says=f"the backup of {data.id} to {', '.join(backup.to.ids)} is lost together with what it backs up",
                    why=(f"both lie on {few(shared)}",),
                    mend="keep the backup on drives that hold none of the original, best in another room",
                    where=backup.to.where,
                    things=(data.id, *shared),
                    services=data.of.ids if data.of else (),
                    caution=DATA_CAUTION,
                )


def not_laid_out(standing: Standing) -> Iterator[Finding]:
    """Nodes with several drives that no store claims: what their loss does can't be judged."""
    laid = {drive for store in standing.lab.of(Store) for drive in (store.drives.ids if store.drives else ())}
    loose: dict[str, list[str]] = {}
    for drive in standing.lab.of(Drive):
        if drive.id not in laid and drive.in_ is not None:
            loose.setdefault(drive.in_.ids[0], []).append(drive.id)
    several = {node: drives for node, drives in loose.items() if len(drives) > 1}
    if several:
        drives = [drive for each in several.values() for drive in each]
        yield Finding(
            code="drives not laid out",
            level=Level.REMARK,
            says=f"{few(drives)} belong to no store, so losing them is taken to do nothing",
            mend="lay them out under stores: a mirror, parity, or copies over nodes",
            where=standing.support.things[drives[0]].where,
            things=tuple(drives),
        )


def _shared_fates(standing: Standing) -> Mapping[tuple[str, int], tuple[str, ...]]:
    """For each data set and number of backup the stores whose loss takes both; only where there are any."""
    stores = [store for store in standing.lab.of(Store) if store.drives]
    kept = standing.service_rows([store.drives.ids for store in stores if store.drives])
    kept = kept[2 * len(standing.support.services) :]
    row = {name: number for number, name in enumerate(standing.support.keepings)}
    found: dict[tuple[str, int], tuple[str, ...]] = {}
    for data in standing.lab.of(Data):
        for number in range(1, len(data.backed_up) + 1):
            gone = ~kept[row[f"held:{data.id}"]] & ~kept[row[f"backup {number} of {data.id}"]]
            if gone.any():
                found[data.id, number] = tuple(stores[column].id for column in np.flatnonzero(gone))
    return found
