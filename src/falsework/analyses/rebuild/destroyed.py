"""What is destroyed with a thing, which data go with it, and what falls?

To lose a thing means here that it is destroyed with all that is in it: a machine with its drives and what was
installed on them, a store with its drives, a service with the disks of its copies.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from falsework.errors import QuestionError, nearest
from falsework.model.parts import (
    Card,
    Circuit,
    Controller,
    Drive,
    Enclosure,
    Node,
    Outside,
    Part,
    Rack,
    Room,
    Strip,
    Supply,
    Switch,
    Thing,
    ThingId,
    Ups,
)
from falsework.model.services import Copy, Data, Pool, Secret, Service, Store
from falsework.support.graph import Phase
from falsework.support.keeping import keepings
from falsework.support.standing import Standing

ALONE = (
    Outside,
    Room,
    Rack,
    Circuit,
    Ups,
    Strip,
    Enclosure,
    Node,
    Switch,
    Drive,
    Store,
    Service,
    Data,
)
"""What is asked about alone; supplies, cards, controllers, cables, single copies and keys only where they are named:
a key goes with what holds it."""
_AT_ONCE = 64
"""Losses that the gates evaluate together: a machine word."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ruin:
    """How things are right after a loss.

    Attributes:
        lost: what was asked about.
        destroyed: everything that has to be made again, in lab order: parts, copies, stores, and data and keys
            that were asked about themselves.
        ruined: keepings that did not survive (`intact:`, `held:` and the like).
        down: things of the support graph that do not stand, the destroyed ones included.
        planned: it was taken down on purpose: nothing is broken, all is wiped.
    """

    lost: tuple[str, ...]
    destroyed: frozenset[str]
    ruined: frozenset[str]
    down: frozenset[str]
    planned: bool = False

    def survives(self, place: str) -> bool:
        """Whether what lies in a thing survives: what a service holds does where its state lies in something else."""
        return f"intact:{place}" not in self.ruined


class Destroying:
    """A lab, ready to be asked what goes with a loss.

    Args:
        standing: the lab; parts out beforehand are down in every answer and destroyed in none.
    """

    def __init__(self, standing: Standing) -> None:
        self.standing, self.lab = standing, standing.lab
        self.inside: dict[str, list[str]] = {}
        self.copies_on: dict[str, list[Copy]] = {}
        self.service_of: dict[str, str] = {}
        self.copies_of: dict[str, list[Copy]] = {}
        self.copies_in: dict[str, list[Copy]] = {}
        self.loose: dict[str, list[str]] = {}
        laid = {each for store in self.lab.of(Store) for each in (store.drives.ids if store.drives else ())}
        for thing in self.lab.things.values():
            self._place(thing, laid)
        self.keepings = keepings(self.lab, standing.shared, laid, keys=True)
        self.loose_in: dict[str, str] = {drive: node for node, those in self.loose.items() for drive in those}
        self.backups_in: dict[str, list[str]] = {}
        for data in self.lab.of(Data):
            for place in dict.fromkeys(place for backup in data.backed_up for place in backup.to.ids):
                self.backups_in.setdefault(place, []).append(data.id)
        self.held_by: dict[str, list[str]] = {}
        for keeping in self.keepings.values():
            for each in keeping.on:
                self.held_by.setdefault(each, []).append(keeping.id)
        self.leaning: dict[str, list[tuple[str, int]]] = {}
        for name, support in standing.support.things.items():
            for number, lean in enumerate(support.leans):
                if Phase.RUN in lean.phases and "later" in lean.times:
                    for each in lean.on:
                        self.leaning.setdefault(each, []).append((name, number))
        self.names = np.array(list(standing.support.things), dtype=object)
        self.rows = np.array([standing.gates.back[name] for name in standing.support.things])
        self.order: dict[str, int] = {name: at for at, name in enumerate(self.lab.things)}

    def _place(self, thing: Thing, laid: set[str]) -> None:
        if isinstance(thing, Supply | Card | Controller):
            self.inside.setdefault(thing.holder, []).append(thing.id)
        elif isinstance(thing, Part) and thing.in_ is not None:
            self.inside.setdefault(thing.in_.ids[0], []).append(thing.id)
        if isinstance(thing, Drive) and thing.in_ is not None and thing.id not in laid:
            self.loose.setdefault(thing.in_.ids[0], []).append(thing.id)
        if isinstance(thing, Copy):
            self.service_of[thing.id] = thing.service
            self.copies_of.setdefault(thing.service, []).append(thing)
            pool = self.lab.things.get(ThingId(thing.pool)) if thing.pool else None
            if isinstance(pool, Pool) and pool.store is not None:
                self.copies_in.setdefault(pool.store.ids[0], []).append(thing)
            else:
                self.copies_on.setdefault(thing.host, []).append(thing)

    def alone(self) -> tuple[str, ...]:
        """Everything that is asked about alone, in lab order; not what is out beforehand."""
        return tuple(
            thing.id
            for thing in self.lab.things.values()
            if isinstance(thing, ALONE) and thing.id not in self.standing.out
        )

    def known(self, names: Iterable[str]) -> tuple[str, ...]:
        """The names, if each is something that can be destroyed, each once.

        Raises:
            QuestionError: one is not; names the nearest that is.
        """
        for name in names:
            thing = self.lab.things.get(ThingId(name))
            if isinstance(thing, Part | Store | Service | Copy | Data | Secret):
                continue
            what = (
                f"'{name}' is a {thing.IS}, nothing that could be destroyed"
                if thing is not None
                else f"nothing is called '{name}'"
            )
            near = nearest(name, list(self.lab.things)) if thing is None else None
            raise QuestionError(
                what, f"Did you mean '{near}'?" if near else "Name a part, a store, a service, data or a key."
            )
        return tuple(dict.fromkeys(names))

    def ruins(self, losses: Sequence[Sequence[str]]) -> list[Ruin]:
        """How things are after each of several losses."""
        found: list[Ruin] = []
        for first in range(0, len(losses), _AT_ONCE):
            some = losses[first : first + _AT_ONCE]
            gone = [self._destroyed(names) for names in some]
            parts = [
                [name for name in each if (known := self.standing.support.things.get(name)) and known.part]
                for each, _ in gone
            ]
            rows = self.standing.rows(parts)[self.rows]
            for column, (names, (destroyed, ruined)) in enumerate(zip(some, gone, strict=True)):
                down = set(self.names[~rows[:, column]].tolist())
                found.append(
                    Ruin(
                        lost=tuple(names),
                        destroyed=frozenset(destroyed),
                        ruined=frozenset(ruined),
                        down=frozenset(self._fallen(down, destroyed)),
                    )
                )
        return found

    def teardown(self) -> Ruin:
        """The whole lab taken down and wiped; rooms, what is outside and people stay."""
        destroyed = {
            thing.id
            for thing in self.lab.things.values()
            if isinstance(thing, Part | Store | Service | Copy) and not isinstance(thing, Outside | Room)
        }
        return Ruin(
            lost=(),
            destroyed=frozenset(destroyed),
            ruined=frozenset(self._ruined(destroyed)),
            down=frozenset(
                name
                for name, each in self.standing.support.things.items()
                if each.word not in (Outside.IS, Room.IS, "person") or name in self.standing.out
            ),
            planned=True,
        )

    def _destroyed(self, names: Iterable[str]) -> tuple[set[str], set[str]]:
        """What is destroyed, and the keepings that are ruined: each round may add to the other."""
        destroyed = self._with_contents(names)
        while True:
            ruined = self._ruined(destroyed)
            more = {
                copy.id
                for place in destroyed
                for copy in (*self.copies_on.get(place, ()), *self.copies_of.get(place, ()))
            }
            for keeping in ruined:
                place = keeping.removeprefix("intact:")
                thing = self.lab.things.get(ThingId(place)) if place != keeping else None
                if isinstance(thing, Store):
                    more.add(thing.id)
                    more.update(copy.id for copy in self.copies_in.get(thing.id, ()))
                elif isinstance(thing, Node) and self.loose.get(thing.id):
                    more.add(thing.id)  # its own drives are gone, and with them what was installed on it
            more.update(
                node
                for node in {self.loose_in[drive] for drive in destroyed if drive in self.loose_in}
                if node not in destroyed and all(drive in destroyed for drive in self.loose[node])
            )
            if more <= destroyed:
                return destroyed, ruined
            destroyed |= self._with_contents(more - destroyed, wiped=True)

    def _with_contents(self, names: Iterable[str], *, wiped: bool = False) -> set[str]:
        """These and what is in them; what is only wiped keeps its parts."""
        found: set[str] = set()
        stack = list(names)
        while stack:
            name = stack.pop()
            if name in found:
                continue
            found.add(name)
            thing = self.lab.things[ThingId(name)]
            if wiped:
                continue
            stack.extend(self.inside.get(name, ()))
            if isinstance(thing, Store) and thing.drives:
                stack.extend(thing.drives.ids)
        return found

    def _ruined(self, destroyed: Iterable[str]) -> set[str]:
        """The keepings that do not survive, followed upwards from what is destroyed."""
        left: dict[str, int] = {}
        ruined: set[str] = set()
        stack = list(destroyed)
        for name in destroyed:
            thing = self.lab.things.get(ThingId(name))
            own = f"intact:{name}"
            if not (isinstance(thing, Service) and thing.state_in is not None):
                ruined.add(own)
                stack.append(own)
            if isinstance(thing, Data):
                ruined.add(f"held:{name}")
        while stack:
            name = stack.pop()
            for user in self.held_by.get(name, ()):
                keeping = self.keepings[user]
                left[user] = left.get(user, len(keeping.on)) - 1
                if left[user] < keeping.enough and user not in ruined:
                    ruined.add(user)
                    stack.append(user)
        return ruined

    def _fallen(self, down: set[str], destroyed: set[str]) -> set[str]:
        """What falls besides, because copies, stores and services that are no parts were destroyed."""
        things = self.standing.support.things
        fresh = [name for name in destroyed if name in things and name not in down]
        if not fresh:
            return down
        down.update(fresh)
        while fresh:
            name = fresh.pop()
            for user, number in self.leaning.get(name, ()):
                lean = things[user].leans[number]
                if user not in down and sum(each not in down for each in lean.on) < lean.enough:
                    down.add(user)
                    fresh.append(user)
        return down


def in_lab_order(destroying: Destroying, names: Iterable[str]) -> tuple[str, ...]:
    """The names in the order of the lab, those it does not know last."""
    order, last = destroying.order, len(destroying.order)
    return tuple(sorted(names, key=lambda name: (order.get(name, last), name)))
