"""Do the answers for people stay word for word, until somebody reads the change and likes it?

Written anew by: FALSEWORK_GOLDEN=write .venv/bin/python -m pytest tests/faces/cli/test_golden.py
"""

import os
import shlex
from pathlib import Path

import pytest
from tests.faces.cli.typed import DRAFT, MENDED, SHELF, typed

pytestmark = pytest.mark.slow

GOLDEN = Path(__file__).parent / "golden"
CASES = {
    "check-kitchen-shelf": ("check", SHELF),
    "check-kitchen-shelf-assumed": ("check", SHELF, "--assumed"),
    "check-draft": ("check", DRAFT),
    "check-mended": ("check", MENDED),
    "lose-kitchen-shelf-node": ("lose", SHELF, "desk-1"),
    "lose-kitchen-shelf-hub": ("lose", SHELF, "hub"),
    "lose-draft-strip": ("lose", DRAFT, "A"),
    "lose-mended-strip": ("lose", MENDED, "A"),
    "why-kitchen-shelf-files": ("why", SHELF, "files"),
    "why-mended-mail": ("why", MENDED, "mail"),
    "why-mended-machine": ("why", MENDED, "twin-1"),
    "why-draft-mail-strip": ("why", DRAFT, "mail", "--lose", "B"),
    "mend-draft": ("mend", DRAFT),
    "mend-draft-message": ("mend", DRAFT, "message-not-delivered", "--diff"),
    "odds-kitchen-shelf": ("odds", SHELF),
    "odds-kitchen-shelf-files": ("odds", SHELF, "files", "--ranges", "--most", "20"),
    "odds-draft-mail": ("odds", DRAFT, "mail"),
    "odds-mended": ("odds", MENDED),
    "years-kitchen-shelf": ("years", SHELF, "--years", "1000"),
    "tree-pump": ("tree", "tests/faces/cli/trees/pump.dft", "--time", "100"),
    "place-kitchen-shelf": ("place", SHELF),
    "rebuild-kitchen-shelf": ("rebuild", SHELF),
    "rebuild-draft": ("rebuild", DRAFT),
    "rebuild-mended": ("rebuild", MENDED),
    "rebuild-draft-clock": ("rebuild", DRAFT, "clock"),
    "room-draft": ("room", DRAFT),
    "room-mended": ("room", MENDED, "--add", "2 cores 4 GiB"),
    "room-pieces": ("room", "tests/labs/traps/11-fragmented-room/base.yaml", "--lose", "h4"),
    "drives-mended": ("drives", MENDED),
    "drives-none": ("drives", "tests/faces/cli/drives/none.yaml"),
    "wire-mended": ("wire", MENDED),
    "wire-draft-ways": ("wire", DRAFT, "--from", "twin-1.a", "--to", "attic", "--lose", "sw-2"),
    "noise-mended": ("noise", MENDED),
    "addresses-mended": ("addresses", MENDED),
    "diagnose-mended": (
        "diagnose",
        MENDED,
        *("--failing", "mail box", "--failing", "signing in", "--answered", "front page"),
    ),
    "diagnose-kitchen-shelf-plan": ("diagnose", SHELF, "--plan", "--diff"),
    "why-mended-router-gate": ("why", MENDED, "router", "--lose", "gate-1"),
    "drills-mended": ("drills", MENDED, "--from", "2026-04-06"),
    "drills-mended-one": ("drills", MENDED, "pull a twin"),
    "drills-mended-no": ("drills", MENDED, "desk-1", "--out", "desk-3"),
    "evidence-mended": (
        "evidence",
        MENDED,
        *(f"tests/data/logs/night/{name}" for name in ("desk-1.log", "gate-2.log", "twin-1a.jsonl")),
        *("--at", "2026-03-14 03:12:08", "--lose", "A"),
    ),
    "power-mended": ("power", MENDED),
    "power-trips": ("power", "tests/labs/traps/03-survivor-overload/base.yaml", "--lose", "circuit"),
}


@pytest.mark.parametrize("name", CASES)
def test_an_answer_is_as_it_was(name):
    """The answer is the golden one, its exit status included, with nothing on standard error."""
    said = typed(*CASES[name])
    text = f"$ falsework {shlex.join(CASES[name])}\n{said.out}(exit status {said.status})\n"
    path = GOLDEN / f"{name}.txt"
    if os.environ.get("FALSEWORK_GOLDEN") == "write":
        path.write_text(text, encoding="utf-8")
    assert said.err == ""
    assert text == path.read_text(encoding="utf-8")


def test_no_golden_answer_is_left_over():
    """Every golden file belongs to a case."""
    assert {path.stem for path in GOLDEN.iterdir()} == set(CASES)
