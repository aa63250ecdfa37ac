"""How much faster is asking the engine for every pair than removing each pair from a graph and searching again?

Usage: python benchmarks/plain_way.py [NODES] [MOST_PAIRS]     (default 100 nodes, 20,000 pairs the plain way)

The plain way is what a competent person would write with networkx: what falls with each part is worked out
once, then for each pair the fallen vertices are left out of the wire and the component of the users' switch is
searched. It can only express labs without quorums, holds, take-over, room or data, so the lab is one of those.
Prints one JSON object; fails only if the two ways disagree on any pair that both looked at.
"""

from __future__ import annotations

import json
import random
import sys
import time
from itertools import combinations

import networkx as nx

from falsework.analyses.pairs import all_pairs
from falsework.lab.read import read_text
from falsework.model.build import build
from falsework.support.standing import Standing


def lab_text(nodes: int) -> str:
    """Nodes ten a strip, strips on four circuits, switches in a ring, each service on two nodes."""
    strips = max(nodes // 10, 2)
    ring = max(nodes // 10, 3)
    lines = ["falsework: 1", "lab: Plain", "outside: {mains: the wall}", "power:"]
    lines += [f"  c{number}: {{is: circuit, fed by: mains}}" for number in range(4)]
    lines += [f"  s{number}: {{is: strip, fed by: c{number % 4}}}" for number in range(strips)]
    lines += ["machines:"]
    lines += [f"  n{number}: {{is: node, fed by: s{number % strips}}}" for number in range(nodes)]
    lines += [f"  w{number}: switch" for number in range(ring)]
    lines += ["wire:", "  networks: {house: {users at: w0}}", "  cables:"]
    lines += [f"    - w{number} -- w{(number + 1) % ring}" for number in range(ring)]
    lines += [f"    - n{number} -- w{(number * 7) % ring}" for number in range(nodes)]
    lines += ["services:"]
    lines += [
        f"  v{number}: [n{number}, n{(number * 3 + nodes // 2 + 1) % nodes}]" for number in range(nodes // 2)
    ]
    return "\n".join(lines) + "\n"


def plain(standing: Standing, pairs: list[tuple[str, str]]) -> list[frozenset[str]]:
    """The services that stand after each pair, by graph search."""
    lab = standing.lab
    power: nx.DiGraph[str] = nx.DiGraph()
    wire: nx.Graph[str] = nx.Graph()
    copies: dict[str, list[str]] = {}
    for thing in lab.things.values():
        if thing.IS in ("circuit", "strip"):
            power.add_edge(thing.fed_by.ids[0], thing.id)  # type: ignore[attr-defined]
        elif thing.IS == "supply":
            power.add_edge(thing.source, thing.id)  # type: ignore[attr-defined]
            power.add_edge(thing.id, thing.holder)  # type: ignore[attr-defined]
        elif thing.IS == "cable":
            for machine, _ in thing.ends:  # type: ignore[attr-defined]
                wire.add_edge(thing.id, machine)
        elif thing.IS == "copy":
            copies.setdefault(thing.service, []).append(thing.host)  # type: ignore[attr-defined]
    falls = {part: {part, *(nx.descendants(power, part) if part in power else ())} for part in standing.parts}
    every = set(wire)
    found = []
    for a, b in pairs:
        alive = wire.subgraph(every - falls[a] - falls[b])
        seen = nx.node_connected_component(alive, "w0") if "w0" in alive else set()
        found.append(frozenset(name for name, hosts in copies.items() if any(host in seen for host in hosts)))
    return found


def main(nodes: int, most: int) -> int:
    """Measure both, compare them, print; 1 if they disagree."""
    text = lab_text(nodes)
    start = time.perf_counter()
    standing = Standing(build(read_text(text, "lab.yaml")))
    answer = all_pairs(standing)
    ours = time.perf_counter() - start
    pairs = list(combinations(answer.parts, 2))
    chosen = pairs if len(pairs) <= most else random.Random(0).sample(pairs, most)
    start = time.perf_counter()
    theirs = plain(standing, chosen)
    spent = (time.perf_counter() - start) * len(pairs) / len(chosen)
    row = {part: number for number, part in enumerate(answer.parts)}
    wrong = 0
    for (a, b), stands in zip(chosen, theirs, strict=True):
        values = answer.found.value(row[a], row[b])[: len(answer.services)]
        wrong += stands != frozenset(name for name, good in zip(answer.services, values, strict=True) if good)
    print(
        json.dumps(
            {
                "nodes": nodes,
                "parts": len(answer.parts),
                "services": len(answer.services),
                "pairs": len(pairs),
                "compared": len(chosen),
                "disagree": wrong,
                "plain_s": round(spent, 2),
                "plain_scaled_from_a_sample": len(chosen) < len(pairs),
                "falsework_s": round(ours, 3),
                "ratio": round(spent / ours, 1),
            }
        )
    )
    return 1 if wrong else 0


if __name__ == "__main__":
    given = [int(each) for each in sys.argv[1:]]
    sys.exit(main(*(given + [100, 20_000][len(given) :])))
