"""Which good placement does a search for size find in the time it is given?

Several searches anneal side by side, at different heats; half-way all go on from the best of them. Items are drawn
home where a moved item counts twice: a step that gains little must not take the room that one which gains much needs.

Source:
    As `kernel.py`. The draw is our own; it is a price on the scarce resource, as a Lagrange multiplier is (M. L. Fisher
    1981, The Lagrangian relaxation method for solving integer programming problems, Management Science 27, 1-18).
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from falsework.engines.placing import kernel
from falsework.engines.placing.flat import Array, Flat, State, flat, state
from falsework.engines.placing.losses import Safe, safety
from falsework.engines.placing.problem import Ints, Problem
from falsework.engines.placing.start import start

_CHUNK_SECONDS = 0.04
"""How long a search runs before it looks at the clock."""
_STILL = 0.9
"""The share of the second half after which nothing worse is taken."""
_COMPILING = threading.Lock()
"""The compiler does not bear two threads that ask for the same function."""
_LOOK_SECONDS = 0.1
"""How often somebody looks whether a better one was found."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """How one search cools; heats are in units of what a step changes on average.

    Attributes:
        hot: at first.
        cold: at last.
        again: where it is heated up to for the second half.
        pull: how strongly items are drawn home at first, as a share of what they could save where they count twice.
        last_pull: the same half-way; nothing draws them at last.
        swaps, relays, homing: see `kernel.Heat`.
    """

    hot: float = 5.0
    cold: float = 0.02
    again: float = 1.0
    pull: float = 1.0
    last_pull: float = 0.1
    swaps: float = 0.35
    relays: float = 0.5
    homing: float = 0.5


PLANS = (Plan(), Plan(hot=17.0, cold=0.1, again=2.0, pull=0.1))
"""One suits many small items, the other few large ones; no rule was found that tells beforehand."""
HALF = 0.7
"""The share of the time after which all go on from the best."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Found:
    """The best placement of a search.

    Attributes:
        bin_of: (n_items,).
        broken: 0 where every rule holds that the search knows.
        cost: by level, as the search counts it; where it knows no place for an item after a loss, a cleverer
            packing might know one.
    """

    bin_of: Ints
    broken: int
    cost: tuple[int, ...]


def ready(problem: Problem) -> None:
    """Load or compile the loops for a problem, which takes up to a minute the first time on a machine."""
    data = flat(problem)
    own, safe = state(data, start(problem)), safety(problem, data)
    felt = np.zeros((data.n_levels, 2))
    with _COMPILING:
        kernel.recount(data, own, safe)
        kernel.anneal(
            data, own, safe, kernel.work(data), _still(data), own.bin_of.copy(), own.cost.copy(), 0, felt
        )


class Search:
    """A search that runs in threads of its own until it is told to stop.

    The compiled loops let other threads run. Whatever happens to them, `best` is at any time the best so far.
    """

    def __init__(
        self,
        problem: Problem,
        *,
        seconds: float,
        workers: int = 2,
        seed: int = 0,
        plans: tuple[Plan, ...] = PLANS,
        begin: Ints | None = None,
    ) -> None:
        """Begin.

        Args:
            problem: what is to be placed.
            seconds: how long it will be let run; it cools by that.
            workers: searches side by side.
            seed: for their chances; how many steps they get depends on the machine all the same.
            plans: how they cool, in turn.
            begin: (n_items,) where to begin, else at the start, with items that are nowhere put somewhere.
        """
        self._problem = problem
        self._begun = time.monotonic()
        self._seconds = seconds
        self._lock = threading.Lock()
        self._over = threading.Event()
        self._bin_of = np.array(start(problem) if begin is None else begin, dtype=np.int64)
        self._cost: tuple[int, ...] | None = None
        self._failed: BaseException | None = None
        self._data = flat(problem)
        self._half = threading.Barrier(workers)
        # They end by themselves soon after `stop`; as daemons they keep nobody waiting who has to leave at once.
        self._threads = [
            threading.Thread(
                target=self._guarded, args=(seed + number, plans[number % len(plans)]), daemon=True
            )
            for number in range(workers)
        ]
        for thread in self._threads:
            thread.start()

    def wait(self, progress: Callable[[Found], None] | None = None) -> None:
        """Wait until the time is over.

        Args:
            progress: called with each best found, now and then, in the caller's thread.
        """
        told: tuple[int, ...] | None = None
        while any(thread.is_alive() for thread in self._threads) and not self._over.is_set():
            left = self._begun + self._seconds - time.monotonic()
            if left <= 0:
                break
            self._over.wait(min(left, _LOOK_SECONDS))
            found = self.best
            if progress is not None and found is not None and (found.broken, *found.cost) != told:
                told = (found.broken, *found.cost)
                progress(found)

    def stop(self, patience: float = 5.0) -> None:
        """Stop, and wait at most so many seconds until all have."""
        self._over.set()
        self._half.abort()
        until = time.monotonic() + patience
        for thread in self._threads:
            thread.join(max(0.0, until - time.monotonic()))
        if self._failed is not None:
            raise self._failed

    @property
    def best(self) -> Found | None:
        """The best so far; None before the first is counted."""
        with self._lock:
            if self._cost is None:
                return None
            return Found(bin_of=self._bin_of.copy(), broken=self._cost[0], cost=self._cost[1:])

    def _guarded(self, seed: int, plan: Plan) -> None:
        try:
            self._run(seed, plan)
        except threading.BrokenBarrierError:
            pass
        except BaseException as error:
            self._failed = error
            self._over.set()

    def _share(self) -> float:
        return (time.monotonic() - self._begun) / self._seconds

    def _run(self, seed: int, plan: Plan) -> None:
        data = self._data
        own = state(data, self._bin_of)
        safe = safety(self._problem, data)
        with _COMPILING:
            kernel.recount(data, own, safe)
            self._tell(own.bin_of, own.cost)
            kernel.seed(seed)
            unit = _unit(self._problem, data, own)
        runner = _Runner(data, own, safe, plan, unit, _pull(self._problem), _pulled(self._problem))
        # The clock of the cooling starts now: what came before, reading and compiling, is no part of it.
        first = min(0.9, self._share())
        half = first + (1 - first) * HALF
        for until, again in ((half, False), (1.0, True)):
            since = first if not again else half
            while not self._over.is_set():
                share = (self._share() - since) / (until - since)
                if share >= 1:
                    break
                if runner.run(share, again=again):
                    self._tell(runner.best, runner.best_cost)
            if not again:
                self._half.wait()
                with self._lock:
                    runner.begin(self._bin_of)

    def _tell(self, bin_of: Array, cost: Array) -> None:
        told = tuple(int(one) for one in cost)
        with self._lock:
            if self._cost is None or told < self._cost:
                self._cost = told
                self._bin_of = bin_of.copy()


class _Runner:
    """One search, at whatever heat its plan has for the time."""

    def __init__(
        self, data: Flat, own: State, safe: Safe | None, plan: Plan, unit: Array, pull: Array, pulled: int
    ) -> None:
        self._data, self._own, self._safe = data, own, safe
        self._plan, self._unit = plan, unit
        self._pull, self._pulled = pull, pulled
        self._work = kernel.work(data)
        self._steps = 2_000
        self._felt = np.zeros((data.n_levels, 2))
        self.best, self.best_cost = own.bin_of.copy(), own.cost.copy()
        self._cooled = 0

    def begin(self, bin_of: Ints) -> None:
        """Go on from another placement."""
        self._own.bin_of[:] = bin_of
        kernel.recount(self._data, self._own, self._safe)
        if kernel.less(self._own.cost, self.best_cost):
            self.best[:], self.best_cost[:] = bin_of, self._own.cost

    def run(self, share: float, *, again: bool) -> bool:
        """Run for a moment; whether that found a better one."""
        plan = self._plan
        temperature, cooled = self._temperature(share, again=again)
        if cooled > self._cooled:
            self.begin(self.best)  # a level that is settled is kept at its best
        self._cooled = cooled
        pull = plan.last_pull * max(0.0, 1 - share / _STILL)
        if not again:
            pull = plan.pull + (plan.last_pull - plan.pull) * share
        heat = kernel.Heat(temperature, self._pulled, self._pull * pull, plan.swaps, plan.relays, plan.homing)
        before = tuple(self.best_cost.tolist())
        began = time.monotonic()
        kernel.anneal(
            self._data,
            self._own,
            self._safe,
            self._work,
            heat,
            self.best,
            self.best_cost,
            self._steps,
            self._felt,
        )
        took = max(time.monotonic() - began, 1e-6)
        self._steps = int(min(max(self._steps * min(2.0, _CHUNK_SECONDS / took), 50), 10_000_000))
        return tuple(self.best_cost.tolist()) != before

    def _temperature(self, share: float, *, again: bool) -> tuple[Array, int]:
        """By level; the earlier levels cool first, each to nothing, so that the later ones find them settled."""
        plan, n_levels = self._plan, self._data.n_levels
        temperature = np.zeros(n_levels)
        hot = plan.again if again else plan.hot
        cooled = 0
        for level in range(n_levels):
            until = 0.3 if level == 0 else level / (n_levels - 1)
            if again:
                until *= _STILL
            if share >= until or (level == 0 and self._own.cost[0] == 0):
                cooled += 1
                continue
            at = share / until
            temperature[level] = self._unit[level] * hot * (plan.cold / hot) ** at
        return temperature, cooled


def _unit(problem: Problem, data: Flat, own: State) -> Array:
    """By level, what a step changes on average, from a walk at random that is forgotten."""
    walk = state(data, own.bin_of)
    safe = safety(problem, data)
    kernel.recount(data, walk, safe)
    felt = np.zeros((data.n_levels, 2))
    heat = _still(data)._replace(temperature=np.full(data.n_levels, 1e300))
    steps = min(20 * data.size.shape[0], 100_000)
    kernel.anneal(
        data, walk, safe, kernel.work(data), heat, walk.bin_of.copy(), walk.cost.copy(), steps, felt
    )
    return np.asarray(felt[:, 0] / np.maximum(felt[:, 1], 1))


def _still(data: Flat) -> kernel.Heat:
    """No heat: nothing worse is taken."""
    return kernel.Heat(np.zeros(data.n_levels), 0, np.zeros(data.size.shape[0]), 0.0, 0.0, 0.0)


def _pull(problem: Problem) -> Array:
    """(n_items,): what an item could save by comfort in the resources that count twice."""
    total = np.zeros(problem.n_items)
    for comfort in problem.comfort:
        total += (problem.size * comfort.weight * problem.twice).sum(axis=1)
    return total


def _pulled(problem: Problem) -> int:
    """The level, counted from 1, at which items are drawn home: the first with comfort; else none."""
    return min((comfort.level for comfort in problem.comfort), default=-2) + 1
