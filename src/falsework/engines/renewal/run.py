"""Which unit is broken from when to when?

All runs take one step at a time together: each handles its own next event, whichever that is, in whole
arrays. Events are candidate breaks, known beforehand, and broken units that have been found or whose
replacement has come. Servers take units in the order in which these are ready, so what a server will do is
settled as soon as a unit is ready, and the end of its work needs no event of its own.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from falsework.engines.renewal.breaks import Breaks, breaks
from falsework.engines.renewal.hours import Floats
from falsework.engines.renewal.plan import Bools, Ints, Plan

FOUND, READY = 0, 1
"""What a unit in waiting waits for: to be found, or for its replacement."""
FEW = 4
"""Places for units in waiting at the beginning; more are made where a run needs them."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outages:
    """Every break and its mending, sorted by run, then time.

    Attributes:
        runs: how many runs.
        horizon_s: how long each is, seconds; nothing breaks after it, mendings may end after it.
        run, unit: (n,) whose.
        down_s, found_s, begun_s, up_s: (n,) when it broke, was found, its work began, and it was whole again.
    """

    runs: int
    horizon_s: float
    run: Ints
    unit: Ints
    down_s: Floats
    found_s: Floats
    begun_s: Floats
    up_s: Floats


def simulate(plan: Plan, *, runs: int, horizon_s: float, rng: np.random.Generator) -> Outages:
    """Draw several runs of a system, each beginning with all whole.

    Args:
        plan: the system.
        runs: how many runs.
        horizon_s: how long each is, seconds.
        rng: where chance comes from; the same state gives the same outages.

    Cost:
        One step for each event of the busiest run, each over all runs.
    """
    return _Stepping(plan, breaks(plan, runs, horizon_s, rng)).outages(horizon_s)


class _Stepping:
    def __init__(self, plan: Plan, drawn: Breaks) -> None:
        runs, most = drawn.at_s.shape
        self.plan, self.drawn = plan, drawn
        self.mends: Bools = np.asarray(plan.can.any(axis=1), dtype=bool)
        self.next = np.zeros(runs, dtype=np.int64)
        self.until: Floats = np.zeros(
            (runs, plan.n_units)
        )  # when each unit is whole again; infinite while unknown
        self.free: Floats = np.zeros((runs, len(plan.servers)))
        deepest = max((stock.shelf for stock in plan.stocks), default=0)
        self.stock: Floats = np.full((runs, len(plan.stocks), max(deepest, 1)), np.inf)
        for number, stock in enumerate(plan.stocks):
            self.stock[:, number, : stock.shelf] = 0.0
        self.lead = np.array([stock.lead_s for stock in plan.stocks])
        self.due: Floats = np.full((runs, FEW), np.inf)
        self.candidate: Ints = np.zeros((runs, FEW), dtype=np.int64)
        self.stage = np.zeros((runs, FEW), dtype=np.int8)
        longest = max((len(group) for group in plan.watches), default=0)
        # A group is filled up with its first unit, so that all have the same length.
        self.watches = np.array(
            [(*group, *(group[:1] * (longest - len(group)))) for group in plan.watches], dtype=np.int64
        ).reshape(len(plan.watches), longest)
        self.broke = np.zeros((runs, most), dtype=bool)
        self.found, self.begun, self.whole = (np.full((runs, most), np.inf) for _ in range(3))

    def outages(self, horizon_s: float) -> Outages:
        rows = np.arange(len(self.next))
        while True:
            breaks_at = self.drawn.at_s[rows, self.next]
            slot = self.due.argmin(axis=1)
            due_at = self.due[rows, slot]
            breaking = np.flatnonzero(breaks_at < due_at)
            waiting = np.flatnonzero((due_at <= breaks_at) & (due_at < np.inf))
            if not len(breaking) and not len(waiting):
                break
            if len(breaking):
                self._break(breaking)
            if len(waiting):
                self._go_on(waiting, slot[waiting])
        run, column = np.nonzero(self.broke)
        return Outages(
            runs=len(rows),
            horizon_s=horizon_s,
            run=run,
            unit=self.drawn.unit[run, column],
            down_s=self.drawn.at_s[run, column],
            found_s=self.found[run, column],
            begun_s=self.begun[run, column],
            up_s=self.whole[run, column],
        )

    def _break(self, row: Ints) -> None:
        column = self.next[row]
        self.next[row] += 1
        unit, at = self.drawn.unit[row, column], self.drawn.at_s[row, column]
        good: Bools = np.asarray(self.until[row, unit] <= at, dtype=bool)
        row, column, unit, at = row[good], column[good], unit[good], at[good]
        self.broke[row, column] = True
        self.until[row, unit] = np.inf
        found = self._found(row, unit, at)
        self.found[row, column] = found
        alone = ~self.mends[unit] & (self.plan.stock[unit] < 0)
        self._mend(row[alone], column[alone], found[alone])
        self._wait(row[~alone], column[~alone], found[~alone])

    def _found(self, row: Ints, unit: Ints, at: Floats) -> Floats:
        plan = self.plan
        after = plan.found_s[unit]
        if len(self.watches):
            # Asked after the break: what a unit takes with it can't tell of it.
            whole: Bools = np.asarray(
                self.until[row[:, None, None], self.watches] <= at[:, None, None], dtype=bool
            )
            works = np.any(np.all(whole, axis=2), axis=1)
            after = np.where(works, after, plan.unseen_s[unit])
        every = plan.looked_at_s[unit]
        with np.errstate(invalid="ignore"):
            looked_at = np.where(np.isfinite(every), (np.floor(at / every) + 1) * every, np.inf)
        return np.asarray(np.minimum(at + after, looked_at))

    def _wait(self, row: Ints, column: Ints, at: Floats) -> None:
        slot = (self.due[row] == np.inf).argmax(axis=1)
        if (self.due[row, slot] < np.inf).any():
            runs = len(self.due)
            self.due = np.hstack([self.due, np.full((runs, self.due.shape[1]), np.inf)])
            self.candidate = np.hstack([self.candidate, np.zeros_like(self.candidate)])
            self.stage = np.hstack([self.stage, np.zeros_like(self.stage)])
            slot = (self.due[row] == np.inf).argmax(axis=1)
        self.due[row, slot] = at
        self.candidate[row, slot] = column
        self.stage[row, slot] = FOUND

    def _go_on(self, row: Ints, slot: Ints) -> None:
        at, column = self.due[row, slot], self.candidate[row, slot]
        unit = self.drawn.unit[row, column]
        asks = (self.stage[row, slot] == FOUND) & (self.plan.stock[unit] >= 0)
        if asks.any():
            taken = self._take(row[asks], self.plan.stock[unit[asks]], at[asks])
            self.due[row[asks], slot[asks]] = taken
            self.stage[row[asks], slot[asks]] = READY
            ready: Bools = np.asarray(~asks, dtype=bool)
            ready[asks] = taken <= at[asks]
            row, slot, column, unit, at = row[ready], slot[ready], column[ready], unit[ready], at[ready]
        self.due[row, slot] = np.inf
        begun, who = at.copy(), np.full(len(row), -1)
        served = np.flatnonzero(self.mends[unit])
        if len(served):
            begun[served], who[served] = self._serve(row[served], unit[served], at[served])
        work = self._mend(row, column, begun)
        held = np.minimum(work[served], self.plan.held_s[unit[served]])
        self.free[row[served], who[served]] = begun[served] + held

    def _take(self, row: Ints, kind: Ints, at: Floats) -> Floats:
        """When the replacement is there: the first from the shelf or under way; another is ordered now."""
        there = self.stock[row, kind]
        first = there.argmin(axis=1)
        soonest = there[np.arange(len(row)), first]
        arrives = at + self.lead[kind]
        later: Bools = np.asarray(soonest <= arrives, dtype=bool)
        self.stock[row[later], kind[later], first[later]] = arrives[later]
        return np.asarray(np.maximum(np.where(later, soonest, arrives), at))

    def _serve(self, row: Ints, unit: Ints, at: Floats) -> tuple[Floats, Ints]:
        """When the first server who may is there, and which."""
        can = self.plan.can[unit]
        begins = np.full(can.shape, np.inf)
        for number, server in enumerate(self.plan.servers):
            asked = np.maximum(at, self.free[row, number])
            begins[:, number] = server.hours.opens(asked) + server.comes_s
        begins[~can] = np.inf
        who = begins.argmin(axis=1)
        return begins[np.arange(len(row)), who], who

    def _mend(self, row: Ints, column: Ints, begun: Floats) -> Floats:
        """Note a mending that begins; returns how long it takes, seconds."""
        unit, work = self.drawn.unit[row, column], self.drawn.work_s[row, column]
        self.begun[row, column] = begun
        self.whole[row, column] = self.until[row, unit] = begun + work
        return work
