"""Which data and keys can still be read, whatever has to be built for it?

Machines and services can always be made again somehow, if need be with a stand-in; what was written in them and
what opens it can't. So only data and keys are asked about here, as a least fixed point: data are there where a
place of theirs survives and can be opened, or a backup does; a key is there where enough of its places are.
A place that still stands is open. One that fell opens again with the keys that it needs to start.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from falsework.analyses.rebuild.destroyed import Ruin
from falsework.model.lab import Lab
from falsework.model.parts import Outside, Thing, ThingId
from falsework.model.people import Person
from falsework.model.services import Backup, Copy, Data, Pool, Secret, Service


@dataclass(frozen=True, slots=True)
class Ask:
    """At least `enough` of these data and keys must be there; none at all where the tuple is empty and enough 0."""

    of: tuple[str, ...]
    enough: int


Asks = tuple[Ask, ...]
"""All must hold."""
DEEPEST = 8
"""State that lies in a service whose state lies in a service, and so on, is followed so deep."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wants:
    """How each data set and key may be got at, after one loss.

    Attributes:
        ways: by data set: each place that survives and each backup whose place does, with what it asks for.
            By key: what holds a share of it, with what that asks for.
        enough: by data set 1; by key how many of the ways it takes.
        touched: those of which a place, a backup or what bears either is lost or down, or that were saved.
    """

    ways: Mapping[str, tuple[tuple[str, Asks], ...]]
    enough: Mapping[str, int]
    touched: frozenset[str] = frozenset()


class Knowing:
    """A lab's data and keys, ready to be asked what can be read after a loss."""

    def __init__(self, lab: Lab) -> None:
        self.lab = lab
        self.data_of: dict[str, list[str]] = {}
        for data in lab.of(Data):
            for name in (*(data.of.ids if data.of else ()), *(data.in_.ids if data.in_ else ())):
                if isinstance(lab.things[ThingId(name)], Service):
                    known = self.data_of.setdefault(name, [])
                    if data.id not in known:
                        known.append(data.id)
        self.copies: dict[str, list[Copy]] = {}
        for copy in lab.of(Copy):
            self.copies.setdefault(copy.service, []).append(copy)
        self.enough: dict[str, int] = {data.id: 1 for data in lab.of(Data)}
        self.enough.update((key.id, key.enough or 1) for key in lab.of(Secret))
        self.rests: dict[str, list[str]] = {}
        bits: list[Data | Secret] = [*lab.of(Data), *lab.of(Secret)]
        for bit in bits:
            for name in self._rests_on(bit):
                self.rests.setdefault(name, []).append(bit.id)
        whole = Ruin(lost=(), destroyed=frozenset(), ruined=frozenset(), down=frozenset())
        self.whole: dict[str, tuple[tuple[str, Asks], ...]] = {bit.id: self._ways(whole, bit) for bit in bits}

    def wants(self, ruin: Ruin, saved: Collection[str] = ()) -> Wants:
        """How each data set and key may be got at after a loss, with some saved beforehand."""
        ways, enough = dict(self.whole), dict(self.enough)
        touched = self.touched(ruin)
        for name in touched:
            bit = self.lab.things[ThingId(name)]
            assert isinstance(bit, Data | Secret)
            ways[name] = self._ways(ruin, bit)
        for name in saved:
            ways[name], enough[name] = (("saved", ()),), 1
        return Wants(ways=ways, enough=enough, touched=touched | frozenset(saved))

    def touched(self, ruin: Ruin) -> frozenset[str]:
        """Data and keys that may be got at in other ways than when nothing is lost."""
        found: set[str] = set()
        for names in (ruin.down, ruin.destroyed):
            for name in names:
                found.update(self.rests.get(name, ()))
        for name in ruin.ruined:
            found.update(self.rests.get(name.removeprefix("intact:"), ()))
        return frozenset(found)

    def _rests_on(self, bit: Data | Secret) -> set[str]:
        """Itself, what holds it or a backup of it, and what bears those."""
        found: set[str] = {bit.id}
        if isinstance(bit, Data):
            stack = [
                *(bit.in_.ids if bit.in_ else ()),
                *(place for backup in bit.backed_up for place in backup.to.ids),
            ]
        else:
            stack = [*(bit.kept_in.ids if bit.kept_in else ())]
        while stack:
            name = stack.pop()
            if name in found:
                continue
            found.add(name)
            thing = self.lab.things[ThingId(name)]
            if isinstance(thing, Service):
                stack.extend(thing.state_in.ids if thing.state_in else self._lies_on(thing))
        return found

    def _ways(self, ruin: Ruin, bit: Data | Secret) -> tuple[tuple[str, Asks], ...]:
        if isinstance(bit, Data):
            return tuple(self._data(ruin, bit))
        return () if bit.id in ruin.destroyed else tuple(self._key(ruin, bit))

    def _data(self, ruin: Ruin, data: Data) -> Iterator[tuple[str, Asks]]:
        if data.id not in ruin.destroyed:
            for place in data.in_.ids if data.in_ else ():
                asks = self._opened(ruin, place, whole=True)
                if asks is not None:
                    yield place, asks
        for number, backup in enumerate(data.backed_up):
            asks = self.backup(ruin, data, backup)
            if asks is not None:
                yield f"backup {number}", asks

    def backup(self, ruin: Ruin, data: Data, backup: Backup) -> Asks | None:
        """What reading a backup asks for; None where it is gone."""
        asks: list[Ask] = []
        for place in backup.to.ids:
            opened = self._opened(ruin, place, whole=True)
            if opened is None:
                return None
            asks += opened
        for name in backup.needs.ids if backup.needs else ():
            asks += self._content(name)
        for holder in (data, *self.lab.named(data.of.ids if data.of else ())):
            for need in holder.needs.to_restore if holder.needs else ():
                if not need.soft:
                    asks += self._alternatives(need.of.ids, need.enough or 1)
        return tuple(dict.fromkeys(asks))

    def _key(self, ruin: Ruin, key: Secret) -> Iterator[tuple[str, Asks]]:
        for place in key.kept_in.ids if key.kept_in else ():
            asks = self._opened(ruin, place, whole=False)
            if asks is not None:
                yield place, asks

    def _opened(self, ruin: Ruin, place: str, *, whole: bool) -> Asks | None:
        """What getting at the contents of a place asks for; None where they are gone.

        Args:
            ruin: how things are.
            place: what holds it.
            whole: data or a backup lies in it, not merely a note among what it holds.
        """
        thing = self.lab.things[ThingId(place)]
        if isinstance(thing, Data | Secret):
            return (Ask((place,), 1),)
        if isinstance(thing, Outside | Person):
            return None if place in ruin.destroyed else ()
        if isinstance(thing, Service) and not whole and self.data_of.get(place):
            # What a service knows is in its data, wherever they lie and whatever brings them back.
            if place not in ruin.down and ruin.survives(place):
                return ()
            return (*self._starting(thing), *(Ask((each,), 1) for each in self.data_of[place]))
        if not ruin.survives(place):
            return None
        if place not in ruin.down:
            return ()
        return tuple(self._bearers(ruin, thing))

    def _bearers(self, ruin: Ruin, thing: Thing, depth: int = 0) -> Iterator[Ask]:
        """The keys that a thing and what bears it need to start again."""
        yield from self._starting(thing)
        if isinstance(thing, Service) and depth < DEEPEST:
            under = thing.state_in.ids if thing.state_in else tuple(self._lies_on(thing))
            left = [each for each in dict.fromkeys(under) if ruin.survives(each)]
            # One whole copy is enough; the one that asks for least.
            asks = [
                tuple(self._bearers(ruin, self.lab.things[ThingId(each)], depth + 1))
                if each in ruin.down
                else ()
                for each in left
            ]
            yield from min(asks, key=len, default=())

    def _lies_on(self, service: Service) -> Iterator[str]:
        for copy in self.copies.get(service.id, ()):
            pool = self.lab.things.get(ThingId(copy.pool)) if copy.pool else None
            yield pool.store.ids[0] if isinstance(pool, Pool) and pool.store else copy.host

    def _starting(self, thing: Thing) -> Iterator[Ask]:
        needs = thing.needs
        for need in (*needs.run_and_start, *needs.to_start) if needs is not None else ():
            if not need.soft:
                yield from self._alternatives(need.of.ids, need.enough or 1)

    def _alternatives(self, names: Collection[str], enough: int) -> Iterator[Ask]:
        """Only keys and data count; whatever else is named can be made again."""
        bits = tuple(name for name in names if isinstance(self.lab.things[ThingId(name)], Data | Secret))
        others = len(names) - len(bits)
        if bits and enough > others:
            yield Ask(bits, enough - others)

    def _content(self, name: str) -> Asks:
        thing = self.lab.things[ThingId(name)]
        if isinstance(thing, Data | Secret):
            return (Ask((name,), 1),)
        if isinstance(thing, Service):
            return tuple(Ask((each,), 1) for each in self.data_of.get(name, ()))
        return ()


def readable(wants: Wants, given: Collection[str] = ()) -> frozenset[str]:
    """The data and keys that are there: the least fixed point.

    Args:
        wants: how each may be got at.
        given: those that are there whatever happens.

    Cost:
        Rounds times ways; there are no more rounds than there are data and keys.
    """
    there = set(given)
    left = [name for name in wants.ways if name not in there]
    while True:
        fresh = [name for name in left if met(wants, name, there)]
        if not fresh:
            return frozenset(there)
        there.update(fresh)
        left = [name for name in left if name not in there]


def met(wants: Wants, name: str, there: Collection[str]) -> bool:
    """Whether enough ways to a data set or key are open."""
    ways = wants.ways[name]
    enough = wants.enough[name]
    return len(ways) >= enough and sum(open_(asks, there) for _, asks in ways) >= enough


def open_(asks: Asks, there: Collection[str]) -> bool:
    """Whether all that is asked for is there."""
    return all(sum(each in there for each in ask.of) >= ask.enough for ask in asks)


def lacking_of(asks: Asks, known: Collection[str]) -> tuple[str, ...]:
    """The data and keys that are asked for and not there."""
    return tuple(
        dict.fromkeys(
            each
            for ask in asks
            if sum(one in known for one in ask.of) < ask.enough
            for each in ask.of
            if each not in known
        )
    )
