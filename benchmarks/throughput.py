"""How fast are the largest flows of published networks, and all traffic after each single loss, beside the plain ways?

Usage: python benchmarks/throughput.py [NODES]...     (default 100 1000)

flows    pairs of places of the published networks ($FALSEWORK_OPEN_DATA, else ../shared/data; left out where absent):
         ours against a general graph library, both with the graph at hand
traffic  an invented lab of so many nodes in which every service sends to the users and to another service: ours, anew
         only what a loss can change, against all traffic anew after each loss (of large labs a sample of losses)

Prints one JSON object a line, and writes them to results/throughput.json. Fails only if the two ways disagree.
"""

from __future__ import annotations

import json
import os
import random
import re
import sys
import time
import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator
from itertools import combinations
from pathlib import Path
from typing import Any

import networkx as nx

from falsework.analyses.wire.after_loss import Losing
from falsework.analyses.wire.loads import Flowing
from falsework.analyses.wire.traffic import flowing
from falsework.engines.flow.largest import largest
from falsework.engines.flow.net import Link, Net
from falsework.invent import invent
from falsework.lab.read import read_text
from falsework.model.build import build
from falsework.support.single_losses import single_losses
from falsework.support.standing import Standing

RESULTS = Path(__file__).parent / "results"
OPEN_DATA = Path(os.environ.get("FALSEWORK_OPEN_DATA") or Path(__file__).parents[2] / "shared" / "data")
SPACE = "{http://graphml.graphdrawing.org/xmlns}"
PAIRS, SAMPLE = 120, 30


def flows() -> Iterator[dict[str, Any]]:
    """Largest flows between pairs of each published network, with links of 1, 10, 2 and 5 in turn."""
    files = sorted((OPEN_DATA / "networks" / "zoo").glob("*.graphml"))
    ours = theirs = 0.0
    count = 0
    for path in files:
        ends = [
            (e.get("source", ""), e.get("target", "")) for e in ElementTree.parse(path).iter(f"{SPACE}edge")
        ]
        joins = [(one, other) for one, other in ends if one != other]
        links = tuple(
            Link(name=str(number), one=one, other=other, carries=(1, 10, 2, 5)[number % 4])
            for number, (one, other) in enumerate(joins)
        )
        net, graph = Net(links=links), nx.Graph()
        for link in links:
            sofar = graph.get_edge_data(link.one, link.other, {"capacity": 0})["capacity"]
            graph.add_edge(link.one, link.other, capacity=sofar + link.carries)
        every = list(combinations(sorted(net.vertices), 2))
        pairs = random.Random(1).sample(every, min(PAIRS, len(every)))
        start = time.process_time()
        mine = [largest(net, *pair).value for pair in pairs]
        middle = time.process_time()
        plain = [nx.maximum_flow_value(graph, *pair) for pair in pairs]
        theirs += time.process_time() - middle
        ours += middle - start
        count += len(pairs)
        assert mine == plain, path.stem
    if files:
        yield {
            "networks": len(files),
            "pairs": count,
            "ours_s": round(ours, 3),
            "plain_s": round(theirs, 3),
            "times": round(theirs / ours, 1),
        }


def sending(nodes: int) -> Standing:
    """An invented lab in which every service sends to the users of the house and to another service."""
    text = invent(nodes, 1)
    before, after = text.split("\nservices:\n")
    names = re.findall(r"^  ([a-z][\w-]*): \{.*\bon: .*\}$", after, re.MULTILINE)
    chance = random.Random(3)

    def more(match: re.Match[str]) -> str:
        name, rest = match[1], match[2]
        if name == "router" or "sends" in rest:
            return match[0]
        to, rate = chance.choice(names), chance.choice((20, 50, 100, 200))
        return f"  {name}: {{{rest}, sends: [{rate} Mb/s to house, {rate} Mb/s to {to}]}}"

    after = re.sub(r"^  ([a-z][\w-]*): \{(.*\bon: .*)\}$", more, after, flags=re.MULTILINE)
    return Standing(build(read_text(f"{before}\nservices:\n{after}", "lab.yaml")))


def traffic(nodes: int) -> dict[str, Any]:
    """All traffic of such a lab after each single loss, ours and anew."""
    standing = sending(nodes)
    marks = [time.process_time()]
    found = flowing(standing)
    marks.append(time.process_time())
    losing = Losing(found)
    names = [name for name in losing.names if name in standing.support.things]
    changes = list(single_losses(standing, names))
    marks.append(time.process_time())
    for change in changes:
        losing.after(change.there, change.changed)
    marks.append(time.process_time())
    some = random.Random(2).sample(changes, min(SAMPLE, len(changes)))
    start = time.process_time()
    anew = [Flowing(found.talk, change.there).now for change in some]
    plain = (time.process_time() - start) / len(some) * len(changes)
    for change, whole in zip(some, anew, strict=True):
        less = losing.after(change.there, change.changed)
        asked = dict(found.now.asked) | (
            {place: much for place, (much, _) in less.asked.items()} if less else {}
        )
        assert {k: v for k, v in asked.items() if v} == {k: v for k, v in whole.asked.items() if v}, (
            change.parts
        )
    ours = marks[3] - marks[2]
    return {
        "nodes": nodes,
        "lines": len(found.streams),
        "strands": sum(len(line.flows) for line in found.now.lines),
        "losses": len(changes),
        "now_s": round(marks[1] - marks[0], 2),
        "what_a_loss_takes_s": round(marks[2] - marks[1], 2),
        "ours_s": round(ours, 2),
        "plain_s": round(plain, 1),
        "plain_sampled": len(some),
        "times": round(plain / ours),
    }


def main() -> None:
    """Measure, print, write."""
    found = []
    sizes = [int(each) for each in sys.argv[1:]] or [100, 1000]
    for row in (*flows(), *map(traffic, sizes)):
        print(json.dumps(row), flush=True)
        found.append(row)
    (RESULTS / "throughput.json").write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
