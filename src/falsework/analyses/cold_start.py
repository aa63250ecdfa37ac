"""Does the lab come back by itself after the power has been out, and what is it stuck on?"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

import rustworkx as rx

from falsework.engines.evaluate import Evaluator
from falsework.engines.uncollected import uncollected
from falsework.engines.ways import shortest_circle
from falsework.model.people import Person
from falsework.support import times
from falsework.support.gates import USED, Cold, compiled
from falsework.support.graph import Phase, Role, SupportGraph
from falsework.support.standing import Standing

COMES_S = 1800.0
"""Assumed until someone is on site where nobody says: half an hour."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ColdStart:
    """A start from nothing but mains.

    Attributes:
        up_s: when each thing that comes up is up, seconds after the power is back.
        stuck: services and nodes that stay down, in lab order.
        circles: things that wait for each other, smallest circle first; each ends where it began.
        by_hand: things that stay off until a hand switches them on.
        too_early: things that tried once, before what they need was there.
    """

    up_s: Mapping[str, float]
    stuck: tuple[str, ...]
    circles: tuple[tuple[str, ...], ...]
    by_hand: tuple[str, ...]
    too_early: tuple[str, ...]

    @property
    def whole(self) -> bool:
        """Whether everything comes back."""
        return not self.stuck


def cold_start(standing: Standing, *, hands: bool = False, outside: bool = True) -> ColdStart:
    """What comes up when the power is back, when, and what does not.

    Args:
        standing: the lab; parts out beforehand stay out.
        hands: whether people are there, who also switch on what stays off.
        outside: whether what is outside can be counted on, besides what power comes from.

    Cost:
        The graph compiled anew, with clocks; once for each way of asking a lab.
    """
    key = ("cold start", hands, outside)
    known = standing.asked.get(key)
    if not isinstance(known, ColdStart):
        known = standing.asked[key] = _cold_start(standing, hands=hands, outside=outside)
    return known


@uncollected()
def _cold_start(standing: Standing, *, hands: bool, outside: bool) -> ColdStart:
    support = standing.support
    comes = [person.comes_in for person in standing.lab.of(Person) if person.comes_in is not None]
    feeding = frozenset(
        name
        for thing in support.things.values()
        for lean in thing.leans
        if lean.role is Role.POWER
        for name in lean.on
    )
    early: frozenset[str] = frozenset()
    while True:
        cold = Cold(hands=hands, outside=outside, stuck=early)
        back = _reached(support, cold, standing.out)
        clock = times.rising(support, cold=cold, out=standing.out, hands_s=min(comes, default=COMES_S))
        awake = frozenset(
            name for name, thing in support.things.items() if _awake(name, thing.word, feeding, cold)
        )
        rises = times.rise_times(clock, [standing.out], _among(awake), lambda *_: True)
        rises = times.settled(support, rises, _among(back))
        up = {name: float(rises[row, 0]) for name, row in clock.row.items() if name in back}
        more = frozenset(_too_early(support, up)) - early
        if not more:
            break
        early |= more
    stuck = tuple(
        name
        for name, thing in support.things.items()
        if name not in back
        and thing.word in ("service", "node", "alarm", "switch")
        and name not in standing.out
        and standing.baseline.back(name)
    )
    return ColdStart(
        up_s=up,
        stuck=stuck,
        circles=_circles(support, back),
        by_hand=tuple(name for name, thing in support.things.items() if thing.stays_off),
        too_early=tuple(name for name in support.things if name in early),
    )


def _among(names: frozenset[str]) -> Callable[[int, str], bool]:
    return lambda _, name: name in names


def _reached(support: SupportGraph, cold: Cold, out: frozenset[str]) -> frozenset[str]:
    gates = compiled(support, cold=cold, out=out)
    column = Evaluator(gates.graph).stands([[]])[:, 0]
    return frozenset(name for name, at in gates.back.items() if column[at])


def _awake(name: str, word: str, feeding: frozenset[str], cold: Cold) -> bool:
    if word == "outside":
        return cold.outside or name in feeding
    return word in ("room", "rack", "cable") or (word == "person" and cold.hands)


def _too_early(support: SupportGraph, up: Mapping[str, float]) -> Iterator[str]:
    """Copies that try once, when their host is up, and need something that is up only later."""
    for name, thing in support.things.items():
        if not thing.tries_once or name not in up:
            continue
        tries = max(
            (
                min(up[each] for each in lean.on if each in up)
                for lean in thing.leans
                if lean.role is Role.HOST and "later" in lean.times and any(each in up for each in lean.on)
            ),
            default=0.0,
        )
        for lean in thing.leans:
            if lean.role is Role.HOST or Phase.START not in lean.phases or "later" not in lean.times:
                continue
            ready = sorted(up.get(each, times.NEVER) for each in lean.on)
            if ready[lean.enough - 1] > tries + 1e-6:
                yield name
                break


def _circles(support: SupportGraph, back: frozenset[str]) -> tuple[tuple[str, ...], ...]:
    """One smallest circle for each knot of things that wait for each other, to start or to serve."""
    graph: rx.PyDiGraph[str, None] = rx.PyDiGraph()
    index = {name: graph.add_node(name) for name in support.things if name not in back}
    for name, at in index.items():
        for lean in support.things[name].leans:
            if "later" in lean.times and (Phase.START in lean.phases or lean.role in USED):
                for each in lean.on:
                    if each in index:
                        graph.add_edge(at, index[each], None)
    found = (
        tuple(graph[at] for at in _smallest(graph, frozenset(knot)))
        for knot in rx.strongly_connected_components(graph)
        if len(knot) > 1
    )
    return tuple(sorted(found, key=lambda circle: (len(circle), circle)))


def _smallest(graph: rx.PyDiGraph[str, None], knot: frozenset[int]) -> tuple[int, ...]:
    """A shortest circle in a knot."""
    best: tuple[int, ...] = ()
    for start in sorted(knot, key=lambda at: graph[at]):
        circle = shortest_circle(
            start,
            lambda at: [step for step in sorted(graph.successor_indices(at)) if step in knot],
            most=len(best) - 2 if best else None,
        )
        best = circle or best
    return best
