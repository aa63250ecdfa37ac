"""How long does it take to choose drills, and are they the fewest?

Usage: python benchmarks/drilling.py [island|cold|brute|large]...     (default all of them)

island  the choice for the observatory, best of 5; one drill asked about, best of 5
cold    `falsework drills` of the observatory from a cold process, best of 5
brute   smallest covers against every set of sets, on random problems, with the obvious greedy way beside
large   a lab of 1,000 nodes, once, with memory

Prints one JSON object a line, and writes them to results/drilling.json. Fails only if an answer is wrong.
"""

from __future__ import annotations

import datetime
import json
import random
import resource
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from itertools import combinations
from pathlib import Path
from typing import Any

from falsework.analyses.drilling import drills, may_drill, plan_for
from falsework.engines.covering import cover
from falsework.invent import invent
from falsework.lab.read import read_text
from falsework.model.build import build, load
from falsework.support.standing import Standing

ROOT = Path(__file__).resolve().parent.parent
RESULTS = Path(__file__).parent / "results"
ISLAND = ROOT / "examples" / "observatory" / "mended.yaml"
TODAY = datetime.date(2026, 4, 6)


def best(runs: int, work: Callable[[], Any]) -> tuple[float, float, Any]:
    """The least seconds by the clock and of the processor, and what the last run gave."""
    clock, spent, found = [], [], None
    for _ in range(runs):
        start, began = time.perf_counter(), time.process_time()
        found = work()
        clock.append(time.perf_counter() - start)
        spent.append(time.process_time() - began)
    return min(clock), min(spent), found


def island() -> Iterator[dict[str, Any]]:
    """The observatory."""
    lab = load(ISLAND)
    clock, spent, found = best(5, lambda: drills(Standing(lab), TODAY))
    yield {
        "what": "drills of the observatory, from the lab read",
        "seconds": round(clock, 2),
        "processor_s": round(spent, 2),
        "drills": len(found.plans),
        "claims": len(found.claims),
        "fewest": found.optimal,
    }
    standing = Standing(lab, out=["desk-3"])
    planned = Standing(lab)
    plan = plan_for(standing, ["desk-1"])
    clock, spent, may = best(5, lambda: may_drill(standing, plan, planned=planned))
    assert not may.yes
    yield {
        "what": "may desk-1 be drilled with desk-3 out",
        "seconds": round(clock, 2),
        "processor_s": round(spent, 2),
    }


def cold() -> Iterator[dict[str, Any]]:
    """The whole command."""

    def run() -> None:
        done = subprocess.run(
            [sys.executable, "-m", "falsework", "drills", str(ISLAND), "--json"],
            capture_output=True,
            check=False,
        )
        assert done.returncode == 0, done.stderr

    clock, _, _ = best(5, run)
    yield {"what": "falsework drills of the observatory, cold process", "seconds": round(clock, 2)}


def brute() -> Iterator[dict[str, Any]]:
    """Random problems small enough to try every set of sets."""
    drawn = random.Random(7)
    right, greedy, ours_s, all_s = 0, 0, 0.0, 0.0
    for _ in range(200):
        sets = [set(drawn.sample(range(14), drawn.randint(1, 5))) for _ in range(14)]
        costs = [drawn.randint(0, 9) for _ in sets]
        start = time.perf_counter()
        found = cover(sets, costs, workers=1)
        middle = time.perf_counter()
        fewest = _every(sets, costs)
        all_s += time.perf_counter() - middle
        ours_s += middle - start
        assert (len(found.chosen), sum(costs[number] for number in found.chosen)) == fewest
        assert found.fewest
        right += 1
        greedy += len(_greedy(sets)) == fewest[0]
    yield {
        "what": "random covers of 14 elements by 14 sets, fewest and cheapest",
        "right": right,
        "of": 200,
        "seconds": round(ours_s, 2),
        "every_set_s": round(all_s, 2),
        "greedy_as_few": greedy,
    }


def _every(sets: Sequence[set[int]], costs: Sequence[int]) -> tuple[int, int]:
    everything = set().union(*sets)
    for many in range(len(sets) + 1):
        fits = [
            sum(costs[number] for number in some)
            for some in combinations(range(len(sets)), many)
            if set().union(*(sets[number] for number in some)) == everything
        ]
        if fits:
            return many, min(fits)
    raise AssertionError


def _greedy(sets: Sequence[set[int]]) -> list[int]:
    left, found = set().union(*sets), list[int]()
    while left:
        most = max(range(len(sets)), key=lambda number: len(sets[number] & left))
        found.append(most)
        left -= sets[most]
    return found


def large() -> Iterator[dict[str, Any]]:
    """A thousand nodes."""
    lab = build(read_text(invent(1000), "large.yaml"))
    clock, spent, found = best(1, lambda: drills(Standing(lab), TODAY))
    yield {
        "what": "drills of a lab of 1,000 nodes, from the lab read",
        "seconds": round(clock),
        "processor_s": round(spent),
        "drills": len(found.plans),
        "claims": len(found.claims),
        "fewest": found.optimal,
        "peak_mib": round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024),
    }


def main() -> None:
    """Run what is named, or all."""
    asked = sys.argv[1:] or ["island", "cold", "brute", "large"]
    path = RESULTS / "drilling.json"
    kept = json.loads(path.read_text(encoding="utf-8")) if path.exists() else {}
    for name in asked:
        rows = []
        for row in {"island": island, "cold": cold, "brute": brute, "large": large}[name]():
            print(json.dumps(row), flush=True)
            rows.append(row)
        kept[name] = rows
    path.write_text(json.dumps(kept, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
