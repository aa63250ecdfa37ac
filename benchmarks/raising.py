"""How long does it take to find an order of work with the cheapest stand-ins, and to check one written by hand?

Usage: python benchmarks/raising.py [cold|small|large|order|sort]...     (default all of them)

cold   `falsework raise` of the bare observatory from a cold process, best of 5
small  cheapest stand-ins of bare labs small enough for the obvious way: sets in order of cost, each with a naive
       fixed point, until one suffices; the two must agree
large  a bare lab of 1,000 nodes and 500 services, step by step, with memory; the whole command besides; the obvious way for a while
order  a hand-written order of 200 steps, checked again, against a naive fixed point after every step
sort   begin order of a lab without alternatives, against a topological sort by a graph library

Prints one JSON object a line, and writes them to results/raising.json. Fails only if an answer is wrong.
"""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from heapq import heappop, heappush
from pathlib import Path
from typing import Any

from falsework.analyses.raising.plan import plan
from falsework.analyses.raising.result import Doing, Plan
from falsework.engines.founded.system import System
from falsework.invent import invent_bare
from falsework.lab.read import read_text
from falsework.model.build import build
from falsework.model.lab import Lab
from falsework.support.building import building
from falsework.support.standing import Standing

ROOT = Path(__file__).resolve().parent.parent
RESULTS = Path(__file__).parent / "results"
BARE = ROOT / "examples" / "observatory" / "bare.yaml"
PATIENCE_S = 10.0


def best(runs: int, work: Callable[[], Any]) -> tuple[float, Any]:
    """The least seconds of several runs, and what the last gave."""
    spent, found = [], None
    for _ in range(runs):
        start = time.perf_counter()
        found = work()
        spent.append(time.perf_counter() - start)
    return min(spent), found


# -- the obvious way -----------------------------------------------------------------------------------------


def naive(system: System, chosen: frozenset[int], may: frozenset[int] | None = None) -> set[int]:
    """What serves in the end, of what may be made: go over all items again and again until nothing changes."""
    begun: set[int] = set()
    serves: set[int] = set()
    changed = True
    while changed:
        changed = False
        for item, clauses in enumerate(system.begin):
            if item in begun or (item in system.costs and item not in chosen):
                continue
            if may is not None and item not in may:
                continue
            if all(
                sum(each in (begun if clause.begun else serves) for each in set(clause.of)) >= clause.enough
                for clause in clauses
            ):
                begun.add(item)
                changed = True
        hopeful = set(begun)
        shrunk = True
        while shrunk:
            out = {
                item
                for item in hopeful
                if not all(
                    sum(each in (begun if clause.begun else hopeful) for each in set(clause.of))
                    >= clause.enough
                    for clause in system.serve[item]
                )
            }
            hopeful -= out
            shrunk = bool(out)
        changed |= hopeful != serves
        serves = hopeful
    return serves


def by_cost(costs: dict[int, int]) -> Iterator[tuple[int, frozenset[int]]]:
    """Every set of offers, cheapest first."""
    offers = sorted(costs, key=lambda item: costs[item])
    heap: list[tuple[int, int, tuple[int, ...]]] = [(0, -1, ())]
    while heap:
        cost, last, chosen = heappop(heap)
        yield cost, frozenset(chosen)
        for at in range(last + 1, len(offers)):
            heappush(heap, (cost + costs[offers[at]], at, (*chosen, offers[at])))


def obvious(system: System, goals: tuple[int, ...], patience_s: float) -> tuple[int | None, int, float]:
    """The cost of the cheapest set that suffices (None if the time ran out), how many were tried, seconds."""
    start, tried = time.perf_counter(), 0
    for cost, chosen in by_cost(dict(system.costs)):
        tried += 1
        if naive(system, chosen).issuperset(goals):
            return cost, tried, time.perf_counter() - start
        if time.perf_counter() - start > patience_s:
            break
    return None, tried, time.perf_counter() - start


# -- the measurements -----------------------------------------------------------------------------------------


def standing_of(text: str) -> Standing:
    """A lab ready for questions."""
    return Standing(build(read_text(text, "lab.yaml")))


def cold() -> Iterator[dict[str, Any]]:
    """The whole command on the bare observatory, a process each."""

    def command() -> str:
        done = subprocess.run(
            [sys.executable, "-m", "falsework", "raise", str(BARE), "--json"],
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode in (0, 1), done.stderr
        return done.stdout

    seconds, _ = best(5, command)
    standing = Standing(build(read_text(BARE.read_text(encoding="utf-8"), "bare.yaml")))
    alone, found = best(5, lambda: plan(standing))
    assert found.proven
    yield {
        "what": "observatory",
        "command_cold_s": round(seconds, 2),
        "plan_alone_s": round(alone, 3),
        "steps": len(found.steps),
        "stand_ins": len(found.stand_ins),
    }


def small() -> Iterator[dict[str, Any]]:
    """Ours and the obvious way on labs where the obvious way ends."""
    for name, text in (
        ("observatory", BARE.read_text(encoding="utf-8")),
        *((f"{nodes} nodes", invent_bare(nodes, 1)) for nodes in (30, 100, 200)),
    ):
        standing = standing_of(text)
        made = building(standing.lab, standing.support)
        ours, found = best(3, lambda standing=standing: plan(standing))
        cost, tried, seconds = obvious(made.system, made.goals, PATIENCE_S)
        assert found.proven
        assert cost is None or cost == round(found.cost_s), (name, cost, found.cost_s)
        yield {
            "what": f"cheapest stand-ins, {name}",
            "stand_ins": len(made.system.costs),
            "ours_s": round(ours, 3),
            "obvious_s": round(seconds, 3),
            "obvious_ended": cost is not None,
            "sets_tried": tried,
            "ratio": round(seconds / ours, 1),
        }


def large() -> Iterator[dict[str, Any]]:
    """1,000 nodes and 500 services, each step by itself."""
    text = invent_bare(1000, 0)
    start = time.perf_counter()
    lab = build(read_text(text, "lab.yaml"))
    loaded = time.perf_counter()
    standing = Standing(lab)
    derived = time.perf_counter()
    found = plan(standing)
    planned = time.perf_counter()
    assert found.steps
    assert not found.stuck
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    made = building(lab, standing.support)
    with tempfile.NamedTemporaryFile("w", suffix=".yaml", encoding="utf-8") as file:
        file.write(text)
        file.flush()
        began = time.perf_counter()
        subprocess.run(
            [sys.executable, "-m", "falsework", "raise", file.name, "--json"],
            stdout=subprocess.DEVNULL,
            check=True,
        )
        command = time.perf_counter() - began
    peak = resource.getrusage(resource.RUSAGE_CHILDREN)
    cost, tried, seconds = obvious(made.system, made.goals, PATIENCE_S)
    yield {
        "what": "1,000 nodes",
        "services": sum(thing.IS == "service" for thing in lab.things.values()),
        "stand_ins": len(made.system.costs),
        "steps": len(found.steps),
        "lent": len(found.stand_ins),
        "load_s": round(loaded - start, 2),
        "derive_s": round(derived - loaded, 2),
        "plan_s": round(planned - derived, 2),
        "whole_s": round(planned - start, 2),
        "proven": found.proven,
        "peak_mib": memory,
        "command_s": round(command, 1),
        "command_cpu_s": round(peak.ru_utime + peak.ru_stime, 1),
        "command_peak_mib": peak.ru_maxrss // 1024,
        "obvious_s": round(seconds, 1),
        "obvious_ended": cost is not None,
        "sets_tried": tried,
    }


def by_hand(lab: Lab, found: Plan, most: int) -> str:
    """An order of at most so many steps, written as an owner would, from the steps of a plan."""
    lines = ["order:"]
    for step in found.steps:
        names = ", ".join(step.things)
        if step.doing is Doing.BRING:
            lines.append(f"  - {{do: bring {step.number}, brings: [{names}], takes: 1 h}}")
        elif step.doing is Doing.LEND:
            lines.append(f"  - {{do: lend {step.number}, with: [{names}], takes: 1 h}}")
        elif step.doing is Doing.COPY:
            lines.append(f"  - {{do: copy {step.number}, moves: [{names}], takes: 1 h}}")
        elif step.doing is Doing.REPOINT:
            lines.append(f"  - {{do: tell {step.number}, repoints: [{names}], takes: 1 h}}")
        elif step.doing is Doing.RETIRE:
            lines.append(f"  - {{do: retire {step.number}, retires: [{names}], takes: 1 h}}")
    return "\n".join(lines[: most + 1]) + "\n"


def order() -> Iterator[dict[str, Any]]:
    """An order of 200 steps written by hand, checked again."""
    from falsework.analyses.order import replay

    text = invent_bare(120, 2)
    standing = standing_of(text)
    written = text + "\n" + by_hand(standing.lab, plan(standing), 200)
    standing = standing_of(written)
    assert len(standing.lab.order) == 200, len(standing.lab.order)
    seconds, found = best(3, lambda: replay(standing.lab, standing=standing))
    made = building(standing.lab, standing.support)
    joins = frozenset(made.either.values())
    there = {made.item[name] for name in standing.support.things if name in made.item} - {
        made.item[thing]
        for moment in found.moments[-1:]
        for thing in moment.built
        if thing in made.item and thing not in found.moments[0].built
    }

    def after_each_step() -> int:
        """How many items serve in the end; less than what is checked, which asks the exact graph."""
        served: set[int] = set()
        for moment in found.moments:
            may = frozenset(there | joins | {made.item[name] for name in moment.built if name in made.item})
            lent = frozenset(made.item[name] for name in moment.lent if name in made.item)
            served = naive(made.system, lent, may | lent)
        return len(served)

    plain, _ = best(1, after_each_step)
    yield {
        "what": "order of 200 steps",
        "moments": len(found.moments),
        "replay_s": round(seconds, 3),
        "naive_each_step_s": round(plain, 3),
        "ratio": round(plain / seconds, 1),
        "slips": len(found.slips),
    }


def sort() -> Iterator[dict[str, Any]]:
    """Who begins after whom, without alternatives: ours against a topological sort."""
    import networkx as nx

    from falsework.engines.founded.growing import Growing

    standing = standing_of(invent_bare(1000, 0))
    made = building(standing.lab, standing.support)
    chosen = frozenset(made.system.costs)
    free = frozenset(range(len(made.system.names)))

    def ours() -> list[int]:
        growing = Growing(made.system, free=free)
        assert chosen <= growing.begun
        return [item for growth in growing.grown for item in growth.begun]

    seconds, rounds = best(3, ours)
    place = {item: at for at, item in enumerate(rounds)}
    edges = [  # of alternatives those that came first, so that there is no circle
        (provider, item)
        for item in rounds
        for clause in made.system.begin[item]
        for provider in sorted(set(clause.of), key=lambda each: place.get(each, len(place)))[: clause.enough]
    ]

    def theirs() -> list[int]:
        graph: nx.DiGraph[int] = nx.DiGraph()
        graph.add_nodes_from(rounds)
        graph.add_edges_from(edges)
        return list(nx.topological_sort(graph))

    plain, _ = best(3, theirs)
    yield {
        "what": "begin order of 1,000 nodes",
        "items": len(rounds),
        "edges": len(edges),
        "ours_s": round(seconds, 3),
        "topological_sort_s": round(plain, 3),
        "ratio": round(plain / seconds, 2),
    }


if __name__ == "__main__":
    PARTS = {"cold": cold, "small": small, "large": large, "order": order, "sort": sort}
    rows = []
    for wanted in sys.argv[1:] or list(PARTS):
        for row in PARTS[wanted]():
            print(json.dumps(row), flush=True)
            rows.append(row)
    if not sys.argv[1:]:
        RESULTS.mkdir(exist_ok=True)
        (RESULTS / "raising.json").write_text(json.dumps(rows, indent=1) + "\n", encoding="utf-8")
