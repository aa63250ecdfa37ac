"""What stands at any moment of a build, and what would any failure do then?

The support graph is staged and compiled once (`falsework.support.staging`). A moment is then one more scenario, and
a failure at a moment is a moment with one more leaf off: the engines that answer "what falls" answer "what falls
while it is built" too.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence, Set
from functools import cached_property
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from falsework.engines.evaluate import Evaluator
from falsework.engines.gates import BoolArray, Kind
from falsework.engines.scenarios import BITS, ONES, pack, unpack
from falsework.engines.uncollected import uncollected
from falsework.engines.units import cone, readers
from falsework.model.parts import ThingId
from falsework.model.people import StandIn
from falsework.support.gates import Gates
from falsework.support.presence import here, present
from falsework.support.staging import ALWAYS, Staged, staged, whoever
from falsework.support.standing import Standing


class Stage(Protocol):
    """How the lab is at a moment; see `Moment` of an order of work."""

    @property
    def built(self) -> Collection[str]:
        """The things that stand, implied ones included."""

    @property
    def lent(self) -> Collection[str]:
        """The stand-ins that are set up."""

    @property
    def serving(self) -> Mapping[str, str]:
        """Who serves for each covered thing: a stand-in, or the thing itself."""


class Stages:
    """A lab compiled once, to be asked about every moment of its build.

    Args:
        standing: the finished lab; parts that are out beforehand are out at every moment.
    """

    def __init__(self, standing: Standing) -> None:
        self.standing = standing
        with uncollected():
            self.staged: Staged = staged(standing)
            self.gates: Gates = present(self.staged, out=standing.out)
        self.leaves = self.gates.graph.leaf_names
        self.row = {name: row for row, name in enumerate(self.leaves)}
        self.covers = {str(each.id): each.for_.ids if each.for_ else () for each in standing.lab.of(StandIn)}
        self.always = frozenset(n for n, thing in standing.support.things.items() if thing.word in ALWAYS)
        names = (*standing.support.things, *self.covers)
        self._rows = {
            name: [self.row[leaf] for leaf in (self.own(name), here(name)) if leaf in self.row]
            for name in names
        }
        self._made = [name for name in names if self.own(name) in self.row]
        self._full = Evaluator(self.gates.graph)
        self._few = Evaluator(self.gates.services)
        self.parts = (*standing.parts, *self.covers)
        self.part_rows = np.array([self.leaf_of(part) for part in self.parts], dtype=np.intp)

    @property
    def services(self) -> tuple[str, ...]:
        """The services and alarms of the lab, in lab order: the rows of `service_rows`."""
        return self.standing.support.services

    def on(self, stage: Stage) -> BoolArray:
        """The leaves that are on at a moment, (n_leaves,)."""
        return self.ons([stage])[:, 0]

    def ons(self, stages: Sequence[Stage]) -> BoolArray:
        """The leaves that are on at each of some moments, (n_leaves, n_moments)."""
        found: BoolArray = np.zeros((len(self.leaves), len(stages)), dtype=np.bool_)
        now: BoolArray = np.zeros(len(self.leaves), dtype=np.bool_)
        now[self._rows_of(self.always)] = True
        built: Set[str] = frozenset()
        lent = frozenset[str]()
        for column, stage in enumerate(stages):
            # One moment differs little from the next, and a set that knows it says by what at once.
            built_now = stage.built if isinstance(stage.built, Set) else frozenset(stage.built)
            lent_now = frozenset(stage.lent)
            now[self._rows_of(built_now - built)] = True
            now[self._rows_of(lent_now - lent)] = True
            gone = [
                name for name in (*(built - built_now), *(lent - lent_now)) if not self.is_there(stage, name)
            ]
            now[self._rows_of(gone)] = False
            found[:, column] = now
            found[self._owners_on(stage), column] = True
            built, lent = built_now, lent_now
        return found

    def _rows_of(self, names: Iterable[str]) -> list[int]:
        return [row for name in names for row in self._rows.get(name, ())]

    def _owners_on(self, stage: Stage) -> list[int]:
        """Leaves of those that serve in the name of others.

        For a covered thing its owner, for a service of which one copy serves the first that is there; where a
        thing has a place, whatever is there.
        """
        found: list[int] = []
        for target, branches in self.staged.owners.items():
            owner = owner_of(stage, target)
            slot = target in self.staged.own
            for name, leaf in branches.items():
                if name == owner or (slot and self.is_there(stage, name)):
                    found.append(self.row[leaf])
        for copies in self.staged.actives.values():
            first = next((copy for copy in copies if self.is_there(stage, copy)), None)
            if first is not None:
                found.append(self.row[copies[first]])
        return found

    def is_there(self, stage: Stage, name: str) -> bool:
        """Whether a thing is there at a moment; see `there`."""
        return name in stage.built or name in stage.lent or name in self.always

    def there(self, stage: Stage) -> frozenset[str]:
        """What is there at a moment, by the names of the lab: things made, things always there, stand-ins lent."""
        return self.always.union(stage.built, stage.lent)

    def can_fail(self, stage: Stage) -> tuple[str, ...]:
        """Parts and stand-ins that are there at a moment, in lab order, stand-ins last."""
        there = self.there(stage)
        return tuple(part for part in self.parts if part in there)

    def own(self, name: str) -> str:
        """The staged thing that a thing of the lab itself is."""
        return self.staged.own.get(name, name)

    def leaf_of(self, part: str) -> int:
        """The row of the leaf that goes off when a part or stand-in fails."""
        return self.row[self.own(part)]

    def whoever(self, name: str) -> str:
        """The staged thing that stands while somebody serves for a thing of the lab."""
        covered = name in self.staged.owners and name not in self.staged.own
        return whoever(name) if covered else name

    @cached_property
    def alike(self) -> NDArray[np.intp]:
        """For each leaf the first of those that are as good as it is, whatever else is on or off.

        A leaf that is read by one gate alone, an all-of, does what that gate does when it is false, and nothing
        else; so does a leaf that reaches that gate over others of the kind. No rule about boxes is needed: they
        see the gate that both make false.
        """
        graph = self.gates.services
        count = len(self.services)
        watched = set(graph.kept[count : 2 * count].tolist())
        inside = cone(graph, np.array(sorted(watched), dtype=np.int64))
        read_by = readers(graph, inside)
        passes = (graph.kind == Kind.ALL) | (graph.kind == Kind.PROMISE) | (graph.kind == Kind.WIRE)
        bounds, items = read_by.indptr.tolist(), read_by.items.tolist()
        first: dict[int, int] = {}
        found = []
        for leaf in range(graph.n_leaves):
            gate = leaf
            seen = {gate}
            while gate not in watched and bounds[gate + 1] - bounds[gate] == 1:
                above = items[bounds[gate]]
                if not passes[above] or above in seen:
                    break
                gate = above
                seen.add(gate)
            found.append(first.setdefault(gate, leaf))
        return np.array(found, dtype=np.intp)

    def service_rows(self, on: BoolArray) -> BoolArray:
        """Each service's `up`, each service's `back`, each keeping, in each scenario.

        Args:
            on: leaves that are on, (n_leaves, n_scenarios).
        """
        return unpack(self._few.evaluate(pack(on)), on.shape[1])

    def service_rows_without(self, on: BoolArray, off: Sequence[tuple[int, Sequence[int]]]) -> BoolArray:
        """The same for scenarios that differ little from some moments.

        Args:
            on: leaves that are on at the moments, (n_leaves, n_moments).
            off: for each scenario its moment (column) and the leaves that are off besides.

        Returns:
            (n_rows, n_scenarios). Each moment's scenarios have words of their own, so nothing is packed bit by bit.
        """
        moment = np.array([number for number, _ in off], dtype=np.intp)
        many = np.bincount(moment, minlength=on.shape[1])
        first = np.cumsum(-(-many // BITS)) - -(-many // BITS)  # word of each moment
        order = np.argsort(moment, kind="stable")
        rank = np.empty(len(off), dtype=np.intp)
        rank[order] = np.arange(len(off)) - np.repeat(np.cumsum(many) - many, many)
        word, bit = first[moment] + rank // BITS, (rank % BITS).astype(np.uint64)
        words = np.where(on, ONES, np.uint64(0))[:, np.repeat(np.arange(on.shape[1]), -(-many // BITS))]
        counts = [len(leaves) for _, leaves in off]
        leaf = np.array([each for _, leaves in off for each in leaves], dtype=np.intp)
        cleared = ~(np.uint64(1) << np.repeat(bit, counts))
        np.bitwise_and.at(words, (leaf, np.repeat(word, counts)), cleared)
        rows = unpack(self._few.evaluate(words), words.shape[1] * BITS)
        return rows[:, word * BITS + bit.astype(np.intp)]

    def rows(self, on: BoolArray) -> BoolArray:
        """Every kept gate in each scenario; see `gates` for which row says what."""
        return unpack(self._full.evaluate(pack(on)), on.shape[1])

    def missing(self, stages: Sequence[Stage]) -> list[tuple[str, ...]]:
        """At each moment what should stand by then, stands in the finished lab, and does not stand yet."""
        return self.missing_of(self.ons(stages))

    def missing_of(self, on: BoolArray) -> list[tuple[str, ...]]:
        """The same for moments given by the leaves that are on, (n_leaves, n_moments)."""
        leaf, back, wanted = self._expected
        down = on[leaf] & wanted[:, None] & ~self.rows(on)[back]
        return [
            tuple(self._made[row] for row in np.flatnonzero(down[:, column]).tolist())
            for column in range(on.shape[1])
        ]

    @cached_property
    def _expected(self) -> tuple[NDArray[np.intp], NDArray[np.intp], BoolArray]:
        """For each thing that is made its leaf, the row that says whether it stands, and whether it ever does."""
        finished = self.standing.baseline
        own = [self.own(name) for name in self._made]
        return (
            np.array([self.row[name] for name in own], dtype=np.intp),
            np.array([self.gates.back[name] for name in own], dtype=np.intp),
            np.array([name in self.covers or finished.back(name) for name in self._made], dtype=np.bool_),
        )


def stages_of(standing: Standing) -> Stages:
    """A lab made ready for moments, once for all who ask."""
    known = standing.asked.get(("stages",))
    if not isinstance(known, Stages):
        known = standing.asked["stages",] = Stages(standing)
    return known


def owner_of(stage: Stage, target: str) -> str | None:
    """Who serves for a covered thing at a moment: a stand-in that is lent, or the thing itself once it is there."""
    named = stage.serving.get(target, target)
    return named if named in stage.lent or named in stage.built else None


def owned(standing: Standing) -> Mapping[str, tuple[str, ...]]:
    """For each part that comes with others, those that must be there first: the ends of a cable, what holds a drive."""
    found: dict[str, tuple[str, ...]] = {}
    for name, thing in standing.support.things.items():
        own = standing.lab.things.get(ThingId(name))
        if thing.word in ("supply", "card", "controller"):
            found[name] = (str(getattr(own, "holder", "")),)
        elif thing.word == "cable":
            found[name] = tuple(str(end) for end, _ in getattr(own, "ends", ()))
        elif thing.word == "drive":
            inside = getattr(own, "in_", None)
            found[name] = tuple(inside.ids) if inside is not None else ()
    return found
