"""How good a placement is found in how many seconds, beside one straightforward model for a constraint solver?

Usage: `python benchmarks/placing.py [BINS ITEMS [SECONDS ...]]`: each way and each time in a process of its own.
`--plain` leaves out the search, `--ours` the plain model. Each answer is held to the slow judge; the exit status
is 1 only where one is wrong.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing as mp
import resource
import time
from multiprocessing.connection import Connection

import numpy as np
from placing_invented import LEVELS, invented

from falsework.engines.placing.cost import broken, costs
from falsework.engines.placing.place import place
from falsework.engines.placing.problem import Impossible, Ints, Problem
from falsework.errors import LimitError

SECONDS = (5.0, 15.0, 30.0)
_MOST_JUDGED = 10**6
"""Losses x items up to which the judge packs each loss anew."""


def _ours(problem: Problem, seconds: float, told: dict[str, float]) -> Ints | None:
    began = time.monotonic()

    def progress(cost: tuple[int, ...], bound: tuple[int, ...], took: float) -> None:
        if cost[0] == bound[0]:
            told.setdefault("aims_met_after", round(time.monotonic() - began, 1))

    found = place(problem, seconds=seconds, progress=progress)
    if isinstance(found, Impossible):
        return None
    told["gap_level"] = next(
        (
            number
            for number, (one, other) in enumerate(zip(found.cost, found.bound, strict=True))
            if one > other
        ),
        len(LEVELS),
    )
    return found.bin_of


def _plain(problem: Problem, seconds: float, told: dict[str, float]) -> Ints | None:
    """Every rule and every loss in one model; level after level, from today's placement."""
    from ortools.sat.python import cp_model

    from falsework.engines.placing.model import Index, build

    until = time.monotonic() + seconds
    asked = build(Index(problem))
    if not broken(problem, problem.start):
        asked.hint(problem.start)
    best = None
    for level, terms in enumerate(asked.terms):
        left = until - time.monotonic()
        if left <= 0.05:
            break
        if not terms:
            continue
        asked.model.minimize(asked.cost(level))
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 2
        solver.parameters.max_time_in_seconds = left
        if solver.solve(asked.model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            break
        best = asked.bin_of(solver.value)
        asked.model.add(asked.cost(level) <= round(solver.objective_value))
        asked.hint(best)
    told["levels_done"] = level
    return best


def _run(way: str, bins: int, items: int, seconds: float, pipe: Connection) -> None:
    problem = invented(bins, items)
    told: dict[str, float] = {}
    began = time.monotonic()
    try:
        bin_of = (_ours if way == "ours" else _plain)(problem, seconds, told)
    except LimitError:
        bin_of = None
    took = time.monotonic() - began
    answer: dict[str, object] = {
        "way": way,
        "bins": bins,
        "items": items,
        "asked": seconds,
        "seconds": round(took, 1),
        "peak_mib": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024,
        **told,
    }
    if bin_of is not None:
        if len(problem.losses) * problem.n_items > _MOST_JUDGED:
            answer["losses"] = "not judged"
            from dataclasses import replace

            problem = replace(problem, losses=())
        answer["cost"] = dict(zip(LEVELS, costs(problem, np.asarray(bin_of)), strict=True))
        answer["wrong"] = broken(problem, bin_of)
    pipe.send(answer)


def main() -> int:
    """Print one JSON object for each way and time; 1 if an answer breaks a rule."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("bins", type=int, nargs="?", default=30)
    parser.add_argument("items", type=int, nargs="?", default=150)
    parser.add_argument("seconds", type=float, nargs="*", default=SECONDS)
    parser.add_argument("--plain", action="store_true")
    parser.add_argument("--ours", action="store_true")
    asked = parser.parse_args()
    wrong = False
    ways = ["plain"] if asked.plain else ["ours"] if asked.ours else ["ours", "plain"]
    for seconds in asked.seconds:
        for way in ways:
            mine, theirs = mp.Pipe(duplex=False)
            process = mp.get_context("spawn").Process(
                target=_run, args=(way, asked.bins, asked.items, seconds, theirs)
            )
            process.start()
            theirs.close()
            try:
                answer = mine.recv()
            except EOFError:
                answer = {"way": way, "asked": seconds, "ended": "without an answer, as when memory is short"}
            process.join()
            print(json.dumps(answer), flush=True)
            wrong = wrong or bool(answer.get("wrong"))
    return int(wrong)


if __name__ == "__main__":
    raise SystemExit(main())
