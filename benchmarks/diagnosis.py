"""Is what broke found right, and how long does that take?

Usage: python benchmarks/diagnosis.py [LABS [NODES]]

Prints four things. On LABS random labs of up to 14 parts (40 if not said) the chances of all parts against the sum
over every set of parts that may be out, told one after the other by the slow judge of the engines where there are
at most 8 parts, else by the engine that asks 64 at a time: how many agree to 1e-9. Of 100 random single failures of
the observatory and of an invented lab whose effects differ, how many are ranked first. How long a diagnosis takes,
as computed, best of three: the observatory, and an invented lab of NODES nodes (100 if not said). And how long the
plain way would take for as many sets: the definition of the gates, read set by set; timed on a few, then scaled.
Fails if a chance is wrong, or fewer than 95 of 100 are ranked first.
"""

from __future__ import annotations

import itertools
import math
import random
import sys
import time
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from falsework.analyses.diagnosis import diagnose
from falsework.analyses.diagnosis.reports import reports_of
from falsework.analyses.diagnosis.watched import Watched
from falsework.analyses.diagnosis.whole import scene_of
from falsework.engines.judge import judge
from falsework.errors import LabError
from falsework.invent import invent
from falsework.lab.read import read_text
from falsework.model.build import build, load
from falsework.support.standing import Standing

ROOT = Path(__file__).resolve().parent.parent
OBSERVATORY = ROOT / "examples" / "observatory" / "mended.yaml"
MOST, SLOW, CLOSE, TRIES, NEEDED, BEST = 14, 8, 1e-9, 100, 95, 3


def main(labs: int = 40, nodes: int = 100) -> None:
    """Measure, and print."""
    exact(labs)
    lab = Standing(build(read_text(invent(nodes), "lab.yaml")))
    observatory = Standing(load(OBSERVATORY))
    for name, standing in (("the observatory", observatory), (f"{nodes} nodes", lab)):
        ranked(name, standing)
        timed(name, standing)


def exact(labs: int) -> None:
    """Hold the chances of all parts against every set of parts."""
    made, slow, own, agreed, worst, draw = 0, 0, 0, 0, 0.0, random.Random(8)
    while made < labs:
        try:
            standing = Standing(build(read_text(_text(draw), "lab.yaml")))
        except LabError:
            continue
        services = list(standing.support.services)
        if len(standing.parts) > MOST or not services:
            continue
        draw.shuffle(services)
        n = draw.randint(1, min(2, len(services)))
        failing, answered = services[:n], services[n : n + draw.randint(0, len(services) - n)]
        made += 1
        _, prior = scene_of(standing)
        programs = len(prior.alone) + len(prior.shared) <= MOST
        by_judge = len(prior.alone if programs else standing.parts) <= SLOW
        slow, own = slow + by_judge, own + programs
        found = diagnose(standing, failing, answered, programs=programs).chance_of
        true = enumerated(standing, failing, answered, by_judge=by_judge, programs=programs)
        apart = max((abs(chance - true[part]) for part, chance in found.items()), default=0.0)
        worst = max(worst, apart)
        agreed += apart <= CLOSE
    print(
        f"random labs of up to {MOST} parts: {agreed} of {made} agree to {CLOSE:g} with every set ({slow} by the slow judge, {own} with services that may fail by themselves); worst {worst:.1e}"
    )
    assert agreed == made


def enumerated(
    standing: Standing, failing: Sequence[str], answered: Sequence[str], *, by_judge: bool, programs: bool
) -> dict[str, float]:
    """The chance of each part, summed over every set of parts and shared causes."""
    lab, prior = scene_of(standing, programs=programs)
    reports = reports_of(lab, failing, answered, ())
    events = [((part,), chance) for part, chance in prior.alone.items()]
    events += [(parts, chance) for _, parts, chance in prior.shared]
    states = []
    for happened in itertools.product((False, True), repeat=len(events)):
        weight = math.prod(
            chance if happens else 1.0 - chance for happens, (_, chance) in zip(happened, events, strict=True)
        )
        lost = {
            part for happens, (parts, _) in zip(happened, events, strict=True) if happens for part in parts
        }
        states.append((weight, lost))
    at = [lab.gates.back[report.thing] for report in reports]
    if by_judge:
        graph = lab.gates.graph.keeping(lab.gates.graph.kept[at])
        stand = np.array(
            [judge(graph, {lab.leaf[part] for part in lost}) for _, lost in states], dtype=np.bool_
        ).T
    else:
        stand = lab.rows([tuple(lost) for _, lost in states])[at]
    total, sums = 0.0, dict.fromkeys(prior.alone, 0.0)
    for column, (weight, lost) in enumerate(states):
        for row, report in enumerate(reports):
            yes = 1.0 - report.false_alarms if stand[row, column] else report.misses
            weight *= yes if report.yes else 1.0 - yes
        total += weight
        for part in lost:
            sums[part] += weight
    return {part: value / total for part, value in sums.items()}


def ranked(name: str, standing: Standing) -> None:
    """Fail random single parts whose effects differ, and look whether they are ranked first."""
    lab, _ = scene_of(standing)
    asked = _asked(lab)
    things = [thing for _, thing in asked]
    parts = standing.parts
    rows = lab.rows([(part,) for part in parts])[[lab.gates.back[thing] for thing in things]]
    alike: dict[bytes, list[str]] = {}
    for column, part in enumerate(parts):
        if not rows[:, column].all():
            alike.setdefault(np.packbits(rows[:, column]).tobytes(), []).append(part)
    groups = list(alike.values())
    draw = random.Random(95)
    first = 0
    for _ in range(TRIES):
        group = draw.choice(groups)
        part = draw.choice(group)
        column = parts.index(part)
        said = [(each, bool(up)) for (each, _), up in zip(asked, rows[:, column], strict=True)]
        found = diagnose(
            standing, [each for each, up in said if not up], [each for each, up in said if up], most=1
        )
        best = found.causes[0]
        first += len(best.parts) == 1 and part in set(best.parts[0]) | set(
            group if best.parts[0][0] in group else ()
        )
    print(f"{name}: of {TRIES} single failures ({len(groups)} sorts of effect), {first} ranked first")
    assert first >= NEEDED


def timed(name: str, standing: Standing) -> None:
    """How long a diagnosis takes, and how long the plain way would."""
    lab, _ = scene_of(standing)
    asked = [each for each, _ in _asked(lab)]
    spent = []
    for _ in range(BEST):
        start = time.process_time()
        found = diagnose(standing, asked[:2], asked[2:12])
        spent.append(time.process_time() - start)
    fresh = Standing(standing.lab, out=standing.out)
    start = time.process_time()
    diagnose(fresh, asked[:2], asked[2:12])
    first = time.process_time() - start
    graph = lab.gates.graph
    few = [(lab.leaf[part],) for part in lab.parts[:3]]
    start = time.process_time()
    for lost in few:
        judge(graph, set(lost))
    plain = (time.process_time() - start) / len(few) * found.tried
    print(
        f"{name}: {len(lab.parts):,} parts, {found.tried:,} sets: {min(spent):.2f} s ({first:.2f} s the first time); "
        f"set by set {plain:,.0f} s, {plain / min(spent):,.0f} times as long"
    )


def _asked(lab: Watched) -> list[tuple[str, str]]:
    """What could be said: of each service, and of each machine on a wire."""
    found = [(service, service) for service in lab.support.services if lab.baseline.back(service)]
    found += [
        (thing.removeprefix("ping "), thing)
        for thing in lab.support.things
        if thing.startswith("ping ") and lab.baseline.back(thing)
    ]
    return found


def _text(draw: random.Random) -> str:
    """A small lab: a few nodes, fed by a strip or two, perhaps behind a switch or two, perhaps of one batch."""
    nodes = [f"n{number + 1}" for number in range(draw.randint(1, 4))]
    strips = ["A", "B"][: draw.randint(0, 2)]
    switches = ["s1", "s2"][: draw.randint(0, 2)]
    lines = ["falsework: 1", "lab: A small one"]
    if strips:
        lines += ["power:", *(f"  {strip}: {{is: strip}}" for strip in strips)]
    lines += ["machines:"]
    for node in nodes:
        more = f", fed by: {draw.choice(strips)}" if strips and draw.random() < 0.7 else ""
        more += ", batch: k7" if draw.random() < 0.4 else ""
        lines.append(f"  {node}: {{is: node{more}}}")
    lines += [f"  {switch}: {{is: switch}}" for switch in switches]
    if switches:
        lines += ["wire:", "  cables:"]
        lines += [f"    - {node} -- {draw.choice(switches)}" for node in nodes]
        lines += ["    - s1 -- s2"] if len(switches) == 2 else []
    lines += ["services:"]
    names = [f"v{number + 1}" for number in range(draw.randint(1, 4))]
    for number, name in enumerate(names):
        on = draw.sample(nodes, draw.randint(1, len(nodes)))
        serves = draw.choice(["any", "any", "majority", "all"])
        needs = f", needs: [{draw.choice(names[:number])}]" if number and draw.random() < 0.5 else ""
        moves = ", takes over: 10 s" if serves == "any" and draw.random() < 0.3 else ""
        lines.append(f"  {name}: {{on: [{', '.join(on)}], serves: {serves}{needs}{moves}}}")
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
