"""What does the solver find of a model in the time it is given, while somebody may interrupt it?"""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model

_ALONE = 0.4
"""The share of the time for one thread, which gives the same answer every time."""
_LOOK_SECONDS = 0.1
"""How often somebody looks whether there is something to tell."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """What was found.

    Attributes:
        values: of all variables (of which there may be none); None if nothing was found.
        bound: what the goal can't be under; None if there is no goal, or nothing is known.
        impossible: whether it is proved that there is nothing to be found.
        stopped: whether somebody stopped it before its time.
    """

    values: Sequence[int] | None
    bound: int | None
    impossible: bool
    stopped: bool


def solved(
    model: cp_model.CpModel,
    hinted: Sequence[cp_model.IntVar],
    *,
    aims: bool,
    seconds: float,
    workers: int,
    seed: int,
    told: Callable[[int, int], None] | None,
) -> Solved:
    """The best that is found in time: by one thread first, and what that leaves open by several.

    Args:
        model: with its goal and hints; hints are changed.
        hinted: the variables that the second try is begun with.
        aims: whether it has a goal; else anything will do.
        seconds: about how long it may take.
        workers: threads of the second try; none if it is one.
        seed: of the search.
        told: told the best so far and the bound so far, in the caller's thread.
    """
    until = time.monotonic() + seconds
    values: list[int] | None = None
    bound: int | None = None
    for threads, share in ((1, _ALONE), (workers, 1.0)) if workers > 1 else ((1, 1.0),):
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = threads
        solver.parameters.random_seed = seed
        solver.parameters.max_time_in_seconds = max(share * (until - time.monotonic()), 0.02)
        if values is not None:
            model.clear_hints()  # type: ignore[no-untyped-call] # the library says no types here
            for one in hinted:
                model.add_hint(one, values[one.index])
        status, stopped = _run(solver, model, told)
        if status == cp_model.INFEASIBLE:
            return Solved(values=values, bound=bound, impossible=values is None, stopped=False)
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            values = list(solver.response_proto.solution)
        if aims and status != cp_model.UNKNOWN:
            found = round(solver.best_objective_bound)
            bound = found if bound is None else max(bound, found)
        done = status == cp_model.OPTIMAL or (not aims and values is not None)
        if done or stopped or time.monotonic() >= until:
            return Solved(values=values, bound=bound, impossible=False, stopped=stopped)
    return Solved(values=values, bound=bound, impossible=False, stopped=False)


def _run(
    solver: cp_model.CpSolver, model: cp_model.CpModel, told: Callable[[int, int], None] | None
) -> tuple[object, bool]:
    """Solve in a thread of its own, so that this one hears the keyboard and can tell what is going on."""
    news: deque[tuple[int, int]] = deque(maxlen=1)
    done: list[object] = []
    failed: list[Exception] = []
    # The library would take the keyboard's signal itself, and whoever asked would not hear of it.
    solver.parameters.catch_sigint_signal = False
    finished = threading.Event()
    teller = _Teller(news)

    def work() -> None:
        try:
            done.append(solver.solve(model, teller))
        except Exception as error:
            failed.append(error)
        finally:
            finished.set()

    thread = threading.Thread(target=work, daemon=True)
    thread.start()
    # Not `join`: when the keyboard interrupts that, the thread is taken for ended.
    ended = stopped = False
    while not ended:
        try:
            ended = finished.wait(_LOOK_SECONDS)
            if news and told is not None:
                told(*news.pop())
        except KeyboardInterrupt:
            stopped = True
        if stopped:
            solver.stop_search()
    thread.join()
    if failed:
        raise failed[0]
    return done[0], stopped


class _Teller(cp_model.CpSolverSolutionCallback):
    """Leaves the best so far, and the bound, where another thread finds it."""

    def __init__(self, news: deque[tuple[int, int]]) -> None:
        super().__init__()
        self._news = news

    def on_solution_callback(self) -> None:
        self._news.append((round(self.objective_value), round(self.best_objective_bound)))
