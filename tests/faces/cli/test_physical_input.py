"""Is whatever can't be, of what a lab is made of, told with its place and a mend, by every command that asks for it?"""

from __future__ import annotations

import re

import pytest
from tests.faces.cli.typed import typed

pytestmark = pytest.mark.slow

COMMANDS = ("power", "rack", "noise", "drives", "wire", "addresses")
HEAD = "falsework: 1\nlab: t\n"
GRID = "outside: {grid: the street}\n"
WIRED = """machines: {n1..2: {is: node, ports: {a: 1 Gb/s}}, s: {is: switch, ports: 16}}
wire:
  cables: [n* -- s]
"""

WRONG = {
    "a supply that does not take the voltage": (
        f"{GRID}power: {{c: {{is: circuit, fed by: grid, volts: 230 V}}}}\n"
        "machines: {n: {is: node, fed by: c, draws: 100 W, accepts: 100..127 V}}\n",
        "5:60 (machines.n.accepts): n takes 100..127 V, and c gives it 230 V",
    ),
    "a circuit that feeds itself": (
        "power: {c: {is: circuit, fed by: c}}\nmachines: {n: {is: node, fed by: c}}\n",
        "3:34 (power.c.fed by): power runs in a circle: c -> c.",
    ),
    "two strips that feed each other": (
        "power: {c: {is: strip, fed by: d}, d: {is: strip, fed by: c}}\nmachines: {n: {is: node, fed by: c}}\n",
        "3:59 (power.d.fed by): power runs in a circle: c -> d -> c.",
    ),
    "more units than the rack has": (
        "places: {r: {is: rack, units: 4}}\nmachines: {n: {is: node, in: r, at: 4 U, height: 2 U}}\n",
        "4:37 (machines.n.at): n reaches to 5 U, and r has 4.",
    ),
    "two in one place of a rack": (
        "places: {r: {is: rack, units: 4}}\nmachines:\n  a: {is: node, in: r, at: 1 U, height: 2 U}\n"
        "  b: {is: node, in: r, at: 2 U, height: 1 U}\n",
        "6:28 (machines.b.at): b is where a is: both take unit 2 of r.",
    ),
    "a rack of no units": (
        "places: {r: {is: rack, units: 0}}\nmachines: {n: {is: node, in: r}}\n",
        "3:31 (places.r.units): found '0'.",
    ),
    "ranges that overlap": (
        f"{WIRED}  networks: {{house: {{subnet: 10.0.0.0/24, over: s}}, barn: {{subnet: 10.0.0.128/25, over: s}}}}\n",
        "6:68 (wire.networks.barn.subnet): 10.0.0.128/25 overlaps 10.0.0.0/24, the subnet of house.",
    ),
    "a pool in what is fixed": (
        f"{WIRED}  networks: {{house: {{subnet: 10.0.0.0/24, over: s, pool: .10-.20, fixed: .15-.30}}}}\n",
        "6:58 (wire.networks.house.pool): 10.0.0.15 is in `fixed` and in `pool` of house.",
    ),
    "two machines with one address": (
        f"{WIRED}  networks: {{house: {{subnet: 10.0.0.0/24, over: s}}}}\n"
        "addresses: {house: {n1: 10.0.0.5, n2: 10.0.0.5}}\n",
        "7:39 (addresses.house.n2): ",
    ),
    "a range of all addresses": (
        f'{WIRED}  ranges: ["::/0"]\n  networks: {{house: {{over: s, room for: 10}}}}\n',
        "6:12 (wire.ranges): ::/0 is not yours to give",
    ),
    "a subnet too small": (
        f"{WIRED}  networks: {{house: {{subnet: 10.0.0.0/29, over: s, room for: 100}}}}\n",
        "6:62 (wire.networks.house.room for): 10.0.0.0/29 has 6 addresses for hosts, and `room for` says 100.",
    ),
    "a battery of zero": (
        f"{GRID}power: {{c: {{is: ups, fed by: grid, battery: 0 Wh}}}}\nmachines: {{n: {{is: node, fed by: c}}}}\n",
        "4:45 (power.c.battery): a battery of 0 Wh can't be.",
    ),
    "a battery that carries nothing": (
        f"{GRID}power: {{c: {{is: ups, fed by: grid, carries: 0 W}}}}\nmachines: {{n: {{is: node, fed by: c}}}}\n",
        "4:45 (power.c.carries): ",
    ),
    "a battery with more than all left": (
        f"{GRID}power: {{c: {{is: ups, fed by: grid, battery: 9 Wh, left: 120 %}}}}\nmachines: {{n: node}}\n",
        "4:57 (power.c.left): ",
    ),
    "a curve of no point": (
        f"{GRID}power: {{c: {{is: ups, fed by: grid, runs: {{}}}}}}\nmachines: {{n: {{is: node, fed by: c}}}}\n",
        "4:42 (power.c.runs): found a mapping.",
    ),
    "a curve that rises": (
        f"{GRID}power: {{c: {{is: ups, fed by: grid, runs: {{300 W: 5 min, 600 W: 9 min}}}}}}\nmachines: {{n: node}}\n",
        "4:42 (power.c.runs): a larger load runs longer here.",
    ),
    "a surge below nothing": (
        f"{GRID}power: {{c: {{is: circuit, fed by: grid}}}}\n"
        "machines: {n: {is: node, fed by: c, surge: -5 A}}\n",
        "5:44 (machines.n.surge): '-5 A' is less than nothing.",
    ),
    "a breaker that bears less than its rating": (
        f"{GRID}power: {{c: {{is: circuit, fed by: grid, breaker: 9 A, bears surge: 0.5}}}}\nmachines: {{n: node}}\n",
        "4:67 (power.c.bears surge): ",
    ),
    "no number": (
        "machines: {n: {is: node, draws: NaN W}}\n",
        "3:33 (machines.n.draws): 'NaN W' is not a finite number.",
    ),
    "a number beyond all": (
        "machines: {n: {is: node, draws: 1e999 W}}\n",
        "3:33 (machines.n.draws): '1e999 W' is too large a number.",
    ),
    "a share of the wrong unit": (
        f"{GRID}power: {{c: {{is: ups, fed by: grid, battery: 432 Ah}}}}\nmachines: {{n: node}}\n",
        "4:45 (power.c.battery): ",
    ),
    "a day of 30 hours": (
        "places: {r: {is: room, stayed in: 30 h}}\nmachines: {n: {is: node, in: r, noise: 50 dB}}\n",
        "3:35 (places.r.stayed in): nobody stays 1 day 6 h of one day in a room.",
    ),
    "a wall to itself": (
        "places: {r: {is: room, next door: {r: 30 dB}}}\nmachines: {n: {is: node, in: r, noise: 50 dB}}\n",
        "3:35 (places.r.next door): r is named as next door to itself.",
    ),
    "air that cools as it warms": (
        "places: {r: {is: room, air rises: 0 °C}}\nmachines: {n: {is: node, in: r}}\n",
        "3:35 (places.r.air rises): ",
    ),
    "too many things": (
        "machines: {n1..400001: node}\n",
        "3:12 (machines.n1..400001): ",
    ),
    "a heap of no drives": (
        "machines: {n: {is: node, bays: 4}}\nheaps: {crate: {drives: [], bays of: n, wanted: 5 TB}}\n",
        "4:",
    ),
}


@pytest.mark.parametrize("case", WRONG)
def test_what_cant_be_is_told_with_its_place_and_a_mend(case, tmp_path):
    """Status 2, one line with file, line and column, what is wrong and how to mend it; no trace of our own inside."""
    text, says = WRONG[case]
    file = tmp_path / "lab.yaml"
    file.write_text(HEAD + text, encoding="utf-8")
    said = typed("check", str(file))
    assert (said.status, said.out) == (2, "")
    assert said.err.startswith(f"{file}:{says}"), said.err
    assert said.err.count("\n") == 1
    assert re.search(r"\. [A-Z`].*[.?]\n$", said.err), said.err  # what, then how to mend it
    assert "defect" not in said.err


@pytest.mark.parametrize("command", COMMANDS)
def test_each_command_reads_the_same_file(command, tmp_path):
    """All faults of a file come at once, whichever command is asked."""
    file = tmp_path / "lab.yaml"
    file.write_text(
        f"{HEAD}{GRID}power: {{c: {{is: ups, fed by: grid, battery: 0 Wh}}}}\n"
        "places: {r: {is: rack, units: 2}}\n"
        "machines: {n: {is: node, in: r, at: 3 U, fed by: c, surge: -1 A}}\n",
        encoding="utf-8",
    )
    said = typed(command, str(file))
    assert said.status == 2
    assert (
        said.err.count("\n") == 3 or "surge" in said.err
    )  # what can't be read is told before what makes no sense
    assert "defect" not in said.err
    assert all(line.startswith(f"{file}:") for line in said.err.splitlines())


NOTHING = "machines: {n: node}\n"
ODD = {
    "nothing is told": (NOTHING, dict.fromkeys(("power", "rack", "noise", "wire"), 0)),
    "watts and no volts": (
        f"{GRID}power: {{c: {{is: circuit, fed by: grid, breaker: 16 A}}}}\n"
        "machines: {n: {is: node, fed by: c, draws: 100 W}}\n",
        {"power": 0},
    ),
    "a curve of one point": (
        f"{GRID}power: {{c: {{is: ups, fed by: grid, runs: {{300 W: 10 min}}}}}}\n"
        "machines: {n: {is: node, fed by: c, draws: 100 W}}\n",
        {"power": 0},
    ),
    "a heap of ten thousand drives": (
        "kinds: {old: {is: drive, size: 2 TB}}\nmachines: {n1..4: {is: node, bays: 4}}\n"
        "heaps: {crate: {drives: [10000 old], bays of: n*, wanted: 5 TB}}\n",
        {"drives": 0},
    ),
    "what is higher than its rack": (
        "places: {r: {is: rack, units: 4}}\nmachines: {n: {is: node, in: r, height: 6 U}}\n",
        {"rack": 1},
    ),
    "a machine that draws nothing": (
        f"{GRID}power: {{c: {{is: circuit, fed by: grid, breaker: 1 A}}}}\n"
        "machines: {n: {is: node, fed by: c, draws: 0 W}}\n",
        {"power": 0},
    ),
    "a surge beyond every breaker": (
        f"{GRID}power: {{c: {{is: circuit, fed by: grid, breaker: 1 A, bears surge: 3}}}}\n"
        "machines: {n: {is: node, fed by: c, draws: 1 W, surge: 1000 A}}\n",
        {"power": 1},
    ),
    "two voltages at one machine": (
        f"{GRID}power: {{c: {{is: circuit, fed by: grid, volts: 230 V}}, d: {{is: circuit, fed by: grid, volts: 115 V}}}}\n"
        "machines: {n: {is: node, fed by: [c, d], draws: 100 W}}\n",
        {"power": 0, "check": 0},
    ),
}


@pytest.mark.parametrize(
    ("case", "command"), [(case, command) for case, (_, asked) in ODD.items() for command in asked]
)
@pytest.mark.slow
def test_what_is_odd_is_answered(case, command, tmp_path):
    """What can be, however unlikely, gets an answer with its stated status, whole sentences and no trace."""
    text, asked = ODD[case]
    file = tmp_path / "lab.yaml"
    file.write_text(HEAD + text, encoding="utf-8")
    for more in ((), ("--json",)) if command != "check" else ((),):
        said = typed(command, str(file), *more)
        assert (said.status, said.err) == (asked[command], ""), said.err
        assert not re.search(r"\bnan\b|\binf\b|Infinity|NaN|None\b", said.out), said.out


@pytest.mark.parametrize("command", ["drives", "addresses"])
def test_a_question_about_what_the_lab_has_not(command, tmp_path):
    """Without a heap or a network there is nothing to answer: status 2, and what to write."""
    file = tmp_path / "lab.yaml"
    file.write_text(HEAD + NOTHING, encoding="utf-8")
    said = typed(command, str(file))
    assert (said.status, said.out) == (2, "")
    assert "`" in said.err
    assert said.err.count("\n") == 1


def test_a_name_that_is_too_long(tmp_path):
    """A hundred thousand letters are told in short."""
    file = tmp_path / "lab.yaml"
    file.write_text(f"{HEAD}machines:\n  ? {'n' * 100_000}\n  : node\n", encoding="utf-8")
    said = typed("power", str(file))
    assert said.status == 2
    assert len(said.err) < 600
    assert "defect" not in said.err
