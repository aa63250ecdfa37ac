"""How long do the odds take: cold, and against a diagram for each service and against trying every state?

Usage: python benchmarks/odds.py

Prints a table. Cold figures are whole processes, median of five; the others the best of three in one process.
"Every state" is the obvious alternative: the same gates asked bit-parallel about all sets of up to k parts out.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from itertools import combinations, islice
from pathlib import Path

from falsework.analyses.odds.odds import odds
from falsework.analyses.odds.solved import stopping
from falsework.invent import invent
from falsework.lab.read import read_text
from falsework.model.build import build, load
from falsework.support.standing import Standing

ROOT = Path(__file__).parents[1]
OBSERVATORY = ROOT / "examples" / "observatory" / "mended.yaml"
COLD, BEST = 5, 3
CHUNK = 1 << 16


def main() -> None:
    """Measure, and print."""
    print("what, seconds")
    print(f"odds of the observatory, a whole process, {cold():.2f}")
    standing = Standing(load(OBSERVATORY))
    services = standing.support.services
    shared = best(lambda: stopping(standing, services))
    alone = best(lambda: [stopping(standing, (service,)) for service in services])
    print(f"diagrams of all {len(services)} services together, {shared:.2f}")
    print(f"diagrams of each service alone, {alone:.2f}")
    for k in (2, 3):
        seconds, share = every_state(standing, k)
        print(f"every set of up to {k} of {len(standing.parts)} parts ({share}), {seconds:.2f}")
    for nodes in (10, 30):
        lab(nodes)


def cold() -> float:
    """The whole process, seconds."""
    command = [sys.executable, "-m", "falsework", "odds", str(OBSERVATORY)]
    found = []
    for _ in range(COLD):
        started = time.perf_counter()
        subprocess.run(command, check=False, stdout=subprocess.DEVNULL)
        found.append(time.perf_counter() - started)
    return statistics.median(found)


def best(work) -> float:  # noqa: ANN001
    """The shortest of a few runs, seconds."""
    found = []
    for _ in range(BEST):
        started = time.perf_counter()
        work()
        found.append(time.perf_counter() - started)
    return min(found)


def every_state(standing: Standing, k: int) -> tuple[float, str]:
    """Ask about every set of up to k parts; or as many as fit in a minute, and the whole by proportion."""
    sets = (each for size in range(k + 1) for each in combinations(standing.parts, size))
    n = len(standing.parts)
    whole = sum(_choose(n, size) for size in range(k + 1))
    done, started = 0, time.perf_counter()
    while (some := list(islice(sets, CHUNK))) and time.perf_counter() - started < 60:
        standing.service_rows(some)
        done += len(some)
    spent = time.perf_counter() - started
    return (
        spent * whole / done,
        "all asked" if done == whole else f"{done / whole:.0%} asked, the rest by proportion",
    )


def _choose(n: int, k: int) -> int:
    found = 1
    for i in range(k):
        found = found * (n - i) // (i + 1)
    return found


def lab(nodes: int) -> None:
    """An invented lab: how many services are exact, and how wide the bounds of the others are."""
    standing = Standing(build(read_text(invent(nodes), "invented.yaml")))
    started = time.perf_counter()
    found = odds(standing)
    spent = time.perf_counter() - started
    exact = sum(each.exact for each in found.services)
    gaps = [each.out_upper / each.out_lower - 1 for each in found.services if not each.exact]
    told = f"{exact} of {len(found.services)} services exact"
    if gaps:
        told += f", the widest bounds {max(gaps):.2%} apart"
    print(f"odds of an invented lab of {nodes} nodes ({len(standing.parts)} parts; {told}), {spent:.1f}")


if __name__ == "__main__":
    main()
