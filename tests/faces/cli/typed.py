"""What does a command say? Runs it as typed, in this process."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from typer.testing import CliRunner

from falsework.faces.cli.main import app

ROOT = Path(__file__).parents[3]
SHELF = "examples/kitchen-shelf.yaml"
DRAFT = "examples/observatory/draft.yaml"
MENDED = "examples/observatory/mended.yaml"


@dataclass(frozen=True, slots=True)
class Said:
    """What a command printed, and its exit status."""

    out: str
    err: str
    status: int


def typed(*words: str, **environment: str) -> Said:
    """Run a command from the top of the project; no terminal is there."""
    here = Path.cwd()
    os.chdir(ROOT)
    try:
        result = CliRunner().invoke(app, words, prog_name="falsework", env={**_PLAIN, **environment})
    finally:
        os.chdir(here)
    return Said(result.stdout, result.stderr, result.exit_code)


_PLAIN = {"COLUMNS": "", "NO_COLOR": "", "FORCE_COLOR": "", "FALSEWORK_DEBUG": ""}
