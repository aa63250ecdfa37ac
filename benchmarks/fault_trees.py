"""How long do fault trees take: the top event's probability, exact or between bounds, and the count of cut sets?

Usage: python benchmarks/fault_trees.py FILE... [--seconds S] [--time T] [--against]

Files are in the Open-PSA Model Exchange Format or in the Galileo format. Prints one JSON object a line, a tree
each, solved in a process of its own. `seconds` is wall time from the tree read to the last answer, `peak_mib` the
largest memory of that process, libraries included; null is what could not be found, or was not given, in time.
--seconds is the time for each tree (default 120), --time the mission time for files that give failure rates.
--against also builds each tree the plain way and prints a table to standard error.
The exit status is 2 if a tree could not be read or solved (its line says `error`), 1 if the two ways disagree.
"""

from __future__ import annotations

import argparse
import json
import math
import os
import re
import resource
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from falsework.engines.trees.tree import Tree

KEYS = (
    "tree",
    "events",
    "gates",
    "minimal_cut_sets",
    "top_probability",
    "lower",
    "upper",
    "seconds",
    "peak_mib",
)
GRACE = 20.0  # seconds more before a process is ended: for reading, and for the step it is in
PLAIN_BYTES = 6 << 30  # address space for the plain way, twice what the other one is allowed
SLOW = 0.5  # seconds; faster than this, the plain way is good enough and a ratio says little


def peak_mib() -> float:
    """The most memory this process has had, MiB."""
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return round(most / (1 << 20 if sys.platform == "darwin" else 1 << 10), 1)


def counted(path: Path, tree: Tree) -> tuple[int, int]:
    """Basic events and gates that the file defines, used by the top event or not."""
    from falsework.engines.trees.tree import Op

    gates = [
        n for n, gate in zip(tree.gate_names, tree.gates, strict=True) if n and gate.op is not Op.CONSTANT
    ]
    text = path.read_text(encoding="utf-8", errors="replace")
    if not text.lstrip("\ufeff \t\r\n").startswith("<"):
        events = re.findall(r'^\s*(?:"([^"]+)"|(\S+))\s+\w+\s*=', text, flags=re.MULTILINE)
        names = {a or b for a, b in events}
        more = sum(name in names for name in tree.unreached)
        return len(tree.events) + more, len(gates) + len(tree.unreached) - more
    text = re.sub(r"<!--.*?-->", "", text, flags=re.DOTALL)
    inner = set(re.findall(r"<define-(?:gate|house-event)\s[^>]*?\bname\s*=\s*[\"']([^\"']*)", text))
    more = sum(name.rpartition(".")[2] not in inner for name in tree.unreached)
    return len(tree.events) + more, len(re.findall(r"<define-gate\b", text)) or len(gates)


def ours(path: Path, seconds: float, mission: float | None) -> dict[str, Any]:
    """Read and solve one tree in this process."""
    from falsework.engines.diagrams.solve import solve
    from falsework.engines.trees.read import read

    tree = read(path, time=mission)
    began = time.perf_counter()
    found = solve(tree, seconds=seconds)
    spent = time.perf_counter() - began
    events, gates = counted(path, tree)
    return {
        "tree": path.stem,
        "events": events,
        "gates": gates,
        "minimal_cut_sets": found.minimal_cut_sets,
        "top_probability": found.top_probability,
        "lower": found.lower,
        "upper": found.upper,
        "seconds": round(spent, 3),
        "peak_mib": peak_mib(),
        "laps": dict(found.seconds),
        "nodes": found.nodes,
        "order": found.order,
    }


def between(path: Path, _seconds: float, mission: float | None) -> dict[str, Any]:
    """Read one tree and only bound it, in this process."""
    from falsework.engines.diagrams.bounded import bounds
    from falsework.engines.diagrams.limits import Limits
    from falsework.engines.trees.read import read

    tree = read(path, time=mission)
    began = time.perf_counter()
    given = all(chance is not None for chance in tree.probabilities)
    found = bounds(tree, limits=Limits.within(GRACE)) if given else None
    events, gates = counted(path, tree)
    return {
        "tree": path.stem,
        "events": events,
        "gates": gates,
        "minimal_cut_sets": None,
        "top_probability": None,
        "lower": found.lower if found else None,
        "upper": found.upper if found else None,
        "seconds": round(time.perf_counter() - began, 3),
        "peak_mib": peak_mib(),
    }


def plain(path: Path, _seconds: float, mission: float | None) -> dict[str, Any]:
    """What a competent person writes first: one diagram, events as met from the left, gate after gate."""
    from dd import cudd

    from falsework.engines.trees.read import read
    from falsework.engines.trees.tree import Op

    resource.setrlimit(resource.RLIMIT_AS, (PLAIN_BYTES, PLAIN_BYTES))
    tree = read(path, time=mission)
    n = len(tree.events)
    began = time.perf_counter()
    order, seen, stack = list[int](), set[int](), [tree.top]
    while stack:
        node = stack.pop()
        if node in seen:
            continue
        seen.add(node)
        if node < n:
            order.append(node)
        else:
            stack.extend(reversed(tree.gates[node - n].inputs))
    diagrams = cudd.BDD()
    diagrams.configure(reordering=False)
    diagrams.declare(*(f"x{event}" for event in order))
    function = {event: diagrams.var(f"x{event}") for event in order}
    start = {Op.AND: diagrams.true, Op.OR: diagrams.false, Op.XOR: diagrams.false}
    for number, gate in enumerate(tree.gates):
        inputs = [function[node] for node in gate.inputs]
        if gate.op in start:
            made = inputs[0] if inputs else start[gate.op]
            for each in inputs[1:]:
                made = diagrams.apply(gate.op.value, made, each)
        elif gate.op is Op.NOT:
            made = ~inputs[0]
        elif gate.op is Op.SAME:
            made = inputs[0]
        elif gate.op is Op.CONSTANT:
            made = diagrams.true if gate.k else diagrams.false
        else:
            row = [diagrams.true] + [diagrams.false] * gate.k
            for each in reversed(inputs):
                row = [row[0], *(diagrams.ite(each, row[k - 1], row[k]) for k in range(1, gate.k + 1))]
            made = row[gate.k]
        function[n + number] = made
    built = time.perf_counter()
    chances = {f"x{event}": tree.probabilities[event] for event in order}
    known: dict[int, float] = {}
    sys.setrecursionlimit(10_000 + 4 * n)

    def likely(node: Any) -> float:  # noqa: ANN401 - the library has no types
        if node.negated:
            return 1.0 - likely(~node)
        if node == diagrams.true:
            return 1.0
        key = int(node)
        if key not in known:
            p = chances[node.var]
            assert p is not None
            known[key] = p * likely(node.high) + (1.0 - p) * likely(node.low)
        return known[key]

    given = all(chance is not None for chance in chances.values())
    probability = likely(function[tree.top]) if given else None
    return {
        "tree": path.stem,
        "top_probability": probability,
        "build": built - began,
        "seconds": time.perf_counter() - began,
        "peak_mib": peak_mib(),
    }


WAYS = {"ours": ours, "between": between, "plain": plain}


def one(way: str, path: Path, seconds: float, mission: float | None) -> None:
    """Do one tree one way, print what was found or what is wrong, and leave."""
    from falsework.errors import FalseworkError

    try:
        found = WAYS[way](path, seconds, mission)
        line = json.dumps(found, allow_nan=False)
    except FalseworkError as error:
        line = json.dumps({"tree": path.stem, "error": str(error)})
    except Exception as error:  # a defect of ours: still one line, and the other trees go on
        line = json.dumps({"tree": path.stem, "error": f"{type(error).__name__}: {error}"})
    print(line, flush=True)
    os._exit(0)  # taking a large diagram apart takes seconds and gives nothing


def apart(way: str, path: Path, seconds: float, mission: float | None) -> dict[str, Any]:
    """The same in a process of its own, which may be ended by whomever."""
    command = [sys.executable, __file__, "--one", way, "--seconds", repr(seconds)]
    command += [] if mission is None else ["--time", repr(mission)]
    # The plain way never looks at the clock.
    allowed = seconds + (0.0 if way == "plain" else GRACE)
    try:
        ran = subprocess.run(
            [*command, "--", str(path)], capture_output=True, text=True, timeout=allowed, check=False
        )
    except subprocess.TimeoutExpired:
        return {"tree": path.stem, "error": f"ended after {allowed:,.0f} s", "late": True}
    try:
        found: dict[str, Any] = json.loads(ran.stdout.splitlines()[-1])
        return found
    except (IndexError, ValueError):
        code = ran.returncode
        how = f"by {signal.Signals(-code).name}" if code < 0 else f"with status {code}"
        said = ran.stderr.strip().splitlines()[-1:] or ["nothing was said"]
        return {"tree": path.stem, "error": f"the process ended {how}: {said[0]}"}


def solved(path: Path, seconds: float, mission: float | None) -> dict[str, Any]:
    """What is found of one tree; where the time ran out within one long step, another process gives bounds."""
    began = time.perf_counter()
    found = apart("ours", path, seconds, mission)
    if "late" in found:
        less = apart("between", path, seconds, mission)
        if "error" not in less:
            found = {**less, "seconds": round(time.perf_counter() - began, 3)}
    return found


def quick(found: dict[str, Any]) -> float | None:
    """Seconds to build and for the probability; None where the diagram grew too large."""
    laps = found.get("laps", {})
    return laps["build"] + laps["probability"] if "probability" in laps else None


def row(mine: dict[str, Any], other: dict[str, Any], seconds: float) -> str:
    """One line of the table."""
    a = quick(mine)
    b = other.get("seconds")
    late = f"over {seconds:,.0f}" if other.get("late") else "out of memory or broken off"
    ratio = (
        "" if a is None else f"{b / a:,.2f}" if b else f"over {seconds / a:,.1f}" if other.get("late") else ""
    )
    laps = mine.get("laps", {})
    count = laps.get("cut sets", 0.0) + laps["count"] if "count" in laps else None
    cells = [
        mine["tree"],
        "bounds only" if a is None else f"{a:.3f}",
        f"{b:.3f}" if b else late,
        ratio,
        "" if count is None else f"{count:.3f}",
        f"{mine.get('peak_mib', 0):,.0f}",
        f"{other['peak_mib']:,.0f}" if b else "",
    ]
    return f"| {' | '.join(cells)} |"


HEAD = """| tree | build and probability, s | the plain way, s | ratio | cut sets and count, s | peak, MiB | plain peak, MiB |
| --- | --- | --- | --- | --- | --- | --- |"""


def mean(ratios: list[float]) -> str:
    """The geometric mean, as text."""
    return f"{math.exp(math.fsum(map(math.log, ratios)) / len(ratios)):.2f}" if ratios else "none"


def compare(pairs: list[tuple[dict[str, Any], dict[str, Any]]], seconds: float) -> int:
    """Print the table; return how many probabilities differ."""
    say = lambda text: print(text, file=sys.stderr, flush=True)  # noqa: E731
    say(HEAD)
    finished, late, unlike = [], [], 0
    for mine, other in pairs:
        if "error" in mine:
            continue
        say(row(mine, other, seconds))
        a, b = quick(mine), other.get("seconds")
        if a is not None and b and b > SLOW:
            finished.append(b / a)
        if a is not None and other.get("late"):
            late.append(seconds / a)
        p, q = mine.get("top_probability"), other.get("top_probability")
        if p is not None and q is not None and not math.isclose(p, q, rel_tol=1e-6, abs_tol=1e-15):
            unlike += 1
            say(f"The two ways disagree on {mine['tree']}: {p!r} and {q!r}.")
    say(
        f"\nGeometric mean of the ratios where the plain way takes over {SLOW} s and finishes: {mean(finished)}"
        f" ({len(finished)} trees); with those it did not finish in time, at its limit: at least"
        f" {mean(finished + late)} ({len(finished + late)} trees)."
    )
    return unlike


def main(arguments: list[str]) -> int:
    """Do all trees, one after the other."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("files", nargs="+", type=Path, metavar="FILE")
    parser.add_argument("--seconds", type=float, default=120.0, help="wall time for each tree, roughly")
    parser.add_argument("--time", type=float, help="mission time, in the unit of the files' rates")
    parser.add_argument(
        "--against", action="store_true", help="also the plain way; a table to standard error"
    )
    parser.add_argument("--one", choices=tuple(WAYS), help=argparse.SUPPRESS)
    given = parser.parse_args(arguments)
    if not 0 < given.seconds < math.inf:
        parser.error("--seconds must be more than 0, and finite")
    sys.set_int_max_str_digits(0)  # counts of cut sets may be long
    if given.one:
        one(given.one, given.files[0], given.seconds, given.time)
    failed, pairs = False, []
    for path in given.files:
        found = solved(path, given.seconds, given.time)
        failed |= "error" in found
        keys = ("tree", "error") if "error" in found else KEYS
        print(json.dumps({key: found[key] for key in keys}, allow_nan=False), flush=True)
        if given.against:
            pairs.append((found, apart("plain", path, given.seconds, given.time)))
    unlike = compare(pairs, given.seconds) if given.against else 0
    return 2 if failed else 1 if unlike else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
