"""How soon does a project end, and how long does it take to prove that it can't end sooner?

Usage: python benchmarks/schedules.py [--seconds S] [--workers N] FILE...

Files are in the format of the project scheduling library PSPLIB (.sm, one mode a job; R. Kolisch, A. Sprecher 1997,
European Journal of Operational Research 96, 205-216), and go through the scheduler that plans the owner's evenings.
Prints one JSON object a line, a file each: instance (the file's name), makespan, bound (proved: nothing ends before),
proven (whether they meet), seconds (wall time from the file read to the answer).
--seconds is the time for each file (default 60), --workers the threads (default 2).
The exit status is 2 if a file could not be read or done; one line on standard error says which and why.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from pathlib import Path

from psplib import Malformed, project

from falsework.engines.scheduling.solve import solve


def main() -> int:
    """Solve each file; 0 if all could be read."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("files", nargs="+", type=Path, metavar="FILE")
    asked.add_argument("--seconds", type=float, default=60.0, metavar="S")
    asked.add_argument("--workers", type=int, default=2, metavar="N")
    given = asked.parse_args()
    if not given.seconds > 0 or not given.workers > 0:
        asked.error("--seconds and --workers must be more than 0")
    status = 0
    for path in given.files:
        try:
            read = project(path.read_text(encoding="utf-8"))
            began = time.perf_counter()
            found = solve(read, seconds=given.seconds, workers=given.workers)
        except (OSError, UnicodeDecodeError, Malformed) as error:
            reason = error.strerror if isinstance(error, OSError) else str(error)
            print(f"{path}: {reason}", file=sys.stderr, flush=True)
            status = 2
            continue
        line = {
            "instance": path.stem,
            "makespan": found.makespan,
            "bound": found.bound,
            "proven": found.proven,
            "seconds": round(time.perf_counter() - began, 3),
        }
        print(json.dumps(line), flush=True)
    return status


if __name__ == "__main__":
    sys.exit(main())
