"""Whatever moment a drill is stopped at, is what it took out put back once?

Each drill runs in a terminal of its own with the owner's commands on real files, and is stopped at a random moment:
by Ctrl-C, by a request to end, by a lost terminal, or by a held-down Ctrl-C. `python benchmarks/drill_stops.py 500`
prints how often each end came, and fails if something was left taken out, or put back more than once.
"""

from __future__ import annotations

import collections
import json
import os
import platform
import pty
import random
import select
import signal
import sys
import tempfile
import time
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.faces.cli import terminal
from tests.faces.cli.drill_stage import play

WAYS = ("Ctrl-C", "told to end", "hang-up", "terminal closed", "Ctrl-C held down")
PUT_BACK = "sleep 0.05; echo back >> did; touch web"
LATEST_S = 1.3


def stopped(folder: Path, way: str, at_s: float) -> None:
    """One drill that is stopped one way at one moment; returns once its process has ended."""
    for name in ("web", "mail"):
        (folder / name).touch()
    process, fd = pty.fork()
    if process == 0:
        terminal._become(partial(play, folder, put_back=PUT_BACK), folder)
    began, shown, said, sent = time.monotonic(), "", 0, False
    while True:
        if select.select([fd], [], [], 0.01)[0]:
            try:
                more = os.read(fd, 65_536)
            except OSError:
                break
            if not more:
                break
            shown += more.decode("utf-8", "replace")
        if said == 0 and "Type yes to run it:" in shown:
            os.write(fd, b"yes\n")
            said = 1
        if said == 1 and "or no to leave things" in shown:
            os.write(fd, b"yes\n")
            said = 2
        if not sent and time.monotonic() - began > at_s:
            sent = True
            if way == "terminal closed":
                break
            _stop(process, way)
    os.close(fd)
    os.waitpid(process, 0)


def _stop(process: int, way: str) -> None:
    numbers = {"told to end": [signal.SIGTERM], "hang-up": [signal.SIGHUP]}.get(way, [signal.SIGINT])
    for number in numbers * (4 if way == "Ctrl-C held down" else 1):
        os.kill(process, number)  # the child is not waited for yet, so it is there, dead or alive


def main() -> None:
    """Stop drills, tell how they ended."""
    times = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    chosen = random.Random(20261126)
    ends: collections.Counter[tuple[str, str]] = collections.Counter()
    wrong = 0
    with tempfile.TemporaryDirectory() as place:
        for number in range(times):
            folder = Path(place) / str(number)
            folder.mkdir()
            way, at_s = chosen.choice(WAYS), chosen.uniform(0.02, LATEST_S)
            stopped(folder, way, at_s)
            did = (folder / "did").read_text().split() if (folder / "did").exists() else []
            end = (
                json.loads((folder / "end").read_text())["back"] if (folder / "end").exists() else "not begun"
            )
            ends[way, end] += 1
            if (
                not (folder / "web").exists()
                or did.count("back") > 1
                or (did[:1] == ["done"]) != ("back" in did)
            ):
                wrong += 1
                print(f"wrong: {way} after {at_s:.3f} s: {did}, {end}")
    print(f"{times} drills stopped at random moments, {platform.platform()}, {os.cpu_count()} cores")
    for (way, end), count in sorted(ends.items()):
        print(f"{count:5}  {way}: {end}")
    print(f"{wrong} left as they were, or put back more than once")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
