"""How near to the truth are measured outages, and how often is the part that was really broken named first?

Usage: python benchmarks/loopback.py [--rounds N] [--faults N] [--seed N] [--load]

Real servers are killed, frozen, slowed, cut off and moved, in networks that are made for it and end with it; the
injector notes when (by the clock that nothing sets), and the stopwatch asks ten times a second.
--rounds is how many times every sort of fault is made (default 30), --faults how many parts are broken at random
(default 100), --load keeps a busy process on each core meanwhile.
Prints a table of how far measured beginnings and ends were from the true ones, and a line a part that was not named
first. The exit status is 1 if an outage was missed or is more than 0.15 s off beyond what the record itself says, or
if fewer than 95 of 100 parts were named first.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import random
import statistics
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT), str(ROOT / "src")]

from tests.loopback.breaking import breaking  # noqa: E402
from tests.loopback.watching import WITHIN_S, Span, apart_s, off_s, watched  # noqa: E402
from tests.loopback.yard import Done, Yard, certificate, yard  # noqa: E402

from falsework.record.seen import Told  # noqa: E402

OUT_S = (1.3, 3.0)
REST_S = 1.2
FAULTS = {
    "tcp": ("kill", "restart"),
    "http": ("kill", "restart"),
    "http, frozen": ("freeze", "thaw"),
    "https": ("kill", "restart"),
    "https, frozen": ("freeze", "thaw"),
    "tls": ("freeze", "thaw"),
    "dns": ("kill", "restart"),
    "dns, frozen": ("freeze", "thaw"),
    "http, slow": ("slow", "slow"),
    "dns, slow": ("slow", "slow"),
    "http, cut off": ("cut", "join"),
    "ping, cut off": ("cut", "join"),
    "dns, cut off": ("cut", "join"),
    "http, floats": ("drop_address", "add_address"),
}


@contextlib.contextmanager
def busy(wanted: bool) -> Iterator[None]:
    """A process on each core that does nothing but be busy."""
    burns = [
        subprocess.Popen([sys.executable, "-c", "while True: pass"])
        for _ in range(len(os.sched_getaffinity(0)) if wanted else 0)
    ]
    try:
        yield
    finally:
        for burn in burns:
            burn.kill()
            burn.wait()


def stage(made: Yard, folder: Path) -> tuple[Path, Path]:
    """Three machines with a server for each fault; the lab file, and whom to trust."""
    made.do("switch", "s")
    made.do("here", "s", address="10.9.0.1/24")
    for machine, last in (("a", 2), ("b", 3), ("c", 4)):
        made.do("machine", machine, switch="s", address=f"10.9.0.{last}/24")
    pem = certificate(folder / "front.pem", address="10.9.0.2")
    lines = ["lab: Yard", "probes:"]
    for number, name in enumerate(FAULTS):
        kind, _, how = name.partition(", ")
        port, machine = 1000 + number, {"cut off": "c"}.get(how, "a")
        at = {"cut off": "10.9.0.4", "floats": "10.9.0.9"}.get(how, "10.9.0.2")
        more: dict[str, str] = {"certificate": str(pem)} if kind in ("https", "tls") else {}
        more |= {"known": "a.rock", "answer": "10.9.0.7"} if kind == "dns" else {}
        for where in ("a", "b") if how == "floats" else (machine,) if kind != "ping" else ():
            server = name if where == machine else f"{name} on {where}"
            made.do("start", server, machine=where, kind=kind, address="0.0.0.0", port=port, **more)
        asks = {
            "tcp": f"{{asks: tcp {at} port {port}, expects: ready}}",
            "tls": f"tls {at} port {port}",
            "dns": f"dns a.rock at {at} port {port}",
            "ping": f"ping {at}",
        }.get(kind, f'"{kind}://{at}:{port}/"')
        lines.append(f'  "{name}": {asks}' if "," not in name else f"  {name.replace(', ', ' ')}: {asks}")
    made.do("add_address", "a", address="10.9.0.9/24")
    lab = folder / "yard.yaml"
    lab.write_text("\n".join(lines) + "\n")
    return lab, pem


def made_so(made: Yard, name: str, step: int, home: str, away: str) -> Done:
    """Make a fault, or mend it."""
    do, how = FAULTS[name][step], name.partition(", ")[2]
    if how == "cut off":
        return made.do(do, "c", **({"switch": "s"} if step else {}))
    if how == "floats":
        return made.do(do, away if step else home, address="10.9.0.9/24")
    if how == "slow":
        return made.do(do, name, by_s=0.0 if step else 30.0)
    return made.do(do, name)


def all_so(made: Yard, step: int, home: str, away: str) -> dict[str, Done]:
    """Make every fault, or mend them all. The machine is cut off once for all three."""
    cut, *also = (name for name in FAULTS if name.endswith("cut off"))
    moments = {name: made_so(made, name, step, home, away) for name in FAULTS if name not in also}
    return moments | dict.fromkeys(also, moments[cut])


def outages(rounds: int) -> bool:
    """Make every fault so many times, and print how far off they were measured; whether all was well."""
    draw = random.Random(1)
    truth: dict[str, list[tuple[Span, Span]]] = defaultdict(list)
    with tempfile.TemporaryDirectory() as folder, yard(walled=True) as made:
        lab, pem = stage(made, Path(folder))
        with watched(made, lab, trusted=pem) as watch:
            watch.until_all(Told.YES)
            time.sleep(REST_S)
            home = "a"
            for _ in range(rounds):
                away = "b" if home == "a" else "a"

                began = all_so(made, 0, home, away)
                time.sleep(draw.uniform(*OUT_S))
                ended = all_so(made, 1, home, away)
                home = away
                watch.until_all(Told.YES)
                time.sleep(REST_S + draw.uniform(0.0, 0.1))
                for name in FAULTS:
                    truth[name].append((watch.when(began[name]), watch.when(ended[name])))
        seen = watch.seen()
    fine = True
    print(f"{'':16}{'outages':>8}{'begins off by, ms':>22}{'ends off by, ms':>22}{'length off by, ms':>22}")
    print(f"{'':16}{'':8}" + f"{'median':>14}{'worst':>8}" * 3)
    for probe, (name, times) in zip(seen.probes, truth.items(), strict=True):
        if len(probe.outages) != len(times):
            print(f"{name:16}{len(probe.outages):8} seen, {len(times)} made")
            fine = False
            continue
        pairs = list(zip(probe.outages, times, strict=True))
        columns = (
            [apart_s(one.from_s, begun) for one, (begun, _) in pairs],
            [apart_s(one.until_s, over) for one, (_, over) in pairs],
            [apart_s(one.lasts_s, (over[0] - begun[1], over[1] - begun[0])) for one, (begun, over) in pairs],
        )
        for one, each in pairs:
            if max(off_s(one, *each)) > WITHIN_S:
                print(f"{name}: out from {each[0]} to {each[1]}, measured {one}")
                fine = False
        print(
            f"{name:16}{len(times):8}"
            + "".join(f"{statistics.median(each) * 1e3:14.0f}{max(each) * 1e3:8.0f}" for each in columns)
        )
    print(f"gaps of the stopwatch's own: {len(seen.run.gaps)}")
    return fine


def faults(many: int, seed: int) -> bool:
    """Break so many parts at random, and print those that were not named first; whether enough were."""
    draw = random.Random(seed)
    with tempfile.TemporaryDirectory() as folder, breaking(Path(folder)) as lab:
        alike = lab.alike()
        print(
            f"{len(alike)} effects that differ, of {sum(map(len, alike.values()))} parts that can be broken"
        )
        trials = [lab.trial(lab.drawn(draw)) for _ in range(many)]
    for each in trials:
        if not each.found:
            print(
                f"{each.broken}: {', '.join(each.failing) or 'nothing'} failed; first {each.diagnosis.causes[0].parts}"
            )
    found = sum(each.found for each in trials)
    print(f"named first: {found} of {many}")
    return found >= 0.95 * many


def main() -> int:
    """Do both."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--rounds", type=int, default=30)
    parser.add_argument("--faults", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--load", action="store_true")
    asked = parser.parse_args()
    with busy(asked.load):
        print(f"load {os.getloadavg()[0]:.1f} on {len(os.sched_getaffinity(0))} cores")
        fine = [
            outages(asked.rounds) if asked.rounds else True,
            faults(asked.faults, asked.seed) if asked.faults else True,
        ]
    return 0 if all(fine) else 1


if __name__ == "__main__":
    sys.exit(main())
