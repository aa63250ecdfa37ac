"""Labs that are plain graphs: a switch for each vertex and a cable for each edge."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path

from tests.strategies import lab_of, text_of

from falsework.model.lab import Lab
from falsework.model.parts import Cable
from falsework.support.standing import Standing

OPEN_DATA = Path(os.environ.get("FALSEWORK_OPEN_DATA") or Path(__file__).parents[3] / "shared" / "data")
ABSENT = "the open data sets are not here: set FALSEWORK_OPEN_DATA to the folder that holds networks/"

Edge = tuple[str, str]


@dataclass(frozen=True)
class Wired:
    """A graph as a lab, ready for questions; `cables` are the ids of the edges, in their order."""

    lab: Lab
    standing: Standing
    cables: tuple[str, ...]


def two_terminal(edges: Sequence[Edge], source: str, target: str) -> Wired:
    """A lab whose service `here`, at one vertex, needs `there`, at another."""
    nodes = {"here-node": source, "there-node": target}
    services = {"there": {"on": "there-node"}, "here": {"on": "here-node", "needs": ["there"]}}
    return _wired(edges, nodes, services)


def all_terminal(edges: Sequence[Edge]) -> Wired:
    """A lab whose service `whole` has a copy at each vertex and serves only while all of them meet."""
    vertices = sorted({vertex for edge in edges for vertex in edge})
    nodes = {f"node-{vertex}": vertex for vertex in vertices}
    return _wired(edges, nodes, {"whole": {"on": list(nodes), "serves": "all"}})


def _wired(edges: Sequence[Edge], nodes: dict[str, str], services: dict[str, object]) -> Wired:
    vertices = dict.fromkeys(vertex for edge in edges for vertex in edge)
    machines = {f"sw-{vertex}": {"is": "switch"} for vertex in vertices} | {n: {"is": "node"} for n in nodes}
    runs = [f"sw-{a} -- sw-{b}" for a, b in edges]
    plugs = [f"{node} -- sw-{vertex}" for node, vertex in nodes.items()]
    lab = lab_of(
        text_of(
            {
                "falsework": 1,
                "lab": "A graph",
                "machines": machines,
                "wire": {"cables": [*runs, *plugs]},
                "services": services,
            }
        )
    )
    cables = tuple(str(cable.id) for cable in lab.of(Cable))
    return Wired(lab, Standing(lab), cables[: len(edges)])


def states(wired: Wired, service: str) -> list[tuple[int, bool]]:
    """For every set of failed edges, how many edges fail and whether the service still serves."""
    losses = [lost for size in range(len(wired.cables) + 1) for lost in combinations(wired.cables, size)]
    services = wired.standing.support.services
    rows = wired.standing.service_rows(losses)[len(services) + services.index(service)]
    return list(zip(map(len, losses), rows.tolist(), strict=True))


def reliability(wired: Wired, service: str, p: float) -> float:
    """The chance that a service serves when each edge works with chance p, from every state of the edges."""
    count = len(wired.cables)
    return sum(p ** (count - lost) * (1 - p) ** lost for lost, serves in states(wired, service) if serves)


BRIDGE = (("s", "x"), ("s", "y"), ("x", "y"), ("x", "t"), ("y", "t"))
"""The bridge with its links a, b, c, d, e: a and b at the source, d and e at the terminal, c across."""


def complete(count: int) -> tuple[Edge, ...]:
    """Every pair of so many vertices."""
    return tuple(combinations(map(str, range(count)), 2))


def ring(count: int) -> tuple[Edge, ...]:
    """So many vertices in a ring."""
    return tuple((str(at), str((at + 1) % count)) for at in range(count))
