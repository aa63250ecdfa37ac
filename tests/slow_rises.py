"""What comes up after a power cut, and when, played through event by event?

A second reading of a cold start on top of the slow judge: the support graph with each thing's own delay, and
nothing up but rooms, racks, cables, who is there and what is outside. No engine, no gates, no clocks of ours.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from tests.judge import SLACK, Scene

from falsework.support.graph import LATER, Lean, Phase, Role, Support, SupportGraph

START = frozenset((Phase.START,))


def slow_rises(
    support: SupportGraph, *, out: Iterable[str] = (), hands_s: float | None = None, outside: bool = True
) -> Mapping[str, float]:
    """Seconds until each thing that comes up serves; without `hands_s` nobody is there."""
    feeding = {
        on
        for each in support.things.values()
        for lean in each.leans
        if lean.role is Role.POWER
        for on in lean.on
    }
    lost = frozenset(out)
    up = frozenset(
        name
        for name, thing in support.things.items()
        if (thing.word in ("room", "rack", "cable") and name not in lost)
        or (thing.word == "person" and hands_s is not None)
        or (thing.word == "outside" and (outside or name in feeding) and name not in lost)
    )
    early: set[str] = set()
    while True:
        things = {name: _cold(thing, hands_s, name in early) for name, thing in support.things.items()}
        scene = Scene(replace(support, things=things, rooms=()), lost)
        rises: dict[str, float] = dict.fromkeys(up, 0.0)
        moments = scene.returning(up)
        for moment, serving in moments[:-1]:
            for name in serving & moments[-1][1]:
                rises.setdefault(name, moment)
        more = {
            name for name, thing in support.things.items() if thing.tries_once and _early(thing, rises)
        } - early
        if not more:
            return rises
        early |= more


def _cold(thing: Support, hands_s: float | None, stays: bool) -> Support:
    """A thing as it wakes: its own delay in one figure, and who it waits for besides as needs to start."""
    delay = (0.0 if thing.word == "service" else thing.returns_s or 0.0) + thing.wakes_s
    never = stays or thing.word in ("outside", "person") or (thing.stays_off and hands_s is None)
    if thing.stays_off and hands_s is not None:
        delay += hands_s
    waits = tuple(
        Lean(on=(host,), enough=1, role=Role.HOUSING, phases=START, times=LATER) for host in thing.after_all
    )
    return replace(thing, returns_s=None if never else delay, tries_once=False, leans=(*thing.leans, *waits))


def _early(thing: Support, rises: Mapping[str, float]) -> bool:
    """Whether what it needs came after its host did."""
    if thing.id not in rises:
        return False
    hosts = [lean for lean in thing.leans if lean.role is Role.HOST and "later" in lean.times]
    tries = max(
        (
            min(rises[on] for on in lean.on if on in rises)
            for lean in hosts
            if any(on in rises for on in lean.on)
        ),
        default=0.0,
    )
    for lean in thing.leans:
        if lean.role is not Role.HOST and Phase.START in lean.phases and "later" in lean.times:
            there = sum(1 for on in lean.on if on in rises and rises[on] <= tries + SLACK)
            if there < lean.enough:
                return True
    return False
