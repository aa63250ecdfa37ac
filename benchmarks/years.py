"""How long do years of the observatory take, and how long with a process-based simulator?

Usage: python benchmarks/years.py [YEARS]

Both draw the same model of the same lab in this process, one after the other, on one core; seconds are of
processor time, so that what else the machine does counts for neither. Writes results/years.md. Fails only if
the mean minutes down of a service differ by more than four standard errors of their difference.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

from years_plain import plain

from falsework.analyses.years import Years, years
from falsework.analyses.years.block import COUNTED
from falsework.model.build import load
from falsework.support.standing import Standing

ROOT = Path(__file__).resolve().parent.parent
LAB = ROOT / "examples" / "observatory" / "mended.yaml"
RESULTS = ROOT / "benchmarks" / "results" / "years.md"
ERRORS = 4.0
SHOWN = ("names", "mail", "files", "counts", "cameras", "tides")


def fresh() -> Standing:
    """The lab, compiled, with nothing asked of it yet."""
    return Standing(load(LAB))


def ours(count: int) -> tuple[Years, float, float]:
    """The years, processor seconds and wall seconds: best of three."""
    best = (float("inf"), float("inf"))
    for _ in range(3):
        lab = fresh()
        wall, spent = time.perf_counter(), time.process_time()
        found = years(lab, count=count)
        best = min(best, (time.process_time() - spent, time.perf_counter() - wall))
    return found, *best


def main(count: int) -> None:
    """Measure both, compare their means, and write the figures down."""
    years(fresh(), count=COUNTED)  # libraries load before anything is timed
    plain(fresh(), 2)
    found, spent, wall = ours(count)
    lab = fresh()
    began = time.process_time()
    minutes, asking = plain(lab, count // COUNTED)
    plainly = time.process_time() - began
    two = fresh()
    started = time.perf_counter()
    same = years(two, count=count, workers=2)
    shared = time.perf_counter() - started
    assert same.services == found.services, "who works must make no difference"
    means, errors = minutes.mean(axis=0), minutes.std(axis=0, ddof=1) / len(minutes) ** 0.5
    apart = {
        each.service: abs(each.mean_min - mean) / (each.error_min**2 + error**2) ** 0.5
        for each, mean, error in zip(found.services, means, errors, strict=True)
        if each.error_min
    }
    for service, errors_apart in apart.items():
        assert errors_apart < ERRORS, (service, errors_apart)
    rows = [
        f"| {each.service} | {each.mean_min:.1f} ± {1.96 * (each.error_min or 0):.1f} | {mean:.1f} ± {1.96 * error:.1f} |"
        for each, mean, error in zip(found.services, means, errors, strict=True)
        if each.service in SHOWN
    ]
    text = f"""# {count:,} years of the observatory

{len(lab.parts)} parts, {len(found.services)} services; one core of a small shared virtual machine, Python {sys.version_info[0]}.{sys.version_info[1]}.
Both from the compiled lab to means by service; processor seconds; ours the best of three.

| | seconds | a year, ms | ratio |
| --- | --- | --- | --- |
| falsework, with percentiles, data and a story | {spent:.2f} | {spent / count * 1e3:.2f} | 1 |
| SimPy, all of it | {plainly:.1f} | {plainly / count * 1e3:.2f} | {plainly / spent:.1f} |
| SimPy, were answers on what losses do for nothing | {plainly - asking:.1f} | {(plainly - asking) / count * 1e3:.2f} | {(plainly - asking) / spent:.1f} |

On the clock falsework took {wall:.1f} s with one process and {shared:.1f} s with two, which load the libraries and compile the lab once more each, on cores that others used too.
The SimPy model asks falsework once for each new set of broken parts and remembers the answer; it uses its tables of fall and restart times for single parts.

Minutes down in a year with their 95 % intervals; over all {len(apart)} services the means lie at most {max(apart.values()):.1f} standard errors apart (allowed: {ERRORS:.0f}).

| service | falsework | SimPy |
| --- | --- | --- |
{chr(10).join(rows)}
"""
    RESULTS.write_text(text, encoding="utf-8")
    print(text)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000)
