"""When does each thing fall, given when each part failed, and how soon is each back after a repair?

The clocks of `falsework.support.times`, asked about many moments at once in whole arrays.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property

import numpy as np

from falsework.analyses.cold_start import cold_start
from falsework.engines.gates import GateGraph, OracleFunction
from falsework.engines.renewal.hours import Floats
from falsework.engines.renewal.plan import Bools, Ints
from falsework.engines.times import times
from falsework.support.gates import NEVER_ASLEEP, Cold
from falsework.support.graph import SupportGraph
from falsework.support.standing import Standing
from falsework.support.times import NEVER, Clock, falling, rising, settled, waits

MOST_REMEMBERED = 100_000
"""So many answers of a box are kept at the most."""


class Falls:
    """When things fall.

    Args:
        standing: the lab.
        parts: the part that each unit is.
    """

    def __init__(self, standing: Standing, parts: Sequence[str]) -> None:
        clock = falling(standing.support, out=standing.out)
        self._clock = replace(clock, graph=_remembering(clock.graph))
        number = {part: unit for unit, part in enumerate(parts)}
        self._unit = np.array([number.get(name, -1) for name in self._clock.graph.leaf_names])
        self._gates, self._holds = standing.gates, standing.holds
        self._leaf = np.array([number.get(name, -1) for name in self._gates.graph.leaf_names])
        self._back = standing.thing_rows[1]
        leans = standing.gates.leans
        self._held = np.array([gate for gate, _, _ in self._clock.held], dtype=np.int64)
        self._truth = np.array([leans[name][at][0] for _, name, at in self._clock.held], dtype=np.int64)

    def at(self, failed_s: Floats, rows: Bools) -> Floats:
        """When each thing falls for good or is interrupted.

        Args:
            failed_s: (n_units, n) when each unit failed, from 0; infinite for those that work.
            rows: (n_kept, n) the truth with all of these failed, from `Standing.rows`: a lean with a hold that is
                met again before the hold ends lets nothing fall.

        Returns:
            (n_things, n), on the same clock; infinite for never.
        """
        if not failed_s.shape[1]:
            return np.full((len(self._clock.row), 0), NEVER)
        leaves = np.full((len(self._unit), failed_s.shape[1]), NEVER)
        known = self._unit >= 0
        leaves[known] = failed_s[self._unit[known]]
        met = np.ones((len(self._held), failed_s.shape[1]), dtype=bool)
        asked = self._truth >= 0
        met[asked] = rows[self._truth[asked]]
        # Mostly no lean that is met would have fallen: then all are asked at once, every hold as it is.
        moments = times(self._clock.graph, leaves, self._clock.delays, mode="fall")
        found = moments[self._clock.graph.kept]
        saved = met & np.isfinite(moments[self._held])
        again = np.flatnonzero(saved.any(axis=0))
        patterns, group = np.unique(met[:, again], axis=1, return_inverse=True)
        for number in range(patterns.shape[1] if len(again) else 0):
            columns = again[np.flatnonzero(group.ravel() == number)]
            delays = self._clock.delays.copy()
            delays[self._held[patterns[:, number]]] = NEVER
            moments = times(self._clock.graph, leaves[:, columns], delays, mode="fall")
            found[:, columns] = moments[self._clock.graph.kept]
        return self._for_good(failed_s, rows, found)

    def _for_good(self, failed_s: Floats, rows: Bools, falls: Floats) -> Floats:
        """The same, for what does not come back from when on nothing brings it back any more."""
        down = ~rows[self._back]
        ask = np.flatnonzero((down & np.isfinite(falls)).any(axis=0) & self._holds.any())
        if len(ask):
            leaves = np.full((len(self._leaf), len(ask)), NEVER)
            known = self._leaf >= 0
            leaves[known] = failed_s[self._leaf[known]][:, ask]
            moments = times(self._gates.graph, leaves, self._holds, mode="fall")
            ends = moments[self._gates.graph.kept][self._back]
            falls[:, ask] = np.where(down[:, ask], np.maximum(ends, falls[:, ask]), falls[:, ask])
        return falls


class Rises:
    """How soon things are back once what they lacked is there.

    A start like the one after a power cut (boxes wake, copies start in the order of their needs), but from what
    stands at that moment instead of from nothing.

    Args:
        standing: the lab.
        parts: the part that each unit is.
    """

    def __init__(self, standing: Standing, parts: Sequence[str]) -> None:
        self._support: SupportGraph = standing.support
        self._out = standing.out
        hasty = any(thing.tries_once for thing in standing.support.things.values())
        self._early = frozenset(cold_start(standing).too_early) if hasty else frozenset[str]()
        self._waits = waits(self._support)
        self._number = {part: unit for unit, part in enumerate(parts)}
        names = list(self._support.things)
        self._given = np.array([self._support.things[name].word in NEVER_ASLEEP for name in names])

    def after(self, failed: Bools, up: Bools, back: Bools) -> tuple[Floats, Floats]:
        """How soon each thing is back: by itself, and once hands are there.

        Args:
            failed: (n_units, n) what is still broken.
            up: (n_things, n) what stands at the moment of the repair.
            back: (n_things, n) what stands in the end.

        Returns:
            Twice (n_things, n), seconds; infinite where that way does not bring it back. Hands are not asked
            about where all that is back comes by itself: those columns are infinite, too.
        """
        up = up | (self._given[:, None] & back)
        alone = self._after(self._alone, failed, up, back)
        helped = np.full(alone.shape, NEVER)
        ask = np.flatnonzero((back & ~np.isfinite(alone)).any(axis=0))
        if len(ask):
            helped[:, ask] = self._after(self._helped, failed[:, ask], up[:, ask], back[:, ask])
        return alone, helped

    @cached_property
    def _alone(self) -> Clock:
        return rising(self._support, cold=Cold(hands=False, stuck=self._early), out=self._out)

    @cached_property
    def _helped(self) -> Clock:
        return rising(self._support, cold=Cold(hands=True), out=self._out)

    def _after(self, clock: Clock, failed: Bools, up: Bools, back: Bools) -> Floats:
        if not failed.shape[1]:
            return np.empty(up.shape)
        leaves = np.zeros((len(clock.graph.leaf_names), failed.shape[1]))
        for position, name in enumerate(clock.graph.leaf_names):
            word, _, rest = name.partition(":")
            if word == "up":
                leaves[position, ~up[clock.row[rest]]] = NEVER
            else:
                leaves[position, failed[self._number[name]]] = NEVER
        rises = times(clock.graph, leaves, clock.delays, mode="rise")[clock.graph.kept]
        return settled(self._waits, rises, back)


def _remembering(graph: GateGraph) -> GateGraph:
    """The same gates; what a box has answered once it is not asked again."""
    boxes = tuple(replace(box, function=_remembered(box.function)) for box in graph.oracles)
    return replace(graph, oracles=boxes)


def _remembered(function: OracleFunction) -> OracleFunction:
    known: dict[bytes, Bools] = {}

    def answer(given: Bools) -> Bools:
        keys = [column.tobytes() for column in given.T]
        fresh = list({key: place for place, key in enumerate(keys) if key not in known}.values())
        if fresh:
            if len(known) > MOST_REMEMBERED:
                known.clear()
                fresh = list(range(len(keys)))
            for place, column in zip(fresh, function(given[:, fresh]).T, strict=True):
                known[keys[place]] = column
        return np.stack([known[key] for key in keys], axis=1)

    return answer


def columns_of(sets: Sequence[Sequence[int]], n_units: int) -> Bools:
    """Sets of units as columns: (n_units, n_sets)."""
    found = np.zeros((n_units, len(sets)), dtype=bool)
    for column, units in enumerate(sets):
        found[list(units), column] = True
    return found


def failed_since(run: Ints, down_s: Floats, up_s: Floats, *, whose: int, at_s: float) -> list[int]:
    """The outages, by position, that last at a moment of a run; outages in order of run."""
    first, last = np.searchsorted(run, [whose, whose + 1])
    lasting = (down_s[first:last] <= at_s) & (up_s[first:last] > at_s)
    found: list[int] = (first + np.flatnonzero(lasting)).tolist()
    return found
