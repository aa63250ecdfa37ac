"""Which placement is the best of all, level by level, found and proved by constraint programming?

The library loads in half a second and only when this file is imported.
"""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from ortools.sat.python import cp_model

from falsework.engines.placing.cost import broken, costs
from falsework.engines.placing.model import Index, Literal, Model, build
from falsework.engines.placing.problem import Impossible, Ints, Placement, Problem
from falsework.errors import LimitError

Progress = Callable[[str, int, int], None]
"""Told the level that is worked on, its best cost so far and the bound so far."""
_ALONE = 0.4
"""The share of a level's time for one thread, which gives the same placement every time."""
_LOOK_SECONDS = 0.1
"""How often somebody looks whether there is something to tell."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Found:
    """What solving a model brought.

    Attributes:
        bin_of: the best placement, or None if none was found.
        bound: by level, as in `Placement`.
        impossible: whether it is proved that there is none.
        stopped: whether somebody stopped it before its time.
    """

    bin_of: Ints | None
    bound: tuple[int, ...]
    impossible: bool = False
    stopped: bool = False


def best(
    problem: Problem,
    *,
    start: Ints | None = None,
    seconds: float,
    workers: int = 2,
    seed: int = 0,
    progress: Progress | None = None,
) -> Placement | Impossible:
    """The best placement that is found in time, with what is proved of it.

    Args:
        problem: what is asked.
        start: a placement to begin with; it need not be good, nor keep every rule.
        seconds: about how long it may take.
        workers: threads for what one thread leaves open.
        seed: of the search.
        progress: told what is going on.

    Returns:
        A placement that keeps every hard rule. Stopped by the keyboard, the best so far. If there is none, why not.

    Raises:
        LimitError: neither a placement was found in time nor a proof that there is none.

    Cost:
        Exponential at worst. Variables: items x bins, and again for every loss.
    """
    began = time.monotonic()
    found = solve(
        build(Index(problem)),
        start=start,
        seconds=seconds,
        workers=workers,
        seed=seed,
        progress=progress,
        judged=True,
    )
    if found.impossible:
        from falsework.engines.placing.why_not import why_not

        left = max(1.0, seconds - (time.monotonic() - began))
        return why_not(problem, seconds=left) or Impossible(because=(), smallest=False)
    if found.bin_of is None:
        if found.stopped:
            raise KeyboardInterrupt
        raise LimitError(
            what=f"no placement was found in {seconds:g} s, nor a proof that there is none",
            mend="give it more time, or ask for less",
        )
    return settled(problem, found, time.monotonic() - began)


def settled(problem: Problem, found: Found, seconds: float) -> Placement:
    """A placement with what it costs; bounds are never above that."""
    assert found.bin_of is not None
    cost = costs(problem, found.bin_of)
    bound = tuple(min(pair) for pair in zip(cost, found.bound, strict=True))
    return Placement(bin_of=found.bin_of, cost=cost, bound=bound, seconds=seconds)


def solve(
    asked: Model,
    *,
    start: Ints | None = None,
    seconds: float,
    workers: int = 1,
    seed: int = 0,
    progress: Progress | None = None,
    judged: bool = False,
) -> Found:
    """Make level after level as small as can be, each as small as it was made from then on.

    Args:
        asked: the model; it is changed.
        start: where to begin.
        seconds: for all levels.
        workers: threads for what one thread leaves open.
        seed: of the search.
        progress: told what is going on.
        judged: whether the model is of a whole problem, so that the judge's costs are its costs.

    Returns:
        With levels of an incomplete model as the model counts them.
    """
    return _Solving(asked, time.monotonic() + seconds, workers, seed, progress, judged).run(start)


class _Solving:
    def __init__(
        self, asked: Model, until: float, workers: int, seed: int, progress: Progress | None, judged: bool
    ) -> None:
        self.asked = asked
        self.until = until
        self.workers = workers
        self.seed = seed
        self.progress = progress
        self.judged = judged
        self.values: Sequence[int] = ()  # of all variables in the best so far
        self.found = Found(bin_of=None, bound=tuple(asked.sure))

    def run(self, start: Ints | None) -> Found:
        asked = self.asked
        if asked.impossible:
            return replace(self.found, impossible=True)
        if start is not None:
            asked.hint(start)
            if self.judged and not broken(asked.problem, start):
                self.found = replace(self.found, bin_of=start)
        # The first level that costs is solved with the question whether anything is possible at all.
        levels: list[int | None] = [level for level, terms in enumerate(asked.terms) if terms]
        for place, level in enumerate(levels or [None]):
            last = place >= len(levels) - 1
            if level is not None and self._value(level) == asked.sure[level]:
                asked.model.add(asked.cost(level) <= asked.sure[level])
                continue
            left = self.until - time.monotonic()
            if left <= 0 and self.found.bin_of is not None:
                break
            self._level(level, max(left, 0.05) if last else max(0.5 * left, 0.05))
            if self.found.impossible or self.found.stopped or self.found.bin_of is None:
                break
            if level is not None:
                value = self._value(level)
                assert value is not None
                asked.model.add(asked.cost(level) <= value)
        return self.found

    def _value(self, level: int) -> int | None:
        """What the best so far costs at a level; None if there is none."""
        if self.found.bin_of is None:
            return None
        counted = None
        if self.values:
            counted = self.asked.sure[level] + sum(
                much * self.values[one.index] for one, much in self.asked.terms[level]
            )
        if not self.judged:
            return counted
        # The solver may pay more than it must at levels that it does not look at yet; the judge may find fewer
        # places after a loss than there are. Both are right from above.
        cost = costs(self.asked.problem, self.found.bin_of)[level]
        return cost if counted is None else min(cost, counted)

    def _level(self, level: int | None, seconds: float) -> None:
        asked = self.asked
        if level is not None:
            asked.model.minimize(asked.cost(level))
            value = self._value(level)
            if value is not None:
                asked.model.add(asked.cost(level) <= value)
        if self.values:
            asked.model.clear_hints()  # type: ignore[no-untyped-call] # the library says no types here
            for one in asked.hinted:
                asked.model.add_hint(one, self.values[one.index])
        until = time.monotonic() + seconds
        rounds = ((1, _ALONE), (self.workers, 1.0)) if self.workers > 1 else ((1, 1.0),)
        for threads, share in rounds:
            solver = cp_model.CpSolver()
            solver.parameters.num_workers = threads
            solver.parameters.random_seed = self.seed
            solver.parameters.max_time_in_seconds = max(share * (until - time.monotonic()), 0.02)
            status = self._solved(solver, level)
            if status == cp_model.INFEASIBLE:
                self.found = replace(self.found, impossible=self.found.bin_of is None)
                return
            if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
                self._take(solver)
            if level is not None and status != cp_model.UNKNOWN:
                self._bound(level, round(solver.best_objective_bound))
            done = status == cp_model.OPTIMAL or (level is None and status == cp_model.FEASIBLE)
            if done or self.found.stopped or time.monotonic() >= until:
                return
            if self.values:
                asked.model.clear_hints()  # type: ignore[no-untyped-call] # as above
                for one in asked.hinted:
                    asked.model.add_hint(one, self.values[one.index])

    def _take(self, solver: cp_model.CpSolver) -> None:
        self.values = list(solver.response_proto.solution)

        def value(one: Literal) -> int:
            return self.values[one.index]

        self.found = replace(self.found, bin_of=self.asked.bin_of(value))

    def _bound(self, level: int, bound: int) -> None:
        bounds = list(self.found.bound)
        bounds[level] = max(bounds[level], bound)
        self.found = replace(self.found, bound=tuple(bounds))

    def _solved(self, solver: cp_model.CpSolver, level: int | None) -> object:
        """Solve in a thread of its own, so that this one hears the keyboard and can tell what is going on."""
        told: deque[tuple[int, int]] = deque(maxlen=1)
        done: list[object] = []
        failed: list[Exception] = []
        # The library would take the keyboard's signal itself, and whoever asked would not hear of it.
        solver.parameters.catch_sigint_signal = False
        finished = threading.Event()
        teller = _Teller(told)

        def work() -> None:
            try:
                done.append(solver.solve(self.asked.model, teller))
            except Exception as error:
                failed.append(error)
            finally:
                finished.set()

        thread = threading.Thread(target=work, daemon=True)
        thread.start()
        # Not `join`: when the keyboard interrupts that, the thread is taken for ended.
        ended = False
        while not ended:
            try:
                ended = finished.wait(_LOOK_SECONDS)
                if told and self.progress is not None and level is not None:
                    self.progress(self.asked.problem.levels[level], *told.pop())
            except KeyboardInterrupt:
                self.found = replace(self.found, stopped=True)
            if self.found.stopped:
                solver.stop_search()
        thread.join()
        if failed:
            raise failed[0]
        return done[0]


class _Teller(cp_model.CpSolverSolutionCallback):
    """Leaves the best so far, and the bound, where another thread finds it."""

    def __init__(self, told: deque[tuple[int, int]]) -> None:
        super().__init__()
        self._told = told

    def on_solution_callback(self) -> None:
        self._told.append((round(self.objective_value), round(self.best_objective_bound)))
