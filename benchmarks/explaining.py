"""How often is the true change among those that are offered for a drill that went otherwise, and what does that cost?

Small labs are drawn at random (seeded), their files are made wrong in one point, and a drill of the true lab is watched
by the exact engine.
Found is the true change, or one that gives the same verdict for every service after the loss of every single part.
Times are processor seconds.

Usage: .venv/bin/python benchmarks/explaining.py [SECONDS], how long at most; 120 if not said.
"""

from __future__ import annotations

import contextlib
import json
import random
import sys
import time
import warnings
from pathlib import Path
from statistics import median

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT))

from hypothesis import HealthCheck, Phase, given, seed, settings  # noqa: E402
from tests.breaking import KINDS, Data, variants  # noqa: E402
from tests.observing import observe  # noqa: E402
from tests.strategies import lab_data, text_of  # noqa: E402

from falsework.analyses.comparing import Sort, compare  # noqa: E402
from falsework.analyses.verdicts import single_verdicts  # noqa: E402
from falsework.errors import LabError  # noqa: E402
from falsework.findings.explaining.explain import Explanation, explained  # noqa: E402
from falsework.lab.read import read_text, read_texts  # noqa: E402
from falsework.model.build import build, load  # noqa: E402
from falsework.support.standing import Standing  # noqa: E402

Case = tuple[int, int, float]
"""The place of the true change, from 1, or 0; labs tried; processor seconds."""
MOST = 2_000
"""Labs that are drawn of each kind at most."""
CASES = 25
"""Drills that show the difference, of each kind, at most."""
ODD = (Sort.WRONG, Sort.SLOWER, Sort.FASTER)


def standing(data: Data) -> Standing | None:
    """The lab in plain data; None where it is none."""
    try:
        return Standing(build(read_text(text_of(data), "lab.yaml")))
    except LabError:
        return None


def same(true: Standing, said: Standing, offer: Explanation) -> bool:
    """Whether a change gives the verdicts of the truth after the loss of every part."""
    now = Standing(build(read_texts({**said.lab.files, **offer.changes.files})))
    parts = [part for part in true.parts if part in now.parts]
    return bool((single_verdicts(true, parts) == single_verdicts(now, parts)).all())


def case(kind: str, data: Data, chance: random.Random) -> Case | None:
    """One drill that shows what the file has wrong: the place of the true change, from 1; 0 for none; None for no case."""
    found = list(variants(kind, data))
    if not found:
        return None
    truth, file = chance.choice(found)
    true, said = standing(truth), standing(file)
    if true is None or said is None:
        return None
    parts = [part for part in true.parts if part in said.parts and "supply" not in part]
    chance.shuffle(parts)
    for part in parts:
        seen = observe(true, [part])
        if any(line.sort in ODD for line in compare(said, seen).lines):
            begun = time.process_time()
            offers = explained(said, seen)
            spent = time.process_time() - begun
            at = next((n for n, offer in enumerate(offers.offers, 1) if same(true, said, offer)), 0)
            return at, offers.tried, spent
    return None


class EnoughError(Exception):
    """No more labs of a kind are wanted."""


def counted(kind: str, until: float) -> list[Case]:
    """Cases of one kind."""
    cases: list[Case] = []

    @seed(7)
    @settings(
        max_examples=MOST,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(lab_data())
    def draw(data: Data) -> None:
        found = case(kind, data, random.Random(len(cases)))
        if found is not None:
            cases.append(found)
        if len(cases) >= CASES or time.monotonic() > until:
            raise EnoughError

    with contextlib.suppress(EnoughError):
        draw()
    return cases


def observatory() -> dict[str, float]:
    """A drill of the mended observatory with a need that its file does not have: trials, and processor seconds."""
    lab = load(ROOT / "examples" / "observatory" / "mended.yaml")
    said = Standing(lab)
    (file, text), *_ = lab.files.items()
    true = Standing(
        build(read_texts({file: text.replace("needs: {to run: [names for 1 h]}", "needs: [desk-1]")}))
    )
    begun = time.process_time()
    offers = explained(said, observe(true, ["desk-1"]))
    return {
        "tried": offers.tried,
        "offers": len(offers.offers),
        "seconds": round(time.process_time() - begun, 2),
    }


def main() -> None:
    """Count all kinds, print and keep the figures; a kind of which no case was drawn is left out."""
    warnings.simplefilter("ignore")
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 120.0
    begun, rows = time.monotonic(), {}
    for number, kind in enumerate(KINDS, 1):
        cases = counted(kind, begun + seconds * number / len(KINDS))
        if not cases:
            continue
        rows[kind] = {
            "cases": len(cases),
            "offered": sum(1 for at, _, _ in cases if at),
            "first": sum(1 for at, _, _ in cases if at == 1),
            "tried": median(tried for _, tried, _ in cases),
            "seconds": round(median(spent for _, _, spent in cases), 2),
        }
        print(f"{kind}: {rows[kind]}", flush=True)
    whole = {
        "cases": sum(row["cases"] for row in rows.values()),
        "offered": sum(row["offered"] for row in rows.values()),
        "first": sum(row["first"] for row in rows.values()),
    }
    print("all:", whole)
    result = {"all": whole, "kinds": rows, "observatory": observatory()}
    print("observatory:", result["observatory"])
    (ROOT / "benchmarks" / "results" / "explaining.json").write_text(
        json.dumps(result, indent=1) + "\n", encoding="utf-8"
    )


if __name__ == "__main__":
    main()
