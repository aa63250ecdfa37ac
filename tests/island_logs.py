"""Logs of an invented event on the island: strip A goes dark, and five machines tell of it in five ways of writing.

The true course is known, so tests can hold what is found against it: who spoke first, by how much each clock is off.
"""

import datetime
import json
import random
from dataclasses import dataclass
from pathlib import Path

MOMENT = datetime.datetime(2026, 3, 14, 3, 12, 8, tzinfo=datetime.UTC)
AHEAD_S = {"desk-1": 0.0, "desk-3": -61.5, "twin-1.a": 2.75, "gate-2": 0.4}
"""By how much each clock is ahead of desk-1's."""

LAB = """falsework: 1
lab: two desks
outside:
  mains: the grid
power:
  A: {is: strip, fed by: mains}
  B: {is: strip, fed by: mains}
machines:
  desk-1: {is: node, fed by: A}
  desk-3: {is: node, fed by: B}
  twin-1: {is: enclosure, holds: {a..b: {is: node}}, supplies: 2, fed by: [A, B]}
  gate-2: {is: node, fed by: B}
services:
  mail: {on: desk-1, restarts in: 40 s}
  files: {on: desk-3}
"""
"""A lab of the same machines."""


@dataclass(frozen=True)
class Told:
    """One line before it is written: seconds after the moment by true time."""

    at_s: float
    app: str
    severity: int
    text: str


def _usual(dice, hours):
    """Beats that go on all day, with numbers that never come again."""
    for app, every_s, text in (
        ("cron", 300, "job {n} done in {x} s"),
        ("mailer", 70, "queue {n} delivered to 198.51.100.{b}"),
        ("clock", 120, "offset {x} ms, delay {x} ms"),
    ):
        at = -hours * 3_600.0
        while at < 1_800:
            at += dice.uniform(0.9, 1.1) * every_s
            yield Told(
                at,
                app,
                6,
                text.format(n=dice.randrange(10**6), x=round(dice.random(), 3), b=dice.randrange(255)),
            )


def told(hours=5, seed=1):
    """By host what it tells, in order of true time, ties between clocks included."""
    dice = random.Random(seed)
    found = {host: list(_usual(dice, hours)) for host in AHEAD_S}
    # Strip A feeds desk-1 and one supply of the twins.
    found["desk-1"] = [each for each in found["desk-1"] if each.at_s < 0]
    found["twin-1.a"] += [
        Told(0.35, "kernel", 2, "power supply 1: input lost"),
        *(Told(1 + n * 0.5, "sensors", 4, f"supply 1 reads {n} W") for n in range(340)),
    ]
    found["gate-2"] += [
        Told(0.9, "kernel", 4, "port 1: link is down"),
        Told(4.2, "router", 5, "neighbour 10.20.10.1 is gone, taking over"),
    ]
    found["desk-3"] += [
        Told(12.5, "names", 3, "cannot reach 10.20.10.5, giving up after 10 s"),
        Told(600.0, "files", 3, "disk d2 has read errors"),
    ]
    hosts = sorted(AHEAD_S)
    for number in range(240):
        one, other = dice.sample(hosts, 2)
        at = dice.uniform(-3_000, -10)
        later = at + dice.uniform(0.002, 0.05)
        name = f"{number:03x}e9{dice.getrandbits(20):05x}"
        found[one].append(Told(at, "peer", 6, f"sent request {name} to {other}"))
        found[other].append(Told(later, "peer", 6, f"received request {name} from {one}"))
    return {host: sorted(lines, key=lambda each: each.at_s) for host, lines in found.items()}


def written(host, line):
    """A line in the way of its host."""
    when = MOMENT + datetime.timedelta(seconds=line.at_s + AHEAD_S[host])
    if host == "twin-1.a":
        return json.dumps(
            {
                "__REALTIME_TIMESTAMP": str(round(when.timestamp() * 1e6)),
                "_HOSTNAME": "twin-1a",
                "PRIORITY": str(line.severity),
                "SYSLOG_IDENTIFIER": line.app,
                "MESSAGE": line.text,
            }
        )
    if host == "desk-3":
        stamp = f"{when:%b} {when.day:2d} {when:%H:%M:%S}.{when.microsecond // 1000:03d}"
        return f"<{24 + line.severity}>{stamp} {host} {line.app}[{line.severity + 9}]: {line.text}"
    if host == "gate-2":
        return f"{when:%Y-%m-%dT%H:%M:%S.%f}+00:00 gate-2.rock.home.arpa {line.app}[7]: {line.text}"
    return f"<{24 + line.severity}>1 {when:%Y-%m-%dT%H:%M:%S.%f}Z {host} {line.app} 77 - - {line.text}"


def write(folder: Path, hours=5, seed=1):
    """A file for each host; their paths, in order of the hosts' names."""
    paths = []
    for host, lines in sorted(told(hours, seed).items()):
        path = folder / f"{host}.log"
        path.write_text("".join(f"{written(host, line)}\n" for line in lines), encoding="utf-8")
        paths.append(path)
    return paths
