"""How do time and memory grow with the size of the lab?

Usage: python benchmarks/sizes.py [NODES...]     (default 10 100 1000 10000; all pairs up to 1,000)

Each size runs in a process of its own. Prints one JSON object a line, writes them to results/sizes.json and
draws results/sizes.svg. Fails only if a lab that should stand does not.
"""

from __future__ import annotations

import json
import math
import resource
import subprocess
import sys
import time
from itertools import pairwise
from pathlib import Path

RESULTS = Path(__file__).parent / "results"
STEPS = ("load_s", "derive_s", "singles_s", "pairs_s")
WORDS = {
    "load_s": "load",
    "derive_s": "derive and compile",
    "singles_s": "every single loss",
    "pairs_s": "every pair",
}
DASHES = {"load_s": "1 4", "derive_s": "7 4", "singles_s": "2 2", "pairs_s": ""}


def measure(nodes: int) -> dict[str, float | int | None]:
    """Seconds of each step and peak memory in MiB for one invented lab, in this process."""
    from falsework.analyses.pairs import all_pairs
    from falsework.analyses.verdicts import single_verdicts
    from falsework.invent import invent
    from falsework.lab.read import read_text
    from falsework.model.build import build
    from falsework.support.standing import Standing

    text = invent(nodes, 0)
    marks = [time.perf_counter()]
    lab = build(read_text(text, "lab.yaml"))
    marks.append(time.perf_counter())
    standing = Standing(lab)
    marks.append(time.perf_counter())
    single_verdicts(standing, standing.parts)
    marks.append(time.perf_counter())
    assert all(standing.baseline.up(name) for name in standing.support.services), "a service is down already"
    pairs = None
    if nodes <= 1000:
        pairs = all_pairs(standing).n_pairs
        marks.append(time.perf_counter())
    spent = [round(later - sooner, 3) for sooner, later in pairwise(marks)]
    return {
        "nodes": nodes,
        "parts": len(standing.parts),
        "services": len(standing.support.services),
        "gates": standing.gates.services.n_gates,
        "pairs": pairs,
        **dict(zip(STEPS, [*spent, None], strict=False)),
        "peak_mib": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024,
    }


def drawn(rows: list[dict[str, float | int | None]]) -> str:
    """Seconds over nodes, both in powers of ten, as SVG."""
    width, height, left, bottom = 760, 460, 70, 60

    def x(nodes: float) -> float:
        return left + (math.log10(nodes) - 1) / 3 * (width - left - 190)

    def y(seconds: float) -> float:
        return height - bottom - (math.log10(max(seconds, 1e-3)) + 3) / 6 * (height - bottom - 40)

    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" font-family="DejaVu Serif, serif" font-size="13" fill="#1d2b3a">',
        f'<rect width="{width}" height="{height}" fill="#f6f1e4"/>',
        '<text x="70" y="24" font-size="16">Seconds by size of the lab</text>',
    ]
    for power in range(-3, 4):
        lines.append(
            f'<path d="M{left} {y(10**power):.1f}H{x(10_000):.1f}" stroke="#8a94a0" stroke-width=".5"/>'
        )
        lines.append(
            f'<text x="{left - 8}" y="{y(10**power) + 4:.1f}" text-anchor="end">{10**power:g} s</text>'
        )
    lines.extend(
        f'<text x="{x(nodes):.1f}" y="{height - bottom + 20}" text-anchor="middle">{nodes:,}</text>'
        for nodes in (10, 100, 1000, 10_000)
    )
    lines.append(f'<text x="{x(316):.1f}" y="{height - 16}" text-anchor="middle">nodes</text>')
    for step in STEPS:
        points = [
            (x(float(row["nodes"] or 1)), y(float(row[step] or 0)))
            for row in rows
            if row.get(step) is not None
        ]
        if points:
            way = " ".join(f"{a:.1f},{b:.1f}" for a, b in points)
            lines.append(
                f'<polyline points="{way}" fill="none" stroke="#1d2b3a" stroke-width="1.8" stroke-dasharray="{DASHES[step]}"/>'
            )
            lines.append(
                f'<text x="{points[-1][0] + 8:.1f}" y="{points[-1][1] + 4:.1f}">{WORDS[step]}</text>'
            )
    return "\n".join([*lines, "</svg>\n"])


if __name__ == "__main__":
    if len(sys.argv) == 3 and sys.argv[1] == "--one":
        print(json.dumps(measure(int(sys.argv[2]))))
        sys.exit()
    found = []
    for size in [int(each) for each in sys.argv[1:]] or [10, 100, 1000, 10_000]:
        done = subprocess.run(
            [sys.executable, __file__, "--one", str(size)], capture_output=True, text=True, check=True
        )
        print(done.stdout, end="", flush=True)
        found.append(json.loads(done.stdout))
    RESULTS.mkdir(exist_ok=True)
    (RESULTS / "sizes.json").write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")
    (RESULTS / "sizes.svg").write_text(drawn(found), encoding="utf-8")
