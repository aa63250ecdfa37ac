"""Which placement is best, by whatever way the size of the problem allows?

Small problems are solved and proved level by level. Larger ones are searched first; what the search found is then
where the solver begins, for as long as its model fits. What is larger still has the search alone, and sums as bounds.
"""

from __future__ import annotations

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
"""Variables of a model that is solved without a search before it."""
_MOST = 600_000
"""Variables of a model that is solved at all: about 2 GiB."""
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
    bins stays as far below what is wanted of it.
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
    return tuple(bound)


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
        self._best: Placement | None = None

    def run(self) -> Placement | Impossible:
        # The constraint library takes half a second to load; a problem that is only searched does without it.
        from falsework.engines.placing.model import variables

        count = variables(self._problem)
        if count <= _ALONE:
            return self._solved(None)
        solve = count <= _MOST
        stopped = self._searched(self._left() * (_SHARE if solve else 1.0))
        best = self._best
        if best is not None and (stopped or best.proven or not solve or self._left() <= 0):
            return best
        if stopped:
            raise KeyboardInterrupt
        if solve:
            return self._solved(best)
        raise LimitError(
            what=f"no placement was found in {self._seconds:g} s, nor a proof that there is none",
            mend="give it more time, or ask for less",
        )

    def _left(self) -> float:
        return self._seconds - (time.monotonic() - self._began)

    def _searched(self, seconds: float) -> bool:
        """Search, and keep the best; whether somebody stopped it."""
        from falsework.engines.placing.search import Found, Search

        search = Search(self._problem, seconds=seconds, workers=self._workers, seed=self._seed)

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
        bound = tuple(min(pair) for pair in zip(cost, self._least, strict=True))
        self._best = Placement(bin_of=bin_of, cost=cost, bound=bound, seconds=time.monotonic() - self._began)

    def _solved(self, begin: Placement | None) -> Placement | Impossible:
        """Solved from the best of the search, or from the start."""
        from falsework.engines.placing.exact import best

        problem = self._problem
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

        try:
            found = best(
                problem,
                start=start,
                seconds=max(self._left(), 0.1),
                workers=self._workers,
                seed=self._seed,
                progress=told if self._progress is not None else None,
            )
        except (KeyboardInterrupt, LimitError):
            if begin is not None:
                return begin
            raise
        took = time.monotonic() - self._began
        if isinstance(found, Impossible):
            # The search keeps plans that prove a placement; the solver can't have proved that there is none.
            return found if begin is None else begin
        if begin is not None and begin.cost < found.cost:
            found = replace(
                begin, bound=tuple(min(pair) for pair in zip(begin.cost, found.bound, strict=True))
            )
        return replace(found, seconds=took)
