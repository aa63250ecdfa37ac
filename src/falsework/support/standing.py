"""What stands when these parts are lost? The lab compiled once, to be asked many times."""

from __future__ import annotations

import copy
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Self

import numpy as np
from numpy.typing import NDArray

from falsework.engines.company import Company
from falsework.engines.evaluate import Evaluator
from falsework.engines.uncollected import uncollected
from falsework.errors import QuestionError, listed, nearest
from falsework.model.domains import domains
from falsework.model.lab import Lab
from falsework.model.parts import ThingId
from falsework.model.services import Store
from falsework.support import times
from falsework.support.derive import derive
from falsework.support.gates import NEVER_ASLEEP, Cold, Gates, compiled
from falsework.support.graph import SupportGraph
from falsework.support.power import Draw, Draws

Bools = NDArray[np.bool_]
Rows = NDArray[np.intp]
Floats = NDArray[np.float64]
AT_ONCE = 64
"""Scenarios that are worked out together where each is looked at in full: as many as bits in a word."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class View:
    """The truth of one scenario, by name.

    Attributes:
        lost: the parts that are lost, those out beforehand included.
        column: every kept row of the gates.
    """

    standing: Standing
    lost: frozenset[str]
    column: Bools

    def up(self, name: str) -> bool:
        """Whether a thing stands without interruption."""
        return bool(self.column[self.standing.gates.up[name]])

    def back(self, name: str) -> bool:
        """Whether a thing stands once all that can come back has."""
        return bool(self.column[self.standing.gates.back[name]])

    def down(self, *, later: bool = False) -> tuple[str, ...]:
        """The things that do not stand without interruption, or do not stand again later; in lab order."""
        up, back = self.standing.thing_rows
        names = self.standing.names
        return tuple(names[row] for row in np.flatnonzero(~self.column[back if later else up]).tolist())

    def kept(self, name: str) -> bool:
        """Whether a keeping (data, or what holds it) survives."""
        return bool(self.column[self.standing.gates.kept[name]])

    def lean_holds(self, name: str, number: int, *, later: bool = False) -> bool:
        """Whether a thing's lean holds now, or later; a lean that does not count then holds."""
        row = self.standing.gates.leans[name][number][1 if later else 0]
        return True if row < 0 else bool(self.column[row])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ends:
    """What falls for good, and when: a thing may be taken over from, and fall again when a battery is empty.

    Attributes:
        first_s: seconds until each thing is interrupted, (n_things, n_views); infinity where it never is.
        last_s: until it is down for good; infinity where it comes back.
        before_s: how long the first interruption lasts of what falls for good only later; else 0.
    """

    first_s: Floats
    last_s: Floats
    before_s: Floats


class Standing:
    """A lab's support graph, its gates and the engine over them.

    Args:
        lab: the lab.
        out: parts that are out beforehand; every question is asked on top of that.

    Raises:
        QuestionError: a part is not in the lab, or there is nothing in the lab at all.
    """

    def __init__(self, lab: Lab, *, out: Iterable[str] = ()) -> None:
        self.lab = lab
        self.asked: dict[tuple[object, ...], object] = {}  # answers that more than one question wants
        self.shared = domains(lab.things)
        self._draws: dict[Draw, Draws] = {}
        with uncollected():
            self.support: SupportGraph = derive(lab)
            if not self.support.things:
                raise QuestionError(
                    what=f"{lab.name!r} has nothing in it yet",
                    mend="Add a machine or a service; `falsework start` writes a first file to begin with.",
                )
            self.out = frozenset(self.known(out))
            self._compile()
            if self.out:
                self._move_active()
        self.baseline: View = self.views([()])[0]

    def retimed(self, support: SupportGraph) -> Self:
        """The same lab, with the same truth, and other times; its gates are shared.

        Args:
            support: this one's, with other holds where there are any, other returns and wakes.
        """
        other = copy.copy(self)
        for name in ("_falling", "_rising", "holds"):  # all that is kept and hangs on how long a time is
            other.__dict__.pop(name, None)
        other.support = support
        other.asked = {}  # answers of the lab as it is
        return other

    def _compile(self) -> None:
        self.gates: Gates = compiled(self.support, out=self.out)
        self.engine = Evaluator(self.gates.graph)
        self.leaf: Mapping[str, int] = {name: row for row, name in enumerate(self.gates.graph.leaf_names)}

    def _move_active(self) -> None:
        """With parts out beforehand, a service that moves is already where it moved to."""
        view = self.views([()])[0]
        active: dict[str, int] = {}
        for service in self.support.services:
            leans = self.support.things[service].leans
            copies = max((lean.on for lean in leans if "later" in lean.times), key=len, default=())
            if len(leans) > 1 and not view.up(service):
                first = next((number for number, copy in enumerate(copies) if view.back(copy)), 0)
                if first:
                    active[service] = first
        if active:
            self.support = derive(self.lab, active=active)
            self._compile()

    def known(self, names: Iterable[str]) -> tuple[str, ...]:
        """The names, if each is a part that can be lost; a store stands for all its drives.

        Raises:
            QuestionError: one is not; names the nearest that is.
        """
        parts = self.support.things
        found: list[str] = []
        for name in names:
            thing = self.lab.things.get(ThingId(name))
            found.extend(thing.drives.ids if isinstance(thing, Store) and thing.drives else (name,))
        for name in found:
            if name not in parts or not parts[name].part:
                known = [each for each, thing in parts.items() if thing.part]
                near = nearest(name, known)
                what = (
                    f"{name!r} is no part that can be lost"
                    if name in parts
                    else f"no part is called {name!r}"
                )
                some = f"Parts: {listed(known)}" if known else "The lab has no parts."
                raise QuestionError(what=what, mend=f"Did you mean {near!r}?" if near else some)
        return tuple(dict.fromkeys(found))

    def draws(self, draw: Draw = Draw.BUSY) -> Draws:
        """Who draws how much from which source, made once for all who ask."""
        if draw not in self._draws:
            self._draws[draw] = Draws(self.lab, draw)
        return self._draws[draw]

    @property
    def parts(self) -> tuple[str, ...]:
        """Every part that is not out beforehand, in lab order."""
        return tuple(name for name in self.support.parts if name not in self.out)

    def rows(self, lost: Sequence[Collection[str]]) -> Bools:
        """Every kept gate in each scenario: (n_kept, n_scenarios)."""
        return np.asarray(self.engine.stands(self._failures(lost)))

    def service_rows(self, lost: Sequence[Collection[str]]) -> Bools:
        """Only what `Gates.services` keeps, in each scenario: for questions in bulk."""
        return np.asarray(self._bulk.stands(self._failures(lost)))

    def of_services(self, rows: Bools) -> Bools:
        """What `service_rows` says, out of what `rows` does."""
        return rows[self.gates.of_services]

    def _failures(self, lost: Sequence[Collection[str]]) -> list[list[int]]:
        return [[self.leaf[name] for name in each if name not in self.out] for each in lost]

    def warm(self) -> None:
        """Make what is else made at the first question, so that a question in company of many need not wait."""
        self.falls([self.baseline])
        self.returns([self.baseline])
        self.service_rows([()])
        self.company(())

    def company(self, lost: Collection[str]) -> tuple[str, ...]:
        """The parts whose loss may do more to services and data on top of this one than by itself, in lab order.

        Any other part does then what it does alone, to what this loss leaves standing.
        """
        names = self.gates.graph.leaf_names
        return tuple(names[leaf] for leaf in self._company.met(self._failures([lost])[0]).tolist())

    @cached_property
    def _company(self) -> Company:
        return Company(self.gates.services)

    @cached_property
    def _bulk(self) -> Evaluator:
        return Evaluator(self.gates.services)

    def views(self, lost: Sequence[Collection[str]]) -> list[View]:
        """The truth of each scenario."""
        rows = self.rows(lost)
        return [
            View(standing=self, lost=self.out | frozenset(each), column=rows[:, column])
            for column, each in enumerate(lost)
        ]

    def each_view(self, lost: Sequence[Collection[str]]) -> Iterator[View]:
        """The same one after the other, for many scenarios: only `AT_ONCE` of them are held."""
        for first in range(0, len(lost), AT_ONCE):
            yield from self.views(lost[first : first + AT_ONCE])

    @cached_property
    def _falling(self) -> times.Clock:
        return times.falling(self.support, out=self.out)

    @cached_property
    def _rising(self) -> times.Clock:
        return times.rising(self.support, out=self.out)

    @cached_property
    def _waits(self) -> times.Waits:
        return times.waits(self.support)

    def falls(self, views: Sequence[View], *, needed: times.Needed | None = None) -> Floats:
        """When each thing falls: seconds (n_things, n_views), infinity where it does not fall.

        Args:
            views: of the losses.
            needed: from `needed`, if only some things are asked about.
        """
        return times.fall_times(
            self._falling,
            [view.lost for view in views],
            lambda column, name, at: views[column].lean_holds(name, at),
            expired=self._expired,
            up=self._truth(self.thing_rows[0], views),
            needed=needed,
        )

    def needed(self, things: Iterable[str]) -> times.Needed:
        """What has to be worked out if only the falls and returns of some things are asked about."""
        rows = [self.row[name] for name in things]
        return times.needed(self._falling, self._rising, self._waits, rows)

    @cached_property
    def _expired(self) -> tuple[int, ...]:
        """Holds that are over as the lab stands: a battery behind a circuit that is out beforehand is empty."""
        return tuple(gate for gate, name, at in self._falling.held if not self.baseline.lean_holds(name, at))

    def ends(self, views: Sequence[View], falls: Floats) -> Ends:
        """From when on each thing is down for good, and what comes before.

        Args:
            views: of the losses.
            falls: of the same, from `falls`.
        """
        up, back = (self._truth(rows, views) for rows in self.thing_rows)
        first, last, before = falls.copy(), np.where(back, times.NEVER, falls), np.zeros_like(falls)
        held = [(name, at) for _, name, at in self._falling.held]
        asked = [
            column
            for column, view in enumerate(views)
            if any(not view.lean_holds(name, at, later=True) for name, at in held)
        ]
        if asked:
            lost = [[self.leaf[part] for part in views[column].lost if part in self.leaf] for column in asked]
            moments = times.ends(self.gates, self.holds, lost)
            ups, backs = (moments[rows] for rows in self.thing_rows)
            first[:, asked] = np.where(up[:, asked], times.NEVER, np.maximum(ups, first[:, asked]))
            last[:, asked] = np.where(back[:, asked], times.NEVER, np.maximum(backs, first[:, asked]))
            before = self._first_lasts(views, first, last)
            never = ~back & (first + before >= last)  # it would be back only after it has fallen for good
            last, before = np.where(never, first, last), np.where(never, 0.0, before)
        return Ends(first_s=first, last_s=last, before_s=before)

    @cached_property
    def holds(self) -> Floats:
        """How long each gate holds, by the times of this support, but for what has run out as the lab stands."""
        holds, kept = self.gates.holds.copy(), self.gates.graph.kept
        for name, thing in self.support.things.items():
            for lean, rows in zip(thing.leans, self.gates.leans[name], strict=True):
                for row in rows if lean.hold_s else ():
                    if row >= 0 and holds[kept[row]]:
                        holds[kept[row]] = lean.hold_s
        return times.unexpired(self.gates, holds) if self._expired else holds

    def returns(
        self, views: Sequence[View], falls: Floats | None = None, *, needed: times.Needed | None = None
    ) -> Floats:
        """How long each thing is out: seconds (n_things, n_views), 0 where it never fell, infinity where it stays down.

        Args:
            views: of the losses.
            falls: of the same, from `falls`, where somebody has them.
            needed: from `needed`, if only some things are asked about.
        """
        up, back = (self._truth(rows, views) for rows in self.thing_rows)
        return times.out_times(
            self._falling,
            self._rising,
            self._waits,
            [view.lost for view in views],
            up=up,
            back=back,
            holds=lambda column, name, at: views[column].lean_holds(name, at),
            holds_again=lambda column, name, at: views[column].lean_holds(name, at, later=True),
            falls=falls,
            expired=self._expired,
            needed=needed,
        )

    def _first_lasts(self, views: Sequence[View], falls: Floats, ends: Floats) -> Floats:
        """How long the first interruption lasts of what falls for good later; infinity where it lasts until then.

        What falls after it, like a machine on a battery, is there until then to take over or to be leant on.
        """
        found = np.zeros_like(falls)
        twice = np.isfinite(ends) & (falls < ends)
        up, back = (self._truth(rows, views) for rows in self.thing_rows)
        for first in np.unique(falls[twice]).tolist():
            asked = np.flatnonzero((twice & (falls == first)).any(axis=0))
            still = falls[:, asked] > first
            lost = [views[column].lost for column in asked.tolist()]
            roomy = back[:, asked] | (
                falls[:, asked] < ends[:, asked]
            )  # without room nothing would end later
            rises = times.rise_times(self._rising, lost, up[:, asked] | still, roomy)
            lasts = times.settled(self._waits, rises, np.isfinite(rises))
            mine = twice[:, asked] & (falls[:, asked] == first)
            found[:, asked] = np.where(mine, lasts, found[:, asked])
        return found

    def rises(self, views: Sequence[View], *, hands_s: float) -> Floats:
        """When each thing stands again once all that was lost is mended: seconds (n_things, n_views) from then.

        What fell for want of power wakes as after a power cut; what a failure left standing is not waited for.

        Args:
            views: of the losses.
            hands_s: until someone switches on what stays off.
        """
        clock = times.rising(self.support, cold=Cold(), out=self.out, hands_s=hands_s)
        up = self._truth(self.thing_rows[0], views)
        up |= np.array([[thing.word in NEVER_ASLEEP] for thing in self.support.things.values()])
        return times.rise_times(clock, [self.out] * len(views), up, np.ones_like(up))

    @cached_property
    def thing_rows(self) -> tuple[Rows, Rows]:
        """The kept rows that say of each thing, in order, whether it is up, and whether it is back."""
        up, back = (
            np.array([rows[name] for name in self.support.things], dtype=np.intp)
            for rows in (self.gates.up, self.gates.back)
        )
        return up, back

    def _truth(self, at: Rows, views: Sequence[View]) -> Bools:
        """What views say of every thing, by the rows of their gates: (n_things, n_views)."""
        found = np.array([view.column[at] for view in views], dtype=np.bool_)
        return found.reshape(len(views), len(at)).T

    @cached_property
    def names(self) -> tuple[str, ...]:
        """Every thing, in lab order."""
        return tuple(self.support.things)

    @cached_property
    def row(self) -> Mapping[str, int]:
        """The row of each thing in `falls` and `returns`."""
        return {name: row for row, name in enumerate(self.support.things)}
