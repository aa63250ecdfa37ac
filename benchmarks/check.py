"""How long does a check of the observatory take, and a pulled plug once the lab is loaded?

Usage: python benchmarks/check.py [RUNS]

Prints medians as one JSON object: a whole `falsework check` from a cold process, loading and deriving alone,
and what one more pulled plug costs warm (verdicts, times and thin for all services). Fails only if the draft
does not break its aims, or the mended lab breaks one.
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
LAB = ROOT / "examples" / "observatory"


def cold(runs: int) -> float:
    """Seconds of a whole check of the draft, a process each, median."""
    spent = []
    for _ in range(runs):
        start = time.perf_counter()
        done = subprocess.run(
            [sys.executable, "-m", "falsework", "check", str(LAB / "draft.yaml")],
            capture_output=True,
            check=False,
        )
        spent.append(time.perf_counter() - start)
        assert done.returncode == 1, done.stderr.decode()
    mended = subprocess.run(
        [sys.executable, "-m", "falsework", "check", str(LAB / "mended.yaml")],
        capture_output=True,
        check=False,
    )
    assert mended.returncode == 0, mended.stderr.decode()
    return statistics.median(spent)


def warm(runs: int) -> tuple[float, float, float, int]:
    """Median seconds of load and derive, of one loss with times, and of one loss with thin too; gates."""
    from falsework.analyses.verdicts import lose
    from falsework.model.build import load
    from falsework.support.standing import Standing

    opened, plain, whole = [], [], []
    for _ in range(runs):
        start = time.perf_counter()
        standing = Standing(load(LAB / "mended.yaml"))
        opened.append(time.perf_counter() - start)
    lose(standing, ["B"])
    for part in standing.parts[: 8 * runs]:
        start = time.perf_counter()
        lose(standing, [part], thin=False)
        plain.append(time.perf_counter() - start)
        start = time.perf_counter()
        lose(standing, [part])
        whole.append(time.perf_counter() - start)
    return (
        statistics.median(opened),
        statistics.median(plain),
        statistics.median(whole),
        standing.gates.graph.n_gates,
    )


if __name__ == "__main__":
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 7
    opened, plain, whole, gates = warm(runs)
    print(
        json.dumps(
            {
                "check_cold_s": round(cold(runs), 3),
                "load_and_derive_s": round(opened, 3),
                "pulled_plug_ms": round(plain * 1000, 1),
                "pulled_plug_with_thin_ms": round(whole * 1000, 1),
                "gates": gates,
            }
        )
    )
