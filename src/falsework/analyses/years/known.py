"""What is worked out once for a lab, before any year is drawn?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property

import numpy as np

from falsework.analyses.years.moments import Falls, Rises
from falsework.analyses.years.scene import Scene, scene
from falsework.engines.renewal.hours import Floats
from falsework.engines.renewal.plan import Bools, Ints
from falsework.model.people import Alarm
from falsework.support.graph import Phase, Role
from falsework.support.lives import Lives, lives
from falsework.support.standing import Standing, View
from falsework.support.times import NEVER


def interruptions(standing: Standing, views: Sequence[View]) -> tuple[Floats, Floats]:
    """When each thing is interrupted, and for how long if it comes back, be it only until it falls for good.

    Returns:
        Twice (n_things, n_views), seconds after the losses; for 0 s where it does not come back even once.
    """
    ends = standing.ends(views, standing.falls(views))
    lasts = standing.returns(views, ends.first_s)
    return ends.first_s, np.where(np.isfinite(lasts), lasts, ends.before_s)


class Known:
    """A lab made ready: its units, its clocks, and what losing each part by itself does and how it is undone.

    Args:
        standing: the lab.
    """

    def __init__(self, standing: Standing) -> None:
        self.standing = standing
        self.lives: Lives = lives(standing)
        self.scene: Scene = scene(standing, self.lives)
        self.parts = self.scene.parts
        self.outside = np.array([self.lives.of[part].outside for part in self.parts], dtype=bool)
        self.services = standing.support.services
        self.things = tuple(standing.support.things)
        gates = standing.gates
        self.thing_up = np.array([gates.up[name] for name in self.things], dtype=np.int64)
        self.thing_back = np.array([gates.back[name] for name in self.things], dtype=np.int64)
        self.at = np.array([standing.row[name] for name in self.services], dtype=np.int64)
        self.alarms = np.array(
            [self.services.index(alarm.id) for alarm in standing.lab.of(Alarm)], dtype=np.int64
        )
        self.falls = Falls(standing, self.parts)
        self.rises = Rises(standing, self.parts)
        self.restarts: dict[tuple[tuple[int, ...], bytes], tuple[Floats, Floats]] = {}  # answers kept
        self.together: dict[tuple[int, ...], Floats] = {}  # answers kept
        self.interruptions: dict[tuple[int, ...], tuple[Floats, Floats]] = {}  # answers kept
        self._singles()

    def _singles(self) -> None:
        """What each part by itself does to services (rows as in `services`), and when."""
        standing, n, count = self.standing, len(self.parts), len(self.services)
        rows = standing.service_rows([(part,) for part in self.parts])
        self.up: Bools = rows[:count]
        self.back: Bools = rows[count : 2 * count]
        self.fall_s: Floats = np.full((count, n), NEVER)
        self.first_s: Floats = np.full((count, n), NEVER)
        self.blink_s: Floats = np.zeros((count, n))
        felt = np.flatnonzero(~self.up.all(axis=0))  # most parts alone do nothing, and need no clock
        falls, whole = self._clocked(felt)
        self.fall_s[:, felt] = falls[self.at]
        self._undone(felt, falls, whole)

    def _clocked(self, units: Ints) -> tuple[Floats, Bools]:
        """When each thing falls with each of these units lost alone, and what is back; notes how long services blink."""
        standing = self.standing
        rows = standing.rows([(self.parts[unit],) for unit in units])
        failed = np.full((len(self.parts), len(units)), NEVER)
        failed[units, np.arange(len(units))] = 0.0
        views = [
            View(standing=standing, lost=standing.out | {self.parts[unit]}, column=rows[:, column])
            for column, unit in enumerate(units)
        ]
        if views:
            first, lasts = interruptions(standing, views)
            self.first_s[:, units], self.blink_s[:, units] = first[self.at], lasts[self.at]
        return self.falls.at(failed, rows), rows[self.thing_back]

    def _undone(self, units: Ints, falls: Floats, back: Bools) -> None:
        """How soon services are back after each part is mended, by how many things had fallen until then.

        A part that was out for longer than the k-th of the moments at which things fall through it has
        column `first[part] + k`.
        """
        columns: list[tuple[int, float]] = []
        self.first: Ints = np.full(len(self.parts), -1, dtype=np.int64)
        self.steps: dict[int, Floats] = {}
        for place, unit in enumerate(units.tolist()):
            if self.back[:, unit].all():
                continue
            steps = np.unique(falls[~back[:, place] & np.isfinite(falls[:, place]), place])
            self.first[unit] = len(columns)
            self.steps[unit] = steps
            columns.extend((place, float(step)) for step in (-1.0, *steps))
        place_of = np.array([place for place, _ in columns], dtype=np.int64)
        latest = np.array([step for _, step in columns])
        up = back[:, place_of] | (falls[:, place_of] > latest)
        whole = np.array([self.standing.baseline.back(name) for name in self.things])
        failed = np.zeros((len(self.parts), len(columns)), dtype=bool)
        alone, helped = self.rises.after(failed, up, np.repeat(whole[:, None], len(columns), axis=1))
        self.alone_s: Floats = alone[self.at]
        self.helped_s: Floats = helped[self.at]

    @cached_property
    def moving(self) -> Mapping[int, tuple[Ints, Ints, float]]:
        """Services of which another copy takes over: rows of their copies up and back, and how long that takes."""
        found = {}
        for number, name in enumerate(self.services):
            thing = self.standing.support.things[name]
            copies = [lean for lean in thing.leans if lean.role is Role.COPIES]
            if len(copies) > 1:
                order = max((lean.on for lean in copies), key=len)
                gates = self.standing.gates
                found[number] = (
                    np.array([gates.up[each] for each in order]),
                    np.array([gates.back[each] for each in order]),
                    thing.returns_s or 0.0,
                )
        return found

    @cached_property
    def hosts(self) -> Mapping[int, tuple[Ints, int]]:
        """For each service the rows (up) of what its copies run on now, and how many of them it needs.

        With fewer left it must take over or start again; with enough left it is at most waiting for another.
        """
        things, gates = self.standing.support.things, self.standing.gates
        found = {}
        for number, name in enumerate(self.services):
            now = [lean for lean in things[name].leans if lean.role is Role.COPIES and "now" in lean.times]
            on = [
                gates.up[lean.on[0]]
                for copies in now
                for copy in copies.on
                for lean in things[copy].leans
                if lean.role is Role.HOST and "now" in lean.times and lean.on
            ]
            if on:
                found[number] = (np.array(on), min(len(on), max(lean.enough for lean in now)))
        return found

    @cached_property
    def leaning(self) -> tuple[tuple[tuple[int, float], ...], ...]:
        """For each service those that fall with it, with how long they hold without it, seconds; not itself."""
        things = self.standing.support.things
        some = {name: thing for name, thing in things.items() if thing.word in ("service", "copy", "alarm")}
        found = []
        for service in self.services:
            fallen = {service: 0.0}
            while True:
                more = {
                    name: moment
                    for name, thing in some.items()
                    if name != service
                    for moment in [
                        min(
                            (
                                sorted(fallen.get(each, NEVER) for each in lean.on)[
                                    len(lean.on) - lean.enough
                                ]
                                + lean.hold_s
                                for lean in thing.leans
                                if Phase.RUN in lean.phases
                                and "now" in lean.times
                                and 0 < lean.enough <= len(lean.on)
                            ),
                            default=NEVER,
                        )
                    ]
                    if moment < fallen.get(name, NEVER)
                }
                if not more:
                    break
                fallen.update(more)
            found.append(
                tuple(
                    (number, fallen[name])
                    for number, name in enumerate(self.services)
                    if name in fallen and name != service
                )
            )
        return tuple(found)
