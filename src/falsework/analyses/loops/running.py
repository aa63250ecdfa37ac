"""Which things need each other every moment, and what does that mean when all are down?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from falsework.analyses.loops.result import Link, Loop
from falsework.analyses.loops.rings import smallest_rings
from falsework.model.lab import Lab
from falsework.model.services import Service
from falsework.support.standing import Standing


def running(standing: Standing, others: Sequence[Loop]) -> Iterator[Loop]:
    """Loops of needs to run: while they stand they hold each other up, which is no fault.

    Only needs without an alternative count. One with a hold counts too: it is met in the end or not.
    """
    links: dict[tuple[str, str], Link] = {}
    for link in _links(standing.lab):
        links.setdefault((link.thing, link.on), link)
    edges: dict[str, list[str]] = {}
    for thing, on in links:
        edges.setdefault(thing, []).append(on)
        edges.setdefault(on, [])
    stuck = [frozenset(loop.ring) for loop in others if loop.kind == "to start"]
    for ring in smallest_rings(edges, links):
        on_it = tuple(links[pair] for pair in pairwise(ring))
        starts = any(names & set(ring) for names in stuck)
        means = (
            "it holds while it stands; after a power cut it waits with a loop to start"
            if starts
            else "it holds while it stands; after a power cut each begins by itself, and all serve once the last has begun"
        )
        yield Loop(kind="to run", ring=ring, links=on_it, cuts=(), means=means)


def _links(lab: Lab) -> Iterator[Link]:
    for thing in lab.things.values():
        if thing.needs is not None:
            for says, listed in (("needs", thing.needs.run_and_start), ("needs to run", thing.needs.to_run)):
                for need in listed:
                    if not need.soft and (need.enough or 1) >= len(need.of.ids):
                        for on in need.of.ids:
                            yield Link(thing=thing.id, on=on, says=says, kind="to run", where=need.where)
        if isinstance(thing, Service) and thing.state_in is not None:
            on = thing.state_in.ids[0]
            yield Link(
                thing=thing.id,
                on=on,
                says="keeps its state in",
                kind="to run",
                where=thing.place("state_in"),
            )
