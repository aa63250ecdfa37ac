"""In which order are things made, stand-ins lent, relieved and retired?

The walk makes what can be made, lends a stand-in only when nothing can be made without one, and relieves it as
soon as what it stands in for serves. What each event waited for is kept: that, and not the order in which the
walk came by, is what any other order must respect.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from falsework.analyses.raising.cutover import needed_of
from falsework.analyses.raising.moving import home_of, states
from falsework.analyses.raising.priority import Priority
from falsework.analyses.raising.result import Doing
from falsework.engines.founded.growing import Growing
from falsework.engines.founded.system import Clause
from falsework.model.lab import Lab
from falsework.model.parts import Switch
from falsework.model.people import StandIn
from falsework.model.services import owner
from falsework.support.building import Building


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One thing that happens: LEND, BRING, HAND_OVER or RETIRE.

    Attributes:
        doing: which of them.
        things: what is brought (made things), lent or retired (a stand-in), or handed over (covered things).
        of: at a HAND_OVER, the stand-in.
        after: numbers of events that must be over, ascending.
        leans: items that it was made on, straight; a covered thing's join where a stand-in or the thing serves.
        binds: covered things that it leans on while a stand-in serves for them.
        takes: at a LEND, the covered things that it serves from then on; the others serve themselves.
        begun: every item that has begun by it, itself included; what was there before the first event is not.
    """

    doing: Doing
    things: tuple[str, ...]
    of: str = ""
    after: tuple[int, ...] = ()
    leans: tuple[int, ...] = ()
    binds: tuple[str, ...] = ()
    takes: tuple[str, ...] = ()
    begun: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Walked:
    """A whole walk.

    Attributes:
        there: items that had begun before the first event.
        events: in order.
        unmade: goals that never served; empty where the choice of stand-ins suffices.
    """

    there: tuple[int, ...]
    events: tuple[Event, ...]
    unmade: tuple[int, ...]


def walk(lab: Lab, building: Building, chosen: Collection[str], there: Collection[str] = ()) -> Walked:
    """Make everything, with these stand-ins, from what is there.

    Args:
        lab: references resolved.
        building: the lab as things that begin once others serve.
        chosen: stand-ins that may be lent.
        there: made things that stand today, by id.
    """
    return _Walk(lab, building, chosen, there).walked()


class _Walk:
    def __init__(self, lab: Lab, building: Building, chosen: Collection[str], there: Collection[str]) -> None:
        self.lab = lab
        self.building = building
        self.system = building.system
        self.covered_by = {item: name for name, item in building.either.items()}
        self.events: list[Event] = []
        self.before: dict[int, int] = {}  # what an item begins, or serves, after: a bit an event
        self.serving: dict[int, int] = {}
        self.seen = 0
        self.growing = Growing(self.system, free=building.free)
        self.growing.begin(building.item[name] for name in there)
        self._note(0)
        self.there = tuple(sorted(self.growing.begun))
        self.waiting = [each for each in lab.of(StandIn) if each.id in chosen]
        self.lent: list[StandIn] = []
        self.relieved: dict[str, int] = {  # by covered thing, the event at which it took over
            name: -1 for name in building.covers if building.item.get(name, -1) in self.growing.serves
        }
        self.users: dict[tuple[str, str], int] = {}
        self.priority = Priority(lab, building, self.growing)

    def walked(self) -> Walked:
        while True:
            if self._relieve() or self._retire() or self._bring(serving=True) or self._lend():
                continue
            if not self._bring(serving=False):  # what needs each other to serve begins before it does
                break
        unmade = tuple(goal for goal in self.building.goals if goal not in self.growing.serves)
        return Walked(there=self.there, events=tuple(self.events), unmade=unmade)

    # -- what may happen ---------------------------------------------------------------------------

    def _bring(self, *, serving: bool) -> bool:
        batch = self.priority.next_batch(self._needed_now(), self._held(), serving=serving)
        if not batch:
            return False
        mark = 1 << len(self.events)
        after, leans, binds = 0, dict[int, None](), dict[str, None]()
        for item in batch:
            for clause in self.system.begin[item]:
                for provider in self._providers(clause):
                    after |= self._after(provider, binds)
                    leans[provider] = None
            for clause in self.system.serve[item]:
                for provider in self._providers(clause):  # what serves already had better go on doing so
                    after |= self._after(provider, binds)
                    leans[provider] = None
        for item in batch:
            after |= self._learns(item, mark)
        for state in self.priority.shared_state(batch):
            after |= self._bit(self.relieved.get(state, -1))
        for item in batch:
            self.before[item] = after | mark
        self._grow(batch, mark)
        self._add(Doing.BRING, tuple(self.system.names[item] for item in batch), after, leans, binds)
        return True

    def _lend(self) -> bool:
        for stand_in in self.waiting:
            item = self.building.item[stand_in.id]
            targets = stand_in.for_.ids if stand_in.for_ else ()
            if item not in self.growing.able or all(name in self.relieved for name in targets):
                continue
            self.waiting.remove(stand_in)
            mark = 1 << len(self.events)
            after, leans, binds = 0, dict[int, None](), dict[str, None]()
            for clause in (*self.system.begin[item], *self.system.serve[item]):
                for provider in self._providers(clause):
                    after |= self._after(provider, binds)
                    leans[provider] = None
            takes = []
            for name in targets:
                own = self.building.item.get(name, -1)
                first = self._standing_in(name)
                if first is not None:  # in any other order too it is the first that owns
                    after |= self.before[self.building.item[first.id]]
                if name in self.relieved:
                    after |= self._bit(self.relieved[name])
                if name in self.relieved or first is not None:
                    continue
                if own in self.growing.serves:
                    self.relieved[name] = -1  # it needs no help
                    after |= self.serving[own]  # and must not be helped in another order either
                else:
                    takes.append(name)
            after |= self._wired() | self._learns(item, mark)
            self.before[item] = after | mark
            self.lent.append(stand_in)
            self._grow([item], mark)
            self._add(Doing.LEND, (stand_in.id,), after, leans, binds, takes=takes)
            return True
        return False

    def _wired(self) -> int:
        """A stand-in is plugged in once the first switch is there, if the lab has any by then."""
        switches = (self.building.item[switch.id] for switch in self.lab.of(Switch))
        return min((self.serving[each] for each in switches if each in self.serving), key=_latest, default=0)

    def _relieve(self) -> bool:
        """What a stand-in stands in for takes over once it serves."""
        for stand_in in self.lent:
            ready = [
                name
                for name in (stand_in.for_.ids if stand_in.for_ else ())
                if name not in self.relieved
                and self._standing_in(name) is stand_in
                and self.building.item.get(name, -1) in self.growing.serves
                and self._home_after(stand_in, name) is not None
            ]
            if ready:
                number = len(self.events)
                after = self.before[self.building.item[stand_in.id]]
                for name in ready:
                    after |= self.serving[self.building.item[name]]
                    after |= self.users.get((stand_in.id, name), 0)
                    after |= self._home_after(stand_in, name) or 0
                    self.relieved[name] = number
                self._add(Doing.HAND_OVER, tuple(ready), after, (), (), of=stand_in.id)
                return True
        return False

    def _home_after(self, stand_in: StandIn, name: str) -> int | None:
        """The events after which the homes of a covered thing's state are there; None while one is not.

        A home that a stand-in serves for is not there: the state would go from one stand-in to another.
        """
        after = 0
        for state in states(self.lab, stand_in, name):
            for home in home_of(self.lab, name, state):
                item = self.building.item.get(home)
                if item is None or home == name:
                    continue
                if item not in self.serving or self._standing_in(home) is not None:
                    return None
                after |= self.serving[item] | self._bit(self.relieved.get(home, -1))
        return after

    def _retire(self) -> bool:
        """A stand-in goes once all that it stood in for took over and all that it was kept for is there."""
        for stand_in in self.lent:
            targets = stand_in.for_.ids if stand_in.for_ else ()
            until = stand_in.until.ids if stand_in.until else ()
            kept_for = [self.building.item[name] for name in until if name in self.building.item]
            if all(name in self.relieved for name in targets) and all(
                item in self.growing.begun for item in kept_for
            ):
                after = self.before[self.building.item[stand_in.id]]
                for name in targets:
                    after |= self._bit(self.relieved[name]) | self.users.get((stand_in.id, name), 0)
                for item in kept_for:
                    after |= self.before[item]
                self.lent.remove(stand_in)
                self._add(Doing.RETIRE, (stand_in.id,), after, (), ())
                return True
        return False

    # -- who waits for whom ------------------------------------------------------------------------

    def _add(
        self,
        doing: Doing,
        things: tuple[str, ...],
        after: int,
        leans: Iterable[int],
        binds: Iterable[str],
        of: str = "",
        takes: Sequence[str] = (),
    ) -> None:
        begun = sorted(item for growth in self.growing.grown[self.seen :] for item in growth.begun)
        self.seen = len(self.growing.grown)
        self.events.append(
            Event(
                doing=doing,
                things=things,
                of=of,
                after=tuple(_bits(after)),
                leans=tuple(leans),
                binds=tuple(binds),
                takes=tuple(takes),
                begun=tuple(begun),
            )
        )

    def _grow(self, batch: Iterable[int], mark: int) -> None:
        first = len(self.growing.grown)
        self.growing.begin(batch)
        self._note(first)
        for item in batch:
            for clause in self.system.serve[item]:
                for name in self._covered(clause):
                    self._use(name, mark)

    def _note(self, first: int) -> None:
        """What the items of the latest growth begin after, and serve after."""
        for growth in self.growing.grown[first:]:
            for item in growth.begun:
                if item not in self.before:
                    self.before[item] = self._all_after(self.system.begin[item], self.serving)
            found = {item: self.before[item] for item in growth.serves}
            changed = True
            while changed:  # things that need each other to serve do so after all of their events
                changed = False
                for item in growth.serves:
                    mask = found[item] | self._all_after(self.system.serve[item], {**self.serving, **found})
                    changed |= mask != found[item]
                    found[item] = mask
            self.serving.update(found)

    def _all_after(self, clauses: Iterable[Clause], serving: Mapping[int, int]) -> int:
        mask = 0
        for clause in clauses:
            known = self.before if clause.begun else serving
            ready = sorted((known[each] for each in dict.fromkeys(clause.of) if each in known), key=_latest)
            for each in ready[: clause.enough]:
                mask |= each
        return mask

    def _providers(self, clause: Clause) -> list[int]:
        """The `enough` earliest of those that a clause may count."""
        known = self.before if clause.begun else self.serving
        ready = [each for each in dict.fromkeys(clause.of) if each in known]
        return sorted(ready, key=lambda item: _latest(known[item]))[: clause.enough]

    def _after(self, provider: int, binds: dict[str, None]) -> int:
        """The events that a provider serves after; a covered thing's are those of whoever serves now."""
        name = self.covered_by.get(provider)
        if name is None:
            return self.serving.get(provider, self.before[provider])
        return self._owner_after(name, 1 << len(self.events), binds)

    def _owner_after(self, name: str, mark: int, binds: dict[str, None]) -> int:
        stand_in = self._standing_in(name)
        if stand_in is not None:
            binds[name] = None
            self._use(name, mark)
            item = self.building.item[stand_in.id]
            return self.serving.get(item, self.before[item])
        return self.serving[self.building.item[name]] | self._bit(self.relieved.get(name, -1))

    def _standing_in(self, name: str) -> StandIn | None:
        if name in self.relieved:
            return None
        for stand_in in self.lent:
            if stand_in.id in self.building.covers.get(name, ()):
                return stand_in
        return None

    def _use(self, name: str, mark: int) -> None:
        stand_in = self._standing_in(name)
        if stand_in is not None:
            key = (stand_in.id, name)
            self.users[key] = self.users.get(key, 0) | mark

    def _learns(self, item: int, mark: int) -> int:
        """The hand-overs before which an item must not be made, else it learns where a stand-in is.

        What it learns of a stand-in that serves now, the hand-over to come has to know.
        """
        asks = owner(self.lab.things, self.system.names[item])
        after = 0
        for name in dict.fromkeys(needed_of(self.lab, asks)):
            if name in self.building.covers:
                self._use(name, mark)
                after |= self._bit(self.relieved.get(name, -1))
        return after

    def _covered(self, clause: Clause) -> Iterator[str]:
        for each in clause.of:
            if each in self.covered_by:
                yield self.covered_by[each]

    @staticmethod
    def _bit(number: int) -> int:
        return 0 if number < 0 else 1 << number

    # -- what matters now --------------------------------------------------------------------------

    def _needed_now(self) -> frozenset[str]:
        """Things whose stand-ins are lent: the sooner they serve, the sooner those go."""
        return frozenset(
            name
            for stand_in in self.lent
            for name in (stand_in.for_.ids if stand_in.for_ else ())
            if name not in self.relieved
        )

    def _held(self) -> frozenset[str]:
        """Things whose state a stand-in still owns."""
        return frozenset(name for name in self.building.covers if self._standing_in(name) is not None)


def _bits(mask: int) -> Iterator[int]:
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


def _latest(mask: int) -> tuple[int, int]:
    return mask.bit_length(), mask.bit_count()
