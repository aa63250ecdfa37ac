"""What stops after what, and when has each thing stopped?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import rustworkx as rx

from falsework.model.lab import Lab
from falsework.model.parts import Powered, ThingId
from falsework.model.services import Copy, Service
from falsework.support.graph import Phase, SupportGraph

CARRIES_ON = ("node", "copy", "service", "store", "share", "drive")
"""What one thing's stop can wait for another through; power, places and wire stop nobody."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """An orderly stop.

    Attributes:
        told_s: when each thing is told.
        starts_s: when it begins to stop.
        done_s: when it has stopped.
        after: the thing whose stop it waited for last; itself not among them where it waited only to be told.
        circles: things that lean on each other in a circle and so are taken to stop one after another.
    """

    told_s: Mapping[str, float]
    starts_s: Mapping[str, float]
    done_s: Mapping[str, float]
    after: Mapping[str, str]
    circles: tuple[tuple[str, ...], ...]

    def way(self, last: str) -> tuple[str, ...]:
        """The things that a thing waited for, one after the other, itself at the end."""
        found = [last]
        while found[-1] in self.after:
            found.append(self.after[found[-1]])
        return tuple(reversed(found))


class Leaning:
    """Who leans on whom while things stop, with the circles found once.

    Args:
        lab: the lab.
        support: what leans on what.
        told: whatever is told to stop at some moment.
        spread_s: how long after the first of them the last is told.
    """

    def __init__(self, lab: Lab, support: SupportGraph, told: Iterable[str], spread_s: float) -> None:
        self.takes = {name: stops_s(lab, name) for name in told}
        # A need that may be unmet for longer than the whole stop can take asks for no order.
        whole = sum(self.takes.values()) + spread_s
        graph: rx.PyDiGraph[str, None] = rx.PyDiGraph()
        at = {
            name: graph.add_node(name)
            for name in sorted(support.things)
            if support.things[name].word in CARRIES_ON
        }
        for name, number in at.items():
            for lean in support.things[name].leans:
                if "now" not in lean.times or Phase.RUN not in lean.phases or lean.hold_s > whole:
                    continue
                for each in lean.on:
                    if each in at and each != name:
                        graph.add_edge(number, at[each], None)
        knots = rx.strongly_connected_components(graph)
        self.knots = [tuple(sorted(graph[number] for number in knot)) for knot in knots]
        knot_of = {name: number for number, knot in enumerate(self.knots) for name in knot}
        self.before: list[set[int]] = [set() for _ in self.knots]
        for one, other in graph.edge_list():
            first, second = knot_of[graph[one]], knot_of[graph[other]]
            if first != second:
                self.before[second].add(first)
        order: rx.PyDiGraph[int, None] = rx.PyDiGraph()
        order.add_nodes_from(range(len(self.knots)))
        order.add_edges_from_no_data([(a, b) for b, each in enumerate(self.before) for a in each])
        self.sorted = list(rx.topological_sort(order))

    def plan(self, told_s: Mapping[str, float]) -> Plan:
        """When each thing stops.

        A thing begins to stop once it is told and everything that leans on it has stopped. Where things lean on
        each other in a circle no order among them is right, so they are taken to stop one after another, in
        an order that nobody knows: the first begins once all of them are told and whatever else leans on
        any of them has stopped, and each counts as stopped when the last one is. No order of stopping one
        by one takes longer, and the result does not depend on where the circle is entered.

        Args:
            told_s: when each thing is told; as the graph was made for, or fewer.
        """
        ready: dict[int, tuple[float, str]] = {}
        starts: dict[str, float] = {}
        done: dict[str, float] = {}
        after: dict[str, str] = {}
        circles = []
        for number in self.sorted:
            waits = [ready[each] for each in self.before[number] if each in ready]
            # Of those that are as late the first by name, whatever the order they came in.
            latest, last = min(waits, key=lambda each: (-each[0], each[1])) if waits else (float("-inf"), "")
            members = [name for name in self.knots[number] if name in told_s]
            if not members:
                if waits:
                    ready[number] = (latest, last)
                continue
            told = max(told_s[name] for name in members)
            begins = max(told, latest)
            ends = begins + sum(self.takes[name] for name in members)
            for name in members:
                starts[name], done[name] = begins, ends
                if latest > told:
                    after[name] = last
            ready[number] = (ends, members[-1])
            if len(members) > 1:
                circles.append(tuple(members))
        return Plan(told_s=told_s, starts_s=starts, done_s=done, after=after, circles=tuple(sorted(circles)))


def stops_s(lab: Lab, name: str) -> float:
    """How long a node, or a copy of a service, takes to stop, seconds."""
    thing = lab.things[ThingId(name)]
    if isinstance(thing, Copy):
        service = lab.things[ThingId(thing.service)]
        return service.stops_in or 0.0 if isinstance(service, Service) else 0.0
    return thing.stops_in or 0.0 if isinstance(thing, Powered) else 0.0
