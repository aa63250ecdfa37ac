"""What lies on each store, as far as the lab file says?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from falsework.analyses.room.result import Held
from falsework.model.lab import Lab
from falsework.model.parts import ThingId
from falsework.model.services import Copy, Data, Pool, Service, Store


def held(lab: Lab) -> Mapping[str, tuple[Held, ...]]:
    """By store: the data in it, whole copies of what is backed up to it, and the disks of virtual copies.

    Data in a service lie where its state does. Data of a service whose copies have disks on a store lie on those
    disks, and are not counted beside them. What is put straight on a store that also has such disks is counted beside
    them: that may be the same bytes, and errs on the full side.
    """
    copies: dict[str, list[Copy]] = {}
    for copy in lab.of(Copy):
        copies.setdefault(copy.service, []).append(copy)
    found: dict[str, list[Held]] = {store.id: [] for store in lab.of(Store)}
    for copy in lab.of(Copy):
        service = lab.things[ThingId(copy.service)]
        takes = service.takes if isinstance(service, Service) else None
        store = _disks(lab, copy)
        if takes is not None and takes.disk and store in found:
            found[store].append(Held(what=copy.id, sort="disk", size=takes.disk, grows=0.0))
    for data in lab.of(Data):
        for store in dict.fromkeys(_stores(lab, data.in_.ids if data.in_ else (), copies)):
            found[store].append(Held(what=data.id, sort="data", size=data.size, grows=data.grows or 0.0))
        for backup in data.backed_up:
            for store in dict.fromkeys(_stores(lab, backup.to.ids, copies)):
                found[store].append(
                    Held(what=data.id, sort="backup", size=data.size, grows=data.grows or 0.0)
                )
    return {store: tuple(each) for store, each in found.items()}


def _disks(lab: Lab, copy: Copy) -> str:
    """The store that the disk of a copy lies on, empty where it lies on the host."""
    pool = lab.things.get(ThingId(copy.pool)) if copy.pool else None
    store = pool.store.ids[0] if isinstance(pool, Pool) and pool.store is not None else ""
    return store if isinstance(lab.things.get(ThingId(store)), Store) else ""


def _stores(
    lab: Lab, places: Iterable[str], copies: Mapping[str, Iterable[Copy]], asked: frozenset[str] = frozenset()
) -> Iterator[str]:
    """The stores on which lies what is put in these places."""
    for place in places:
        thing = lab.things.get(ThingId(place))
        if isinstance(thing, Store):
            yield thing.id
        elif isinstance(thing, Service) and place not in asked:
            if thing.state_in is not None:
                yield from _stores(lab, thing.state_in.ids, copies, asked | {place})
            elif thing.takes is None or not thing.takes.disk:
                yield from dict.fromkeys(
                    store for copy in copies.get(place, ()) if (store := _disks(lab, copy))
                )
