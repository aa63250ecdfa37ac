"""Which placement is best, by whatever way the size of the problem allows?

Small problems are solved and proved level by level. What the solver leaves open is searched, and what the search
found is where the solver begins again. Where its model would not fit, there is the search alone, with sums as bounds.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from falsework.engines.placing.cost import broken, costs
from falsework.engines.placing.problem import HARD, Impossible, Ints, Placement, Problem
from falsework.errors import LimitError

Progress = Callable[[tuple[int, ...], tuple[int, ...], float], None]
"""Told the best cost by level so far, the bound by level, and the seconds since the beginning."""

_ALONE = 20_000
"""Variables, those for losses included, of a model that is solved without a search."""
_FIRST = 100_000
"""Variables, losses apart, of a model that is solved before the search: losses come into it as they matter."""
_MOST = 600_000
"""Variables, losses apart, of a model that is solved at all: about 2 GiB."""
_WARM_SECONDS = 3.0
"""Once the solver takes longer than this, the loops of the search are made ready beside it."""
_FIRST_SHARE = 0.3
"""The share of the time that the solver gets before the search."""
_MOST_JUDGED = 5_000_000
"""Losses x items up to which losses with homeless items are packed anew by the judge."""
_SHARE = 0.5
"""The share of the time that the search gets where the solver goes on from what it found."""


def place(
    problem: Problem,
    *,
    seconds: float,
    workers: int = 2,
    seed: int = 0,
    progress: Progress | None = None,
) -> Placement | Impossible:
    """The best placement that is found in time, and what none can be under.

    Args:
        problem: what is to be placed.
        seconds: about how long it may take.
        workers: threads.
        seed: of what is drawn by chance.
        progress: told now and then, in the caller's thread.

    Returns:
        A placement that keeps every hard rule, or why there is none. Stopped by the keyboard: the best so far.

    Raises:
        LimitError: neither a placement was found in time, nor a proof that there is none.
    """
    return _Placing(problem, seconds, workers, seed, progress).run()


def least(problem: Problem) -> tuple[int, ...]:
    """By level, what no placement can be under, by sums over all bins.

    All use together stays above what is comfortable in all bins together, and what is free of one resource in all
    bins stays as far below what is wanted of it. What one item alone breaks, it breaks in the best of its bins too.
    """
    bound = [0] * len(problem.levels)
    use = problem.size.sum(axis=0)
    for comfort in problem.comfort:
        over = np.maximum(use - comfort.upto.sum(axis=0), 0)
        bound[comfort.level] += int((over * comfort.weight).sum())
    free = problem.capacity.sum(axis=0) - use
    for balance in problem.balance:
        short = balance.target * int(free[balance.resource]) - int(free[balance.against])
        bound[balance.level] += balance.weight * max(0, short)
    for (item, level), weights in _alone(problem).items():
        allowed = weights if problem.allowed is None else weights[problem.allowed[item]]
        bound[level] += int(allowed.min(initial=int(weights.max(initial=0))))
    return tuple(bound)


def _alone(problem: Problem) -> dict[tuple[int, int], Ints]:
    """By item and level, what the item costs in each bin by rules that speak of nobody else."""
    found: dict[tuple[int, int], Ints] = {}
    for rule in problem.at_most:
        if rule.level == HARD or rule.most != 0 or len(set(rule.items)) != 1:
            continue
        weights = found.setdefault((rule.items[0], rule.level), np.zeros(problem.n_bins, dtype=np.int64))
        weights[sorted(set(rule.bins))] += rule.weight
    return found


class _Placing:
    def __init__(
        self, problem: Problem, seconds: float, workers: int, seed: int, progress: Progress | None
    ) -> None:
        self._problem = problem
        self._began = time.monotonic()
        self._seconds = seconds
        self._workers = workers
        self._seed = seed
        self._progress = progress
        self._least = least(problem)
        self._proved = self._least
        self._stopped = False  # by the keyboard, while the solver ran
        self._best: Placement | None = None

    def run(self) -> Placement | Impossible:
        try:
            return self._run()
        except KeyboardInterrupt:  # between two stages, where nobody else hears it
            if self._best is None:
                raise
            return self._best

    def _run(self) -> Placement | Impossible:
        # The constraint library takes half a second to load; a problem that is only searched does without it.
        from falsework.engines.placing.model import variables

        if variables(self._problem) <= _ALONE:
            return self._solved(self._left())
        count = variables(replace(self._problem, losses=()))
        if count <= _FIRST:
            given = _FIRST_SHARE * self._left()
            warm = threading.Timer(_WARM_SECONDS, self._ready)
            warm.daemon = True
            warm.start()
            try:
                first = self._solved(given)
            except LimitError:
                pass
            else:
                if isinstance(first, Impossible) or first.proven or self._stopped:
                    warm.cancel()
                    return first
        stopped = self._searched(self._left() * (_SHARE if count <= _MOST else 1.0))
        best = self._best
        if best is not None and (stopped or best.proven or count > _MOST or self._left() <= 0):
            return best
        if stopped:
            raise KeyboardInterrupt
        if count <= _MOST:
            return self._solved(self._left())
        from falsework.engines.placing.exact import nothing_in

        raise nothing_in(self._seconds)

    def _ready(self) -> None:
        from falsework.engines.placing.search import ready

        ready(self._problem)

    def _left(self) -> float:
        return self._seconds - (time.monotonic() - self._began)

    def _searched(self, seconds: float) -> bool:
        """Search, and keep the best; whether somebody stopped it."""
        from falsework.engines.placing.search import Found, Search

        search = Search(
            self._problem,
            seconds=seconds,
            workers=self._workers,
            seed=self._seed,
            begin=None if self._best is None else self._best.bin_of,
        )

        def told(found: Found) -> None:
            if found.broken == 0:
                if self._progress is not None:
                    self._progress(found.cost, self._least, time.monotonic() - self._began)
                if found.cost == self._least:
                    search.stop()

        stopped = False
        try:
            search.wait(told)
        except KeyboardInterrupt:
            stopped = True
        search.stop()
        found = search.best
        if found is not None and found.broken == 0:
            cost = found.cost
            problem = self._problem
            doubtful = any(loss.level != HARD and cost[loss.level] > 0 for loss in problem.losses)
            if doubtful and len(problem.losses) * problem.n_items <= _MOST_JUDGED:
                cost = min(cost, costs(problem, found.bin_of))
            self._keep(found.bin_of, cost)
        return stopped

    def _keep(self, bin_of: Ints, cost: tuple[int, ...]) -> None:
        """Keep a placement if it is better; what was proved before holds on."""
        if self._best is None or cost < self._best.cost:
            self._best = Placement(
                bin_of=bin_of, cost=cost, bound=self._under(cost), seconds=time.monotonic() - self._began
            )

    def _under(self, cost: tuple[int, ...]) -> tuple[int, ...]:
        """Bounds that hold for a cost: up to the first level that is not proven; then sums."""
        bound = []
        same = True
        for one, proved, summed in zip(cost, self._proved, self._least, strict=True):
            bound.append(min(one, max(proved, summed) if same else summed))
            same = same and bound[-1] == one
        return tuple(bound)

    def _solved(self, seconds: float) -> Placement | Impossible:
        """Solved from the best so far, or from the start."""
        from falsework.engines.placing.exact import refused, whole

        problem, begin = self._problem, self._best
        start: Ints | None = begin.bin_of if begin is not None else problem.start
        if begin is None and broken(problem, problem.start):
            start = None
        levels = {name: number for number, name in enumerate(problem.levels)}
        bounds = list(self._least)
        cost = list(begin.cost) if begin is not None else None

        def told(level: str, value: int, bound: int) -> None:
            nonlocal cost
            at = levels[level]
            bounds[at] = max(bounds[at], bound)
            if cost is None:
                cost = [value if number == at else 0 for number in range(len(bounds))]
            cost[at] = value
            if self._progress is not None:
                self._progress(tuple(cost), tuple(bounds), time.monotonic() - self._began)

        found = whole(
            problem,
            start=start,
            seconds=max(seconds, 0.1),
            workers=self._workers,
            seed=self._seed,
            progress=told if self._progress is not None else None,
        )
        self._stopped = found.stopped
        if found.bin_of is None:
            # A placement that keeps every rule is proof enough; the solver can't have proved that there is none.
            if begin is not None:
                return begin
            return refused(problem, found, seconds=self._seconds, left=self._left())
        if begin is None or found.cost < begin.cost:
            self._best = Placement(bin_of=found.bin_of, cost=found.cost, bound=found.bound, seconds=0.0)
        else:
            # Of two that cost the same the first is kept, with whatever was proved since.
            bound = found.bound if found.cost == begin.cost else begin.bound
            self._best = replace(begin, bound=tuple(map(max, bound, begin.bound)))
        self._proved = self._best.bound
        self._best = replace(self._best, seconds=time.monotonic() - self._began)
        return self._best
