"""What must be there before each thing that is down can stand again?

Only what is down, and data that have to come back, are items; whatever else is named stands and is left out.
A destroyed thing needs to begin what it needs to be mended, or made where that is not said; what merely fell
starts again. A service serves once its data are there again, unless they are gone for good: then it begins empty.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from falsework.analyses.rebuild.destroyed import Destroying, Ruin, in_lab_order
from falsework.analyses.rebuild.knowing import Knowing, Wants, open_
from falsework.engines.founded.growing import Growing
from falsework.engines.founded.system import Clause, System
from falsework.model.needs import Need
from falsework.model.parts import Part, Thing, ThingId
from falsework.model.people import StandIn
from falsework.model.services import Copy, Data, Pool, Secret, Service
from falsework.support.building import SERVING, switches
from falsework.support.graph import Phase


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Regrowth:
    """What is down after one loss, as items that begin once others serve.

    Attributes:
        system: the items: things that are down, pools, data, stand-ins, and for each covered thing the item that
            serves when it or a stand-in does.
        item: by id of a thing, pool, data set or stand-in.
        goals: items that must serve in the end: all that stood before, and data that can be read.
        offers: by stand-in, its item.
        restored: by data set that comes from a backup, the number of the backup; -1 where it was saved.
        bare: the system with nothing begun yet, to be copied and grown.
    """

    system: System
    item: Mapping[str, int]
    goals: tuple[int, ...]
    offers: Mapping[str, int]
    restored: Mapping[str, int]
    bare: Growing


class Regrowing:
    """A lab, ready to be asked how it grows again after a loss."""

    def __init__(self, destroying: Destroying, knowing: Knowing) -> None:
        self.destroying, self.knowing = destroying, knowing
        self.standing, self.lab = destroying.standing, destroying.lab
        self.pools = self.lab.of(Pool)
        self.stand_ins = self.lab.of(StandIn)
        self.all_data = self.lab.of(Data)
        self.switches = switches(self.standing.support)

    def regrowth(
        self,
        ruin: Ruin,
        wants: Wants,
        known: Collection[str],
        *,
        saved: Collection[str] = (),
        worse: Mapping[str, int] | None = None,
        also: Mapping[str, Iterable[str]] | None = None,
    ) -> Regrowth:
        """The items after a loss.

        Args:
            ruin: the loss.
            wants: how data and keys may be got at.
            known: those that can be.
            saved: those that were saved beforehand.
            worse: by data set, how many of its best backups to pass over.
            also: stand-ins to suppose besides, by name, with what they stand in for.
        """
        return _Grower(self, ruin, wants, frozenset(known), frozenset(saved), worse or {}, also or {}).built()

    def usable(self, wants: Wants, known: Collection[str], data: Data) -> tuple[int, ...]:
        """The numbers of the backups that a data set can come back from, the best first.

        Best is the one that loses least, then one that was proved, latest first, then the first in the file.
        """
        numbers = [
            int(way.removeprefix("backup "))
            for way, asks in wants.ways[data.id]
            if way.startswith("backup ") and way not in data_places(data) and open_(asks, known)
        ]

        def rank(number: int) -> tuple[float, float, int]:
            backup = data.backed_up[number]
            every = float("inf") if backup.every is None else backup.every
            proved = -backup.restored.toordinal() if backup.restored else 0
            return (every, proved, number)

        return tuple(sorted(numbers, key=rank))


def data_places(data: Data) -> tuple[str, ...]:
    """The names of the places where a data set lies."""
    return data.in_.ids if data.in_ else ()


class _Grower:
    def __init__(
        self,
        base: Regrowing,
        ruin: Ruin,
        wants: Wants,
        known: frozenset[str],
        saved: frozenset[str],
        worse: Mapping[str, int],
        also: Mapping[str, Iterable[str]],
    ) -> None:
        self.base, self.ruin, self.wants, self.known, self.saved = base, ruin, wants, known, saved
        self.lab, self.things = base.lab, base.standing.support.things
        down = in_lab_order(base.destroying, ruin.down)
        self.pools = [pool for pool in base.pools if pool.hosts and set(pool.hosts.ids) <= ruin.down]
        self.restored: dict[str, int] = {}
        self.waiting = [data for data in base.all_data if self._waits(data, worse)]
        self.covers: dict[str, list[str]] = {}
        offers: list[tuple[str, tuple[str, ...]]] = [
            (each.id, tuple(name for name in (each.for_.ids if each.for_ else ()) if name in ruin.down))
            for each in base.stand_ins
        ]
        offers += [(name, tuple(covered)) for name, covered in also.items()]
        self.offers = [name for name, covered in offers if covered]
        for name, covered in offers:
            for each in covered:
                self.covers.setdefault(each, []).append(name)
        names = [
            *down,
            *(pool.id for pool in self.pools),
            *(data.id for data in self.waiting),
            *self.offers,
        ]
        self.item = {name: at for at, name in enumerate(names)}
        self.either = {name: len(names) + at for at, name in enumerate(self.covers)}
        self.names = (*names, *(f"{name} or a stand-in" for name in self.covers))
        self.begin: list[list[Clause]] = [[] for _ in self.names]
        self.serve: list[list[Clause]] = [[] for _ in self.names]
        self.down = down

    def _waits(self, data: Data, worse: Mapping[str, int]) -> bool:
        """Whether a data set has to be waited for; notes the backup that it comes from."""
        if data.id not in self.known or data.id not in self.wants.touched:
            return False
        if data.id in self.saved:
            self.restored[data.id] = -1
            return True
        places = data_places(data)
        if data.id not in self.ruin.destroyed:
            if any(place not in self.ruin.down and self.ruin.survives(place) for place in places):
                return False
            if any(way in places and open_(asks, self.known) for way, asks in self.wants.ways[data.id]):
                return True
        usable = self.base.usable(self.wants, self.known, data)
        self.restored[data.id] = usable[min(worse.get(data.id, 0), len(usable) - 1)]
        return True

    def built(self) -> Regrowth:
        for name in self.down:
            self._thing(name)
        for pool in self.pools:
            at = self.item[pool.id]
            self._clause(self.begin[at], pool.hosts.ids if pool.hosts else (), 1, begun=True)
            self._clause(self.begin[at], pool.store.ids if pool.store else (), 1)
            self._needs(at, _to_mend(pool))
        for data in self.waiting:
            self._data(data)
        for stand_in in self.base.stand_ins:
            if stand_in.id in self.item:
                self._stand_in(stand_in)
        for name, at in self.either.items():
            on = tuple(self.item[each] for each in (name, *self.covers[name]))
            self.begin[at].append(Clause(of=on, enough=1, begun=True))
            self.serve[at].append(Clause(of=on, enough=1))
        before = self.base.standing.baseline
        goals = [
            self.item[name]
            for name in self.down
            if before.back(name) and (name in self.lab.things or self.things[name].word != "share")
        ]
        goals += [self.item[each.id] for each in (*self.pools, *self.waiting)]
        system = System(
            names=self.names,
            begin=tuple(map(tuple, self.begin)),
            serve=tuple(map(tuple, self.serve)),
            costs=dict.fromkeys((self.item[name] for name in self.offers), 0),
        )
        return Regrowth(
            system=system,
            bare=Growing(system),
            item=self.item,
            goals=tuple(goals),
            offers={name: self.item[name] for name in self.offers},
            restored=self.restored,
        )

    # -- kinds of item -------------------------------------------------------------------------------

    def _thing(self, name: str) -> None:
        at = self.item[name]
        own = self.lab.things.get(ThingId(name))
        if isinstance(own, Secret):
            self._key(at, own)
            return
        support = self.things[name]
        for lean in support.leans:
            if "later" not in lean.times:
                continue
            if Phase.START in lean.phases:
                self._clause(self.begin[at], lean.on, lean.enough, begun=lean.role not in SERVING)
            if lean.awaited:
                self._clause(self.serve[at], lean.on, lean.enough)
        destroyed = name in self.ruin.destroyed
        asks = _to_mend(own) if destroyed else ()
        if isinstance(own, Copy):
            if destroyed:
                asks = (*asks, *_to_mend(self.lab.things[ThingId(own.service)]))
            if own.pool in self.item:
                self.begin[at].append(Clause(of=(self.item[own.pool],), enough=1, begun=True))
        if not isinstance(own, Service):
            self._needs(at, asks)
        if isinstance(own, Copy) or asks or any(lean.seen for lean in support.leans):
            self._wire(at, support.places)
        if isinstance(own, Service):
            for data in self.base.knowing.data_of.get(name, ()):
                self._clause(self.serve[at], (data,), 1)
        if not destroyed and not self.begin[at] and not self.serve[at]:
            self._clause(self.begin[at], self._broken(), 0, begun=True, all_=True)

    def _broken(self) -> tuple[str, ...]:
        """What falls for want of wire, room or power that others take now waits until every part is mended."""
        return tuple(
            name
            for name in self.down
            if name in self.ruin.destroyed and isinstance(self.lab.things.get(ThingId(name)), Part)
        )

    def _key(self, at: int, key: Secret) -> None:
        """A key is there once enough of what holds it is; one that is gone is cut anew, or comes from what renews it."""
        if key.id in self.saved:
            return
        if key.id not in self.known:
            self._clause(self.begin[at], key.renewed_by.ids if key.renewed_by else (), 1)
            return
        places = tuple(place for place, asks in self.wants.ways[key.id] if open_(asks, self.known))
        self._clause(self.begin[at], places, min(self.wants.enough[key.id], len(places)))

    def _data(self, data: Data) -> None:
        at = self.item[data.id]
        places = data_places(data)
        number = self.restored.get(data.id)
        if number is None:
            kept = tuple(
                place for place in places if any(way == place for way, _ in self.wants.ways[data.id])
            )
            self._clause(self.begin[at], kept, 1, begun=True)
            return
        self._clause(self.begin[at], places, 1, begun=True)
        if number >= 0:
            backup = data.backed_up[number]
            self._clause(self.begin[at], backup.to.ids, len(backup.to.ids))
            for name in backup.needs.ids if backup.needs else ():
                self._clause(self.begin[at], (name,), 1)
        for holder in (data, *self.lab.named(data.of.ids if data.of else ())):
            self._needs(at, holder.needs.to_restore if holder.needs else ())

    def _stand_in(self, stand_in: StandIn) -> None:
        at = self.item[stand_in.id]
        needs = stand_in.needs
        if needs is not None:
            for need in (*needs.to_build, *needs.to_start, *needs.run_and_start):
                self._leant(self.begin[at], need, stand_in.id)
            for need in needs.awaited:
                self._leant(self.serve[at], need, stand_in.id)
        if stand_in.on is not None:
            self._clause(self.begin[at], stand_in.on.ids, 1, begun=True)
            self._clause(self.serve[at], stand_in.on.ids, 1)

    def _leant(self, clauses: list[Clause], need: Need, stand_in: str) -> None:
        """A stand-in may lean on other stand-ins, never on itself in the place of what it stands in for."""
        local = [name for name in need.of.ids if name in self.item]
        enough = (need.enough or 1) - (len(need.of.ids) - len(local))
        if need.soft or enough <= 0:
            return
        names = dict.fromkeys(
            each for name in local for each in (name, *self.covers.get(name, ())) if each != stand_in
        )
        clauses.append(Clause(of=tuple(self.item[each] for each in names), enough=enough))

    # -- clauses -------------------------------------------------------------------------------------

    def _needs(self, at: int, needs: Iterable[Need]) -> None:
        for need in needs:
            if not need.soft:
                self._clause(self.begin[at], need.of.ids, need.enough or 1)

    def _wire(self, at: int, places: Iterable[str]) -> None:
        """What others see, or is made by others, waits for a switch on its wire."""
        on = tuple(dict.fromkeys(switch for place in places for switch in self.base.switches.get(place, ())))
        if on and not any(place in on for place in places):
            self._clause(self.begin[at], on, 1, begun=True)

    def _clause(
        self,
        clauses: list[Clause],
        names: Collection[str],
        enough: int,
        *,
        begun: bool = False,
        all_: bool = False,
    ) -> None:
        """At least `enough` of the names; what is no item stands already."""
        if not names:
            return
        of = tuple(
            self.either[name] if name in self.either else self.item[name]
            for name in names
            if name in self.either or name in self.item
        )
        need = len(of) if all_ else enough - (len(names) - len(of))
        if need > 0:
            clauses.append(Clause(of=of, enough=need, begun=begun))


def _to_mend(thing: Thing | None) -> tuple[Need, ...]:
    return thing.needs.mending if thing is not None and thing.needs is not None else ()
