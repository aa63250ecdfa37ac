"""Of all that can be made now, what is made next, and what together with it?

Power comes first, then wire and machines; what relieves a stand-in goes before what does not, and what many
things wait for before what few do. A second copy waits until the state behind both has left its stand-in:
before that it would be no redundancy.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from functools import cached_property

from falsework.engines.founded.growing import Growing
from falsework.model.lab import Lab
from falsework.model.parts import Thing, ThingId
from falsework.model.services import Copy, Data, Pool, Service
from falsework.support.building import Building

MOST_TOGETHER = 12
"""Equal machines made in one step; more would be a step that nobody finishes in one go."""

_POWER = ("circuit", "ups", "strip")
_RANK = {"switch": 1, "enclosure": 2, "node": 5, "store": 6, "pool": 7, "service": 8, "copy": 8, "alarm": 9}
_RELIEVING, _HOSTING = 3, 4


class Priority:
    """Chooses among what is able to begin.

    Args:
        lab: references resolved.
        building: its items.
        growing: how far the making has come; looked at, never changed.
    """

    def __init__(self, lab: Lab, building: Building, growing: Growing) -> None:
        self.lab = lab
        self.building = building
        self.growing = growing
        self.name = building.system.names
        self.made = frozenset(building.made)
        self.service_of: dict[str, str] = {copy.id: copy.service for copy in lab.of(Copy)}
        self.copies: dict[str, list[str]] = {}
        for copy in lab.of(Copy):
            self.copies.setdefault(copy.service, []).append(copy.id)
        self.hosts = {
            service: frozenset(host for copy in copies for host in self._hosts(lab.things[ThingId(copy)]))
            for service, copies in self.copies.items()
        }

    def next_batch(self, needed: frozenset[str], held: frozenset[str], *, serving: bool) -> tuple[int, ...]:
        """Items to make in one step; empty where nothing can be made.

        Args:
            needed: covered things whose stand-ins are lent.
            held: things whose state a stand-in owns.
            serving: only what serves as soon as it is made.
        """
        able = [item for item in sorted(self.growing.able) if item in self.made]
        able = [item for item in able if not self._waits(item, held)]
        if serving:
            able = [item for item in able if self._would_serve(item)]
        if not able:
            return ()
        hosting = frozenset(host for name in needed for host in self.hosts.get(name, ()))
        best = min(able, key=lambda item: self._key(item, needed, hosting))
        return self._together(best, able)

    def shared_state(self, batch: Iterable[int]) -> tuple[str, ...]:
        """What must own its state before these copies, where they are not the first of their service."""
        found: dict[str, None] = {}
        for item in batch:
            service = self.service_of.get(self.name[item])
            if service is not None and self._is_second(service):
                found.update(dict.fromkeys(self._state_of(service)))
        return tuple(found)

    def _waits(self, item: int, held: frozenset[str]) -> bool:
        service = self.service_of.get(self.name[item])
        return (
            service is not None
            and self._is_second(service)
            and any(name in held for name in self._state_of(service))
        )

    def _is_second(self, service: str) -> bool:
        """Whether the service begins without any more of its copies."""
        return self.building.item[service] in self.growing.begun

    def _state_of(self, service: str) -> tuple[str, ...]:
        thing = self.lab.things[ThingId(service)]
        state = thing.state_in.ids if isinstance(thing, Service) and thing.state_in else ()
        holds = (each for data in self._data.get(service, ()) for each in (data.in_.ids if data.in_ else ()))
        return tuple(dict.fromkeys((service, *state, *holds)))

    @cached_property
    def _data(self) -> dict[str, list[Data]]:
        found: dict[str, list[Data]] = {}
        for data in self.lab.of(Data):
            for service in data.of.ids if data.of else ():
                found.setdefault(service, []).append(data)
        return found

    # -- what comes first --------------------------------------------------------------------------

    def _key(self, item: int, needed: frozenset[str], hosting: frozenset[str]) -> tuple[int, int, int, int]:
        name = self.name[item]
        service = self.service_of.get(name, "")
        thing = self.lab.things[ThingId(name)]
        rank = 0 if thing.IS in _POWER else _RANK[thing.IS]
        if service and service in needed:
            rank = _RELIEVING
        elif thing.IS == "node" and name in hosting:
            rank = _HOSTING
        return rank, 0 if self._would_serve(item) else 1, -self._leaning.get(service or name, 0), item

    def _would_serve(self, item: int) -> bool:
        """Whether what it needs every moment serves already."""
        return all(
            sum(each in (self.growing.begun if clause.begun else self.growing.serves) for each in clause.of)
            >= clause.enough
            for clause in self.building.system.serve[item]
        )

    @cached_property
    def _leaning(self) -> dict[str, int]:
        """How many other things name a thing among their needs, straight; a service for all its copies."""
        found: dict[str, int] = {}
        for thing in self.lab.things.values():
            if thing.needs is None or isinstance(thing, Copy):
                continue
            needs = thing.needs
            named = {
                name
                for need in (*needs.run_and_start, *needs.to_run, *needs.to_start, *needs.to_build)
                for name in need.of.ids
            }
            for name in named:
                found[name] = found.get(name, 0) + 1
        return found

    # -- what goes together ------------------------------------------------------------------------

    def _together(self, best: int, able: Sequence[int]) -> tuple[int, ...]:
        thing = self.lab.things[ThingId(self.name[best])]
        if thing.IS in _POWER:
            return tuple(each for each in able if self._word(each) in _POWER and self._alike(each, thing))
        service = self.service_of.get(thing.id)
        if service is not None:
            return tuple(each for each in able if self.service_of.get(self.name[each]) == service)
        if thing.IS in ("switch", "enclosure", "node"):
            alike = [each for each in able if self._word(each) == thing.IS and self._alike(each, thing)]
            first = alike.index(best)
            return tuple(alike[first : first + MOST_TOGETHER])
        return (best,)

    def _word(self, item: int) -> str:
        return self.lab.things[ThingId(self.name[item])].IS

    def _alike(self, item: int, thing: Thing) -> bool:
        """Whether two things are made by the same people, in the same way, from the same day on."""
        other = self.lab.things[ThingId(self.name[item])]
        return other.raising == thing.raising and (
            thing.IS in _POWER or thing.IS == "switch" or other.kind_name == thing.kind_name
        )

    def _hosts(self, copy: Thing) -> Collection[str]:
        if not isinstance(copy, Copy):
            return ()
        pool = self.lab.things.get(ThingId(copy.pool)) if copy.pool else None
        return pool.hosts.ids if isinstance(pool, Pool) and pool.hosts else (copy.host,)
