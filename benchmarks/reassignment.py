"""How good a placement of a published machine reassignment instance is found in the time it is given?

Usage: `python benchmarks/reassignment.py --seconds 300 MODEL ASSIGNMENT --out FILE`, where MODEL may be gzipped.
It writes the solution in the published form and prints one JSON object. The seconds are all seconds, reading and
the independent check included; whatever happens, what is written breaks no rule that the start does not break.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import signal
import sys
import threading
import time
from pathlib import Path
from types import FrameType
from typing import NoReturn

_BEGUN = time.monotonic()
sys.path.insert(0, str(Path(__file__).parents[1]))

import numpy as np  # noqa: E402 - after the clock
from benchmarks.reassignment_check import Statement  # noqa: E402
from benchmarks.reassignment_model import Malformed, assignment, problem, text_of, written  # noqa: E402

from falsework.engines.placing.problem import Ints, Problem  # noqa: E402

_LEAST_SPARE = 0.3
"""Seconds for writing and going, besides what the check takes."""


class _Interrupted(Exception):
    """Somebody wants the answer now."""


def main() -> int:
    """Read, search, check, write, tell; the exit status is 0, or 2 where the files can't be read."""
    arguments = _arguments()
    signal.signal(signal.SIGTERM, _interrupt)
    signal.signal(signal.SIGINT, _interrupt)
    try:
        started = assignment(text_of(arguments.assignment))
    except (OSError, EOFError, Malformed) as error:
        print(f"reassignment: {error}", file=sys.stderr)
        return 2
    best, judge = started, None
    try:
        # The start is an answer, if a poor one: from here on there is always something to write.
        _write(arguments.out, started)
        model = text_of(arguments.model)
        made = problem(model, started)
        before_reading = time.monotonic()
        judge = Statement(model)
        first = judge.judge(started, started)
        took = time.monotonic() - before_reading
        spare = _LEAST_SPARE + 2 * took
        best = _searched(made, arguments.seconds - spare - (time.monotonic() - _BEGUN), arguments.workers)
    except (OSError, EOFError, Malformed) as error:
        print(f"reassignment: {error}", file=sys.stderr)
        return 2
    except _Interrupted:
        if judge is None:
            print(
                "reassignment: interrupted before the model was read; the start is written", file=sys.stderr
            )
            return 2
        best = _BEST.get("best", started)
    signal.signal(signal.SIGTERM, signal.SIG_IGN)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    first, verdict = judge.judge(started, started), judge.judge(started, best)
    if verdict.broken or verdict.cost.total > first.cost.total:
        best, verdict = started, first
    _write(arguments.out, best)
    told = {
        "instance": arguments.model.name.removeprefix("model_").removesuffix(".gz").removesuffix(".txt"),
        "start_cost": first.cost.total,
        "cost": verdict.cost.total,
        "feasible": not verdict.broken,
        "seconds": round(time.monotonic() - _BEGUN, 2),
        "peak_mib": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024,
    }
    print(json.dumps(told))
    return 0


_BEST: dict[str, Ints] = {}
"""The best so far, for whoever is interrupted."""


def _searched(made: Problem, seconds: float, workers: int) -> Ints:
    """The best placement that a search finds in so many seconds."""
    if seconds <= 0 or made.n_items == 0:
        return made.start
    until = time.monotonic() + seconds
    ready = threading.Event()

    def search() -> None:
        from falsework.engines.placing.search import Search

        _BEST["best"] = made.start
        running = Search(made, seconds=until - time.monotonic(), workers=workers)
        running.wait(lambda found: _BEST.update(best=found.bin_of) if not found.broken else None)
        running.stop(patience=0.2)
        if running.best is not None and not running.best.broken:
            _BEST["best"] = running.best.bin_of
        ready.set()

    # In a thread of its own, for loading a compiled function can't be broken off, and the time may be over before.
    threading.Thread(target=search, daemon=True).start()
    ready.wait(max(0.0, until - time.monotonic()) + 0.2)
    return _BEST.get("best", made.start)


def _write(path: Path, bin_of: Ints) -> None:
    """Whole or not at all."""
    part = path.with_name(path.name + ".part")
    part.write_text(written(np.asarray(bin_of)), encoding="ascii")
    part.replace(path)


def _interrupt(number: int, frame: FrameType | None) -> NoReturn:
    raise _Interrupted


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("model", type=Path)
    parser.add_argument("assignment", type=Path)
    parser.add_argument("--out", type=Path, required=True, help="where the solution is written")
    parser.add_argument("--seconds", type=float, default=300.0, help="all in all; 300 by default")
    parser.add_argument("--workers", type=int, default=2, help="threads that search; 2 by default")
    return parser.parse_args()


if __name__ == "__main__":
    status = main()
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(status)  # a thread that still compiles must not keep anybody waiting
