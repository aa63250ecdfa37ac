"""How long does it take to place the copies of a whole lab, and how good is what is found?

Usage: python benchmarks/placing_labs.py [NODES COPIES SEED SECONDS]...

Each four numbers are one invented lab and the seconds that the search is given; without any, 100 nodes with 500
copies. Every lab is asked in a process of its own, by `falsework place --json`, everything included: reading, the
aims as it is today, the search, the aims as it would be, the moves. Prints one JSON object for each: seconds by the
clock and of the processor, the peak of the memory, aims met before and after, each level today, as found and the
bound, and the load of the machine before and after. Fails only where a lab is refused, or placed worse than today.
"""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from falsework.invent import invent_copied

USUAL = (100, 500, 1, 15)


def measured(nodes: int, copies: int, seed: int, seconds: int) -> dict[str, object]:
    """One lab, placed in a process of its own."""
    with tempfile.TemporaryDirectory() as folder:
        lab = Path(folder) / "lab.yaml"
        lab.write_text(invent_copied(nodes, copies, seed), encoding="utf-8")
        load = os.getloadavg()[0]
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        began = time.monotonic()
        asked = [sys.executable, "-m", "falsework", "place", str(lab), "--json", "--seconds", str(seconds)]
        done = subprocess.run(asked, capture_output=True, check=False, text=True)
        took = time.monotonic() - began
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
    assert done.returncode in (0, 1), done.stderr
    answer = json.loads(done.stdout)
    aims = answer["aims"]
    assert sum(aim["after"] is False for aim in aims) <= sum(aim["before"] is False for aim in aims)
    return {
        "nodes": nodes,
        "copies": copies,
        "seed": seed,
        "asked_seconds": seconds,
        "seconds": round(took, 1),
        "processor_seconds": round(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime, 1),
        "peak_mib": after.ru_maxrss // 1024,
        "load": [round(load, 1), round(os.getloadavg()[0], 1)],
        "aims": len(aims),
        "met_before": sum(aim["before"] is True for aim in aims),
        "met_after": sum(aim["after"] is True for aim in aims),
        "unmet": [aim["says"] for aim in aims if aim["after"] is False],
        "moves": len([move for move in answer["moves"] if move["from"]]),
        "levels": {each["name"]: [each["today"], each["placed"], each["bound"]] for each in answer["levels"]},
    }


def main() -> None:
    """Every lab that was asked for."""
    given = [int(each) for each in sys.argv[1:]] or list(USUAL)
    for first in range(0, len(given), 4):
        nodes, copies, seed, seconds = given[first : first + 4]
        print(json.dumps(measured(nodes, copies, seed, seconds)), flush=True)


if __name__ == "__main__":
    main()
