"""Can the lab be built from nothing, and which stand-ins does that take?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations

from falsework.model.lab import Lab
from falsework.model.needs import Need
from falsework.model.parts import ThingId
from falsework.model.people import StandIn
from falsework.support.graph import Phase, SupportGraph
from falsework.support.standing import Standing

MOST_CHOICES = 4096
"""Sets of stand-ins tried before all of them are taken instead of the fewest."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Buildable:
    """Whether everything can be made from nothing.

    Attributes:
        stand_ins: the fewest that do it, least cost among equals; all accepted ones where nothing does.
        stuck: what can't be built even with every stand-in, in lab order.
        without: what can't be built with no stand-in at all.
        fewest: whether `stand_ins` is proved to be the fewest.
    """

    stand_ins: tuple[str, ...]
    stuck: tuple[str, ...]
    without: tuple[str, ...]
    fewest: bool


def buildable(standing: Standing) -> Buildable:
    """The least fixed point over needs to build and to start, with the fewest stand-ins that complete it."""
    lab, support = standing.lab, standing.support
    offered = lab.of(StandIn)
    without = _stuck(lab, support, ())
    if not without:
        return Buildable(stand_ins=(), stuck=(), without=(), fewest=True)
    stuck = _stuck(lab, support, offered)
    if stuck:
        return Buildable(
            stand_ins=tuple(each.id for each in offered), stuck=stuck, without=without, fewest=False
        )
    tried = 0
    for count in range(1, len(offered) + 1):
        good = []
        for chosen in combinations(offered, count):
            tried += 1
            if tried > MOST_CHOICES:
                return Buildable(
                    stand_ins=tuple(each.id for each in offered), stuck=(), without=without, fewest=False
                )
            if not _stuck(lab, support, chosen):
                good.append(chosen)
        if good:
            best = min(
                good,
                key=lambda chosen: (sum(each.costs or 0.0 for each in chosen), [each.id for each in chosen]),
            )
            return Buildable(
                stand_ins=tuple(each.id for each in best), stuck=(), without=without, fewest=True
            )
    return Buildable(stand_ins=tuple(each.id for each in offered), stuck=(), without=without, fewest=False)


def _stuck(lab: Lab, support: SupportGraph, stand_ins: Iterable[StandIn]) -> tuple[str, ...]:
    """What the least fixed point does not reach. A stand-in that needs something is there once that stands."""
    built: set[str] = set()
    covered: set[str] = set()
    waiting = list(stand_ins)
    grew = True
    while grew:
        grew = False
        for stand_in in list(waiting):
            if all(_met(need, built | covered) for need in _building(lab, stand_in.id)):
                covered.update(stand_in.for_.ids if stand_in.for_ else ())
                waiting.remove(stand_in)
                grew = True
        there = built | covered
        for name, thing in support.things.items():
            if name in built:
                continue
            starts = all(
                sum(1 for each in lean.on if each in there) >= lean.enough
                for lean in thing.leans
                if Phase.START in lean.phases and "later" in lean.times
            )
            if starts and all(_met(need, there) for need in _building(lab, name)):
                built.add(name)
                grew = True
    return tuple(
        name
        for name in support.things
        if name not in built and name in lab.things and not _implied(support.things[name].word)
    )


def _implied(word: str) -> bool:
    return word in ("copy", "cable", "supply", "card", "controller", "share", "drive")


def _building(lab: Lab, name: str) -> Iterator[Need]:
    thing = lab.things.get(ThingId(name))
    if thing is not None and thing.needs is not None:
        yield from thing.needs.to_build


def _met(need: Need, there: set[str]) -> bool:
    return sum(1 for each in need.of.ids if each in there) >= (need.enough or 1)
