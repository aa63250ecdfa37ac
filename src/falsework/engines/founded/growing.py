"""What can begin next, when items begin a few at a time?"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from copy import copy
from dataclasses import dataclass

from falsework.engines.founded.system import Clause, System


@dataclass(frozen=True, slots=True)
class Growth:
    """What one round of growth adds: what begins, then what serves because of it; each ascending."""

    begun: tuple[int, ...]
    serves: tuple[int, ...]


class Growing:
    """A system some of whose items have begun.

    Args:
        system: the items; offers are items like others here.
        free: items that begin by themselves as soon as they can.

    Attributes:
        grown: every round of growth so far, in order.
        begun: what has begun.
        serves: what serves: the greatest set within `begun` whose serve clauses hold.
        able: what could begin now and is not free, ascending when sorted.

    Cost:
        All growth together is linear in the clauses, but for items that have begun and do not serve yet: those are
        looked at again when something that they lack begins or serves, or may.
    """

    def __init__(self, system: System, *, free: Collection[int] = ()) -> None:
        self.system = system
        self.grown: list[Growth] = []
        self.begun: set[int] = set()
        self.serves: set[int] = set()
        self.able: set[int] = set()
        self._free = frozenset(free)
        self._unmet = [0] * len(system.names)
        self._left: list[int] = []
        self._owner: list[int] = []
        self._on_begun: dict[int, list[int]] = {}
        self._on_serves: dict[int, list[int]] = {}
        # By what they lack, the items that have begun and do not serve: each lacks the members of one clause.
        self._lacking: dict[int, list[int]] = {}
        for item, clauses in enumerate(system.begin):
            for clause in clauses:
                if clause.enough > 0:
                    self._watch(item, clause)
        ready = [item for item, unmet in enumerate(self._unmet) if not unmet]
        self.able.update(item for item in ready if item not in self._free)
        self._grow([item for item in ready if item in self._free])

    def _watch(self, item: int, clause: Clause) -> None:
        self._unmet[item] += 1
        number = len(self._left)
        self._left.append(clause.enough)
        self._owner.append(item)
        events = self._on_begun if clause.begun else self._on_serves
        for each in dict.fromkeys(clause.of):
            events.setdefault(each, []).append(number)

    def copy(self) -> Growing:
        """The same state, to grow another way from here."""
        other = copy(self)
        other.grown = list(self.grown)
        other.begun, other.serves, other.able = set(self.begun), set(self.serves), set(self.able)
        other._unmet, other._left = list(self._unmet), list(self._left)
        other._on_begun, other._on_serves = dict(self._on_begun), dict(self._on_serves)
        other._lacking = {item: list(those) for item, those in self._lacking.items()}
        return other

    def begin(self, items: Iterable[int]) -> None:
        """Let items begin, whether their clauses hold or not, and what is free and follows from it."""
        self._grow([item for item in items if item not in self.begun])

    @property
    def free(self) -> frozenset[int]:
        """Items that begin by themselves as soon as they can."""
        return self._free

    def allow(self, items: Collection[int]) -> None:
        """From now on these begin by themselves too."""
        self._free |= frozenset(items)
        self._grow([item for item in items if item in self.able])

    def _grow(self, fresh: list[int]) -> None:
        while fresh:
            more: list[int] = []
            begun = sorted(set(fresh) - self.begun)
            self.begun.update(begun)
            self.able.difference_update(begun)
            for item in begun:
                self._hear(self._on_begun, item, more)
            serves = self._newly_serving(begun)
            self.serves.update(serves)
            for item in serves:
                self._hear(self._on_serves, item, more)
            self.grown.append(Growth(tuple(begun), tuple(serves)))
            fresh = more

    def _hear(self, events: dict[int, list[int]], item: int, more: list[int]) -> None:
        for number in events.pop(item, ()):
            self._left[number] -= 1
            if self._left[number]:
                continue
            owner = self._owner[number]
            self._unmet[owner] -= 1
            if not self._unmet[owner] and owner not in self.begun:
                if owner in self._free:
                    more.append(owner)
                else:
                    self.able.add(owner)

    def _newly_serving(self, fresh: Collection[int]) -> list[int]:
        """The greatest set among what has begun and does not serve yet; it only shrinks while it is sought.

        Whoever does not serve lacks the members of some clause. Unless one of those is hopeful now, the clause
        fails as before; so hope spreads from what has just begun to those that lack it, and no further.
        """
        hopeful: set[int] = set()
        stack = list(fresh)
        while stack:
            item = stack.pop()
            if item not in hopeful and item in self.begun and item not in self.serves:
                hopeful.add(item)
                stack.extend(self._lacking.pop(item, ()))
        users: dict[int, list[int]] = {}
        for item in hopeful:
            for clause in self.system.serve[item]:
                for each in clause.of:
                    if each in hopeful:
                        users.setdefault(each, []).append(item)
        looked_at = list(hopeful)
        while looked_at:
            item = looked_at.pop()
            fails = (each for each in self.system.serve[item] if not self._holds(each, hopeful))
            lacking = next(fails, None) if item in hopeful else None
            if lacking is not None:
                # What it lacks is noted while all that still hopes counts: whoever gave up before it, or has not
                # begun. So those who lack each other are never left to wait for nobody else.
                self._note(item, lacking, hopeful)
                hopeful.discard(item)
                looked_at.extend(users.get(item, ()))
        return sorted(hopeful)

    def _note(self, item: int, lacking: Clause, hopeful: set[int]) -> None:
        for each in dict.fromkeys(lacking.of):
            there = each in self.begun if lacking.begun else each in self.serves or each in hopeful
            if not there:
                self._lacking.setdefault(each, []).append(item)

    def _holds(self, clause: Clause, hopeful: set[int]) -> bool:
        found = 0
        for each in set(clause.of):
            if each in self.begun if clause.begun else each in self.serves or each in hopeful:
                found += 1
        return found >= clause.enough
