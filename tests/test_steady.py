from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

DRAFT = Path(__file__).parent.parent / "examples" / "observatory" / "draft.yaml"


def answer(seed: int) -> bytes:
    """What a check of the draft says, in JSON, with sets in another order for each seed."""
    done = subprocess.run(
        [sys.executable, "-m", "falsework", "check", str(DRAFT), "--all", "--json"],
        capture_output=True,
        check=False,
        env={**os.environ, "PYTHONHASHSEED": str(seed)},
    )
    assert done.returncode == 1, done.stderr.decode()
    return done.stdout


@pytest.mark.slow
def test_the_same_lab_gives_the_same_answer():
    """An answer does not depend on the order of sets, which Python draws anew for each process."""
    assert answer(1) == answer(2)
