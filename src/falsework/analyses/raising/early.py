"""What is made, and can't stand before something that can only come after it?

Of two things that need each other every moment one is made first; what does without for a while, its hold, may be
made before what can only come after it. Neither is a fault of the order.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

import rustworkx as rx

from falsework.analyses.raising.result import Moment
from falsework.model.parts import ThingId
from falsework.model.services import Copy
from falsework.support.graph import Phase
from falsework.support.standing import Standing


def early(standing: Standing, moment: Moment, lacks: Collection[str]) -> frozenset[str]:
    """Of things that are made and do not stand, those that could not stand yet.

    Args:
        standing: the finished lab.
        moment: of its build.
        lacks: what is made by then, stands in the finished lab and does not stand.
    """
    if not lacks:
        return frozenset()
    lacks = frozenset(lacks)
    found: set[str] = set()
    more = True
    while more:
        fresh = {name for name in lacks if name not in found and _waits(standing, moment, lacks, name, found)}
        more = bool(fresh)
        found |= fresh
    return frozenset(found)


def _waits(
    standing: Standing, moment: Moment, lacks: Collection[str], name: str, found: Collection[str]
) -> bool:
    """Whether some need of every moment lacks just what comes later, or what waits for such."""
    thing = standing.support.things.get(name)
    for lean in thing.leans if thing is not None else ():
        if Phase.RUN not in lean.phases or "later" not in lean.times:
            continue
        there = [each for each in lean.on if _is_there(moment, each) and each not in lacks]
        later = [
            each
            for each in lean.on
            if each in found or (not _is_there(moment, each) and _ways_of(standing).lead(each, name))
        ]
        if len(there) < lean.enough <= len(there) + len(later):
            return True
    return False


def _is_there(moment: Moment, name: str) -> bool:
    return name in moment.built or moment.serving.get(name, name) in moment.lent


class _Ways:
    """Whether one thing needs another, over whatever way, to be made, to start or to serve.

    The same few pairs are asked about at every moment of a build, so answers are kept.
    """

    def __init__(self, standing: Standing) -> None:
        names = dict.fromkeys((*standing.support.things, *standing.lab.things))
        self._graph = rx.PyDiGraph()
        self._node = dict(zip(names, self._graph.add_nodes_from(list(names)), strict=True))
        edges = [
            (node, self._node[each])
            for name, node in self._node.items()
            for each in _steps(standing, name)
            if each in self._node
        ]
        self._graph.add_edges_from_no_data(edges)
        self._circles = {node for node, other in edges if node == other}
        for circle in rx.strongly_connected_components(self._graph):
            if len(circle) > 1:
                self._circles.update(circle)
        self._known: dict[tuple[str, str], bool] = {}

    def lead(self, name: str, other: str) -> bool:
        """Whether there is a way of one step or more."""
        pair = name, other
        if pair not in self._known:
            self._known[pair] = self._found(*pair)
        return self._known[pair]

    def _found(self, name: str, other: str) -> bool:
        if name not in self._node or other not in self._node:
            return False
        if name == other:
            return self._node[name] in self._circles
        return rx.has_path(self._graph, self._node[name], self._node[other])


def _ways_of(standing: Standing) -> _Ways:
    known = standing.asked.get(("what comes after what",))
    if not isinstance(known, _Ways):
        known = standing.asked["what comes after what",] = _Ways(standing)
    return known


def _steps(standing: Standing, name: str) -> Iterator[str]:
    """What a thing needs to be made, to start or to serve."""
    thing = standing.support.things.get(name)
    for lean in thing.leans if thing is not None else ():
        if "later" in lean.times:
            yield from lean.on
    own = standing.lab.things.get(ThingId(name))
    maker = standing.lab.things[ThingId(own.service)] if isinstance(own, Copy) else own
    for need in maker.needs.to_build if maker is not None and maker.needs is not None else ():
        yield from need.of.ids
