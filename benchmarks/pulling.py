"""How much work is it to open a lab, to pull a plug in it, and to check it all?

Usage: python benchmarks/pulling.py [LAB]

LAB is a lab file; the observatory, mended, if not said. Prints one JSON object of seconds of processor time, the
best of a few runs, since cores are shared: reading, deriving and compiling, all that the first loss makes once,
losses then (of one part of each kind, the median and the most), and a whole check in two steps: what it knows
before the odds, and all. Large labs are not checked. Fails only if what is thin after a loss is not what losing
every further part says.
"""

from __future__ import annotations

import json
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import numpy as np

from falsework.analyses.verdicts import Loss, Verdict, lose, single_verdicts, verdict_rows
from falsework.model.build import load
from falsework.study import study_lab
from falsework.support.standing import Standing

ROOT = Path(__file__).resolve().parent.parent
LAB = ROOT / "examples" / "observatory" / "mended.yaml"
MOST_CHECKED = 1_000
"""Parts of a lab that is checked whole."""
T = TypeVar("T")


def best(make: Callable[[], T], runs: int) -> tuple[float, T]:
    """The least processor time of some runs, and what the last of them made."""
    spent = []
    for _ in range(runs):
        start = time.process_time()
        made = make()
        spent.append(time.process_time() - start)
    return min(spent), made


def held_against_all(standing: Standing, loss: Loss) -> None:
    """Fail unless the services told thin are those that some further part would bring down."""
    further = [part for part in standing.parts if part not in loss.lost]
    alone = single_verdicts(standing, further)
    then = verdict_rows(standing, standing.service_rows([(*loss.lost, part) for part in further]))
    worse = np.any((then >= Verdict.FALLS) & (alone < Verdict.FALLS), axis=1)
    for row, effect in enumerate(loss.effects):
        if effect.verdict <= Verdict.THIN:
            assert (effect.verdict is Verdict.THIN) == bool(worse[row]), (loss.lost, effect)


def measured(path: Path) -> dict[str, float]:
    """All figures of one lab."""
    load_s, lab = best(lambda: load(path), 3)
    stand_s, standing = best(lambda: Standing(lab), 3)
    first_s, _ = best(standing.warm, 1)
    kinds = {standing.support.things[part].word: part for part in reversed(standing.parts)}
    spent = []
    for part in kinds.values():
        seconds, loss = best(lambda part=part: lose(standing, [part]), 3)  # type: ignore[misc]  # of this part
        spent.append(seconds)
        held_against_all(standing, loss)
    found = {
        "load_s": load_s,
        "stand_s": stand_s,
        "first_loss_s": first_s,
        "loss_s": statistics.median(spent),
        "loss_most_s": max(spent),
    }
    if len(standing.parts) <= MOST_CHECKED:
        soon: list[float] = []

        def check() -> None:
            start = time.process_time()
            study_lab(lab, soon=lambda _: soon.append(time.process_time() - start))

        check_s, _ = best(check, 4)
        found |= {"check_before_odds_s": min(soon), "check_s": check_s}
    return {name: round(seconds, 4) for name, seconds in found.items()}


if __name__ == "__main__":
    print(json.dumps(measured(Path(sys.argv[1]) if len(sys.argv) > 1 else LAB)))
