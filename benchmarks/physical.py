"""How long do the answers about the physical lab take, from a cold process, on a small lab and on a large one?

Usage: python benchmarks/physical.py [observatory|large]...     (default both)

observatory  each command on the mended observatory, best of 5, and all of them in one process after it has started
large        the plan of addresses and of cables of an invented lab of 1,000 nodes, as whole commands, with memory

Prints one JSON object a line, and writes them to results/physical.json. Fails only if a command can't answer.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from falsework.invent import invent

ROOT = Path(__file__).resolve().parent.parent
RESULTS = Path(__file__).parent / "results"
MENDED = ROOT / "examples" / "observatory" / "mended.yaml"
COMMANDS = ("drives", "wire", "addresses", "power", "noise", "rack")
RUNS = 5


def ran(words: Sequence[str]) -> tuple[float, float, float]:
    """Seconds by the clock, seconds of processors, and MiB at the most, of one command.

    Raises:
        SystemExit: it could not answer.
    """
    start = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, "-m", "falsework", *words], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
    )
    assert process.stderr is not None
    told = process.stderr.read().decode()
    _, status, usage = os.wait4(process.pid, 0)
    seconds = time.perf_counter() - start
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode not in (0, 1):
        raise SystemExit(f"falsework {' '.join(words)} ended with {process.returncode}:\n{told}")
    return seconds, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024


def observatory() -> Iterator[dict[str, Any]]:
    """Each command by itself, and the start of the program that each of them pays."""
    for words in (["--help"], *([command, str(MENDED)] for command in COMMANDS)):
        runs = [ran(words) for _ in range(RUNS)]
        yield {
            "what": f"falsework {words[0]}",
            "cold_s": round(min(each[0] for each in runs), 2),
            "processor_s": round(min(each[1] for each in runs), 2),
            "mib": round(max(each[2] for each in runs)),
        }
    code = (
        "import sys, time; start = time.perf_counter()\n"
        "from pathlib import Path\n"
        "from falsework.faces.report.physical import physical\n"
        "from falsework.model.build import load\n"
        "from falsework.support.standing import Standing\n"
        "pieces = physical(Standing(load(Path(sys.argv[1]))))\n"
        "print(len(pieces), time.perf_counter() - start)"
    )
    spent = []
    for _ in range(RUNS):
        start = time.perf_counter()
        said = subprocess.run(
            [sys.executable, "-c", code, str(MENDED)], capture_output=True, text=True, check=True
        ).stdout.split()
        spent.append((time.perf_counter() - start, int(said[0])))
    yield {
        "what": "all of it, with its drawings, in one cold process",
        "cold_s": round(min(spent)[0], 2),
        "pieces": spent[0][1],
    }


def large() -> Iterator[dict[str, Any]]:
    """Addresses, cables and the rest for 1,000 nodes."""
    with tempfile.TemporaryDirectory() as folder:
        lab = Path(folder) / "large.yaml"
        lab.write_text(invent(1000, seed=1), encoding="utf-8")
        for words in (
            [
                "addresses",
                str(lab),
                "--csv",
                f"{folder}/a.csv",
                "--hosts",
                f"{folder}/h",
                "--zones",
                f"{folder}/z",
            ],
            ["wire", str(lab), "--cables", f"{folder}/c.csv"],
            ["power", str(lab)],
            ["noise", str(lab)],
            ["rack", str(lab)],
        ):
            seconds, processor, mib = ran(words)
            yield {
                "what": f"falsework {words[0]}, 1,000 nodes",
                "cold_s": round(seconds, 2),
                "processor_s": round(processor, 2),
                "mib": round(mib),
            }


if __name__ == "__main__":
    PARTS = {"observatory": observatory, "large": large}
    rows = []
    for wanted in sys.argv[1:] or list(PARTS):
        for row in PARTS[wanted]():
            print(json.dumps(row), flush=True)
            rows.append(row)
    if not sys.argv[1:]:
        RESULTS.mkdir(exist_ok=True)
        (RESULTS / "physical.json").write_text(json.dumps(rows, indent=1) + "\n", encoding="utf-8")
