"""How much does each store hold, how full is it, and can it make itself whole again after a loss?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from falsework.analyses.room.healing import Member, Spread, heal_array, heal_spread
from falsework.analyses.room.holding import held
from falsework.analyses.room.result import Domain, Heal, Held, StoreRoom
from falsework.engines.usable import usable_array, usable_pairs, usable_spread
from falsework.model.parts import Drive, Node, ThingId
from falsework.model.rules import layout
from falsework.model.services import Store
from falsework.support.reached import best_port, domain_of
from falsework.support.standing import Standing

FULL_NEVER = float("inf")


def stored(standing: Standing) -> tuple[StoreRoom, ...]:
    """Every store, in lab order."""
    lies = held(standing.lab)
    return tuple(_Storing(standing, store, lies[store.id]).found() for store in standing.lab.of(Store))


class _Storing:
    """One store: what it holds by its drives, and what it can do about a loss with those that work today."""

    def __init__(self, standing: Standing, store: Store, lies: Sequence[Held]) -> None:
        self.standing, self.lab, self.store, self.lies = standing, standing.lab, store, tuple(lies)
        names = store.drives.ids if store.drives else ()
        working = names[: len(names) - store.spares]
        self.plan = layout(store.layout, len(working))
        self.is_spread = store.layout.endswith((" copies", " pieces"))
        self.data, self.check = self.plan.least - self.plan.survives, self.plan.survives
        self.laid = [self._member(name) for name in working]
        self.members = [each for each in self.laid if standing.baseline.up(each.drive)]
        self.spares = [self._member(name) for name in names[len(working) :] if standing.baseline.up(name)]
        self.order = working

    def _member(self, name: str) -> Member:
        drive = self.lab.things[ThingId(name)]
        size = drive.size if isinstance(drive, Drive) else None
        speed = drive.speed if isinstance(drive, Drive) else None
        holder = drive.in_.ids[0] if isinstance(drive, Drive) and drive.in_ is not None else ""
        node = holder if isinstance(self.lab.things.get(ThingId(holder)), Node) else ""
        return Member(
            drive=name,
            domain=domain_of(self.lab, self.standing.shared, self.store, name),
            node=node,
            size=size or 0.0,
            speed=speed,
            port=best_port(self.lab, node) if node else None,
        )

    def found(self) -> StoreRoom:
        """All that is said of it."""
        drives = [*self.laid, *self.spares]
        unsized = tuple(each.drive for each in drives if not each.size)
        usable = None if unsized else self._usable()
        used = sum(each.size or 0.0 for each in self.lies)
        grows = sum(each.grows for each in self.lies)
        return StoreRoom(
            store=self.store.id,
            layout=self.store.layout,
            apart=self.store.apart,
            domains=_domains(self.laid),
            out=tuple(each.drive for each in self.laid if each not in self.members),
            raw=sum(each.size for each in self.laid),
            usable=usable,
            held=self.lies,
            full_in_s=_full_in_s(usable, used, grows),
            unsized=unsized,
            heals=() if usable is None else tuple(self._heals(usable, used)),
            where=self.store.where,
        )

    def _usable(self) -> float:
        if self.is_spread:
            return usable_spread(
                [each.size for each in _domains(self.laid)], data=self.data, check=self.check
            )
        sizes = [each.size for each in self.laid]
        if self.store.layout == "single":
            return sum(sizes)
        if self.store.layout == "mirror":
            return usable_pairs(sizes)
        return usable_array(sizes, check=self.plan.survives)

    def _heals(self, usable: float, used: float) -> Iterator[Heal]:
        """After the loss of each domain, and of each drive where several make one.

        Where nothing is said to lie on the store, it is healed as if it were full.
        """
        if not self.is_spread:
            missing = {name: self._missing(name) for name in self.order}
            gone = (
                max(missing.values(), default=0) > self.check
            )  # of some group more than it can lose, already
            for each in self.members:
                group = [one for one in self.members if one.drive in self._group(each.drive)]
                yield heal_array(
                    each,
                    group,
                    self.spares,
                    check=self.check,
                    missing=self.check if gone else missing[each.drive],
                    usable=usable,
                )
            return
        domains = _domains(self.members)
        store = Spread(
            laid=tuple(self.laid),
            members=tuple(self.members),
            spares=tuple(self.spares),
            data=self.data,
            check=self.check,
            used=min(used or usable, usable),
        )
        for domain in domains:
            yield heal_spread(store, domain.name, domain.drives)
        for domain in domains:
            if len(domain.drives) > 1:
                for drive in domain.drives:
                    yield heal_spread(store, drive, (drive,))

    def _missing(self, drive: str) -> int:
        """How many drives are out today of those that make one array with a drive."""
        working = {each.drive for each in self.members}
        return sum(1 for name in self._group(drive) if name not in working)

    def _group(self, drive: str) -> tuple[str, ...]:
        """The drives that make one array with a drive."""
        if not self.plan.group:
            return self.order
        at = self.order.index(drive)
        first = at - at % self.plan.group
        return self.order[first : first + self.plan.group]


def _domains(members: Iterable[Member]) -> tuple[Domain, ...]:
    """Drives by domain."""
    held_by: dict[str, list[Member]] = {}
    for each in members:
        held_by.setdefault(each.domain, []).append(each)
    return tuple(
        Domain(name=name, size=sum(each.size for each in those), drives=tuple(each.drive for each in those))
        for name, those in held_by.items()
    )


def _full_in_s(usable: float | None, used: float, grows: float) -> float:
    if usable is None:
        return FULL_NEVER
    if used >= usable:
        return 0.0
    return (usable - used) / grows if grows > 0 else FULL_NEVER
