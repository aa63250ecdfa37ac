"""How long does it take to compare all layouts of sixty mixed drives, beside working every one out by itself?

Usage: python benchmarks/layouts.py [ours|plain]...     (default both)

ours   what `falsework drives` does: every layout roughly from its mean time, the full figures of those that are not
       worse than another in every respect, and groups that are alike once
plain  the obvious way: the exact chance of loss of every layout there is, one after another, nothing kept

Prints one JSON object a line, and writes them to results/layouts.json. Fails only if the layout that is recommended
ranks worse than the best of all that the plain way has looked at.
"""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from falsework.analyses.drives.comparing import Question, compared, plans_of
from falsework.analyses.drives.enduring import _pooled, odds, rebuilt
from falsework.analyses.drives.recommending import best, rank
from falsework.analyses.drives.result import Layout, Plan
from falsework.analyses.drives.surviving import cut_off, heals, survives
from falsework.analyses.drives.whole import question
from falsework.engines.durability.chain import _solved
from falsework.lab.read import read_text
from falsework.model.build import build
from falsework.units import Quantity

RESULTS = Path(__file__).parent / "results"
RUNS = 3

LAB = """
falsework: 1
lab: Twelve shelves
kinds:
  sled: {is: node, cores: 8, memory: 32 GiB, bays: 6, ports: {a..b: 1 Gb/s}, draws: 40..90 W}
  twin: {is: enclosure, holds: {a..b: sled}}
  box: {is: node, cores: 4, memory: 16 GiB, bays: 4, ports: {a: 1 Gb/s}, draws: 20..60 W}
  new-8t: {is: drive, size: 8 TB, fails: 1..2 %/year, read errors: 1e-15 /bit, speed: 200 MB/s, draws: 5..8 W}
  mid-4t: {is: drive, size: 4 TB, fails: 2..4 %/year, read errors: 1e-14 /bit, speed: 160 MB/s, batch: m3}
  mid-4u: {is: drive, size: 4 TB, fails: 2..4 %/year, read errors: 1e-14 /bit, speed: 160 MB/s, batch: m4}
  old-2t: {is: drive, size: 2 TB, fails: 3..7 %/year, read errors: 1e-14 /bit, batch: k7, speed: 130 MB/s}
  tiny: {is: drive, size: 1 TB, fails: 5..13 %/year}
machines:
  twin-1..4: {kind: twin}
  box-1..4: {kind: box}
heaps:
  crate: {drives: [12 new-8t, 14 mid-4t, 10 mid-4u, 16 old-2t, 8 tiny], wanted: 60 TB, most lost: 2}
"""
"""Sixty drives of five kinds and three batches, sixty-four bays in twelve nodes."""


def asked() -> Question:
    """The question of the lab."""
    lab = build(read_text(LAB.lstrip(), "lab.yaml"))
    (heap,) = lab.heaps
    return question(lab, heap, None)


def forget() -> None:
    """Nothing is kept from one layout to the next."""
    _solved.cache_clear()
    _pooled.cache_clear()


def ours(of: Question) -> tuple[dict[str, Any], Layout]:
    """The layout that is recommended; best of several runs."""
    spent = []
    for _ in range(RUNS):
        forget()
        start = time.perf_counter()
        found = compared(of)
        spent.append(time.perf_counter() - start)
    chosen = best([each for each in found.layouts if each.front], of.wanted)[0]
    told = {
        "way": "ours",
        "tried": found.tried,
        "with_all_figures": len(found.layouts),
        "seconds": round(min(spent), 2),
        "recommended": str(chosen.plan.scheme),
        "lost_in_a_year": chosen.usual.lost,
    }
    return told, chosen


def plain(of: Question) -> tuple[dict[str, Any], Layout]:
    """The best of all, each worked out by itself."""
    start = time.perf_counter()
    every = [_plainly(plan, of) for plan in plans_of(of)]
    seconds = time.perf_counter() - start
    chosen = best(every, of.wanted)[0]
    told = {
        "way": "plain",
        "tried": len(every),
        "with_all_figures": len(every),
        "seconds": round(seconds, 2),
        "recommended": str(chosen.plan.scheme),
        "lost_in_a_year": chosen.usual.lost,
    }
    return told, chosen


def _plainly(plan: Plan, of: Question) -> Layout:
    forget()
    usual = odds(plan, of.bays, of.mending)
    again = rebuilt(plan, usual)
    sticks = [each for group in plan.groups for each in (*group.sticks, *group.spares)]
    return Layout(
        number=0,
        plan=plan,
        survives=survives(plan, of.bays),
        heals=heals(plan, of.bays),
        usual=usual,
        low=usual,
        high=usual,
        rebuild_s=again.seconds,
        begins_s=0.0,
        read_errors=again.read_errors,
        read_chance=again.read_chance,
        cut_off=cut_off(plan, of.bays, of.fails),
        watts=Quantity(
            low=sum(each.draws_w.low for each in sticks), high=sum(each.draws_w.high for each in sticks)
        ),
        price="",
        front=True,
    )


def main(ways: Sequence[str]) -> int:
    """Print each way; 1 if what is recommended is not as good as the best of all."""
    of = asked()
    rows, chosen = [], {}
    for way in ways:
        told, chosen[way] = {"ours": ours, "plain": plain}[way](of)
        print(json.dumps(told), flush=True)
        rows.append(told)
    if len(chosen) < 2:
        return 0
    mine, theirs = (rank(chosen[way], of.wanted) for way in ("ours", "plain"))
    rows.append({"same_rank": mine == theirs, "times": round(rows[1]["seconds"] / rows[0]["seconds"], 1)})
    print(json.dumps(rows[-1]), flush=True)
    RESULTS.mkdir(exist_ok=True)
    (RESULTS / "layouts.json").write_text(json.dumps(rows, indent=1) + "\n", encoding="utf-8")
    return int(mine > theirs)


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:] or ("ours", "plain")))
