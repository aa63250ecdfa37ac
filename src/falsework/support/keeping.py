"""Which losses destroy data, and which only put it out of reach?

A drive without power still holds its data; a drive that failed does not. What is kept here says where data
survives, whatever stands at the moment.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from falsework.model.domains import Domains
from falsework.model.lab import Lab
from falsework.model.parts import Drive, Node, Outside, Part, Thing, ThingId
from falsework.model.rules import layout
from falsework.model.services import Copy, Data, Pool, Secret, Service, Store
from falsework.support.graph import Keeping
from falsework.support.reached import domain_of


def keepings(lab: Lab, shared: Domains, laid: set[str], *, keys: bool = False) -> Mapping[str, Keeping]:
    """Everything that holds data, by `intact:` and its name; data sets by `kept:` and their name.

    Args:
        lab: references resolved.
        shared: who shares what with whom.
        laid: drives that a store is laid out on.
        keys: also what holds keys.
    """
    keeper = _Keeper(lab, shared, laid)
    if keys:
        for name in dict.fromkeys(
            name for key in lab.of(Secret) for name in (key.kept_in.ids if key.kept_in else ())
        ):
            keeper.intact(name)
    return keeper.all()


class _Keeper:
    def __init__(self, lab: Lab, shared: Domains, laid: set[str]) -> None:
        self.lab, self.shared, self.laid = lab, shared, laid
        self.found: dict[str, Keeping] = {}
        self.loose: dict[str, list[str]] = {}
        for drive in lab.of(Drive):
            if drive.in_ is not None and drive.id not in laid:
                self.loose.setdefault(drive.in_.ids[0], []).append(drive.id)
        self.copies: dict[str, list[Copy]] = {}
        for copy in lab.of(Copy):
            self.copies.setdefault(copy.service, []).append(copy)

    def all(self) -> Mapping[str, Keeping]:
        for data in self.lab.of(Data):
            places = tuple(self.intact(name) for name in (data.in_.ids if data.in_ else ()))
            backups = []
            for number, backup in enumerate(data.backed_up):
                needs = tuple(self.intact(name) for name in (backup.needs.ids if backup.needs else ()))
                whole = (*(self.intact(name) for name in backup.to.ids), *needs)
                backups.append(self._add(f"backup {number + 1} of {data.id}", whole, len(whole)))
            self._add(f"held:{data.id}", places, 1)
            self._add(f"kept:{data.id}", (*places, *backups), 1)
        return self.found

    def _add(self, name: str, on: Iterable[str], enough: int) -> str:
        on = tuple(on)
        self.found[name] = Keeping(id=name, on=on, enough=enough)
        return name

    def intact(self, name: str) -> str:
        """The keeping that says whether what lies in a thing survives; its id."""
        known = f"intact:{name}"
        if known not in self.found:
            self.found[known] = Keeping(id=known, on=(), enough=0)
            on, enough = self._holds(self.lab.things[ThingId(name)])
            self._add(known, on, enough)
        return known

    def _holds(self, thing: Thing) -> tuple[tuple[str, ...], int]:
        """What must survive for what lies in `thing` to survive, and how many of it."""
        if isinstance(thing, Drive):
            room = self.shared(thing.in_.ids[0] if thing.in_ else thing.id, "room")
            on = (thing.id, *sorted(room))
            return on, len(on)
        if isinstance(thing, Store):
            return self._store(thing)
        if isinstance(thing, Node):
            drives = tuple(self.intact(drive) for drive in self.loose.get(thing.id, ()))
            return (
                (drives, len(drives))
                if drives
                else (
                    (thing.id, *sorted(self.shared(thing.id, "room"))),
                    1 + len(self.shared(thing.id, "room")),
                )
            )
        if isinstance(thing, Service):
            return self._service(thing)
        if isinstance(thing, Secret):
            return tuple(
                self.intact(name) for name in (thing.kept_in.ids if thing.kept_in else ())
            ), thing.enough or 1
        if isinstance(thing, Data):
            return (f"kept:{thing.id}",), 1
        if isinstance(thing, Outside | Part):
            return (thing.id,), 1
        return (), 0

    def _service(self, service: Service) -> tuple[tuple[str, ...], int]:
        """A service keeps its data in its state, else on the disks of its copies: one whole copy is enough."""
        if service.state_in is not None:
            return tuple(self.intact(name) for name in service.state_in.ids), 1
        places: dict[str, None] = {}
        for copy in self.copies.get(service.id, ()):
            pool = self.lab.things.get(ThingId(copy.pool)) if copy.pool else None
            if isinstance(pool, Pool) and pool.store is not None:
                places[pool.store.ids[0]] = None
            else:
                places[copy.host] = None
        return tuple(self.intact(name) for name in places), 1

    def _store(self, store: Store) -> tuple[tuple[str, ...], int]:
        drives = store.drives.ids if store.drives else ()
        working = drives[: len(drives) - store.spares]
        plan = layout(store.layout, len(working))
        if plan.group:
            pairs = [
                self._add(
                    f"intact:{store.id} group {first // plan.group + 1}",
                    [self.intact(drive) for drive in working[first : first + plan.group]],
                    plan.group - plan.survives,
                )
                for first in range(0, len(working), plan.group)
            ]
            return tuple(pairs), len(pairs)
        groups: dict[str, list[str]] = {}
        for drive in working:
            groups.setdefault(domain_of(self.lab, self.shared, store, drive), []).append(drive)
        shares = [
            self._add(f"intact:{store.id} on {domain}", [self.intact(each) for each in held], len(held))
            for domain, held in groups.items()
        ]
        return tuple(shares), max(len(shares) - plan.survives, 1)
