"""What does a start from nothing but mains reach, of one graph?"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from falsework.engines.evaluate import Evaluator
from falsework.model.lab import Lab
from falsework.model.people import Person
from falsework.support import times
from falsework.support.gates import Cold, awake, compiled, feeding
from falsework.support.graph import Phase, Role, SupportGraph

COMES_S = 1800.0
"""Assumed until someone is on site where nobody says: half an hour."""


def hands_s(lab: Lab) -> float:
    """How long until the first who says so is on site, seconds."""
    return min((person.comes_in for person in lab.of(Person) if person.comes_in is not None), default=COMES_S)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reached:
    """What comes up.

    Attributes:
        back: whatever comes up and stays.
        up_s: when, seconds.
        early: what tried once, before what it needs was there.
    """

    back: frozenset[str]
    up_s: Mapping[str, float]
    early: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """A lab without power, to which the power comes back.

    Attributes:
        support: what leans on what.
        out: parts that are out beforehand.
        hands: whether people are there, who switch on what stays off.
        outside: whether what is outside is there, besides what power comes from.
        hands_s: when hands are there, seconds.
        spent: keys that ran out and that nothing renews.
    """

    support: SupportGraph
    out: frozenset[str]
    hands: bool
    outside: bool
    hands_s: float
    spent: frozenset[str]

    def reached(self) -> Reached:
        """What comes up, when; who tries once too early is left out, and with it what leans on it.

        Cost:
            The graph compiled twice, and again for each round of those who come too early.
        """
        feeds = feeding(self.support)
        early: frozenset[str] = frozenset()
        while True:
            cold = Cold(hands=self.hands, outside=self.outside, stuck=early | self.spent)
            back = _back(self.support, cold, self.out)
            clock = times.rising(self.support, cold=cold, out=self.out, hands_s=self.hands_s)
            up_yet = np.array([[self.counts_on(name, feeds)] for name in self.support.things])
            rises = times.rise_times(clock, [self.out], up_yet, np.ones_like(up_yet))
            stays = np.array([[name in back] for name in self.support.things])
            rises = times.settled(times.waits(self.support), rises, stays)
            up = {name: float(rises[row, 0]) for name, row in clock.row.items() if name in back}
            more = frozenset(_too_early(self.support, up)) - early
            if not more:
                return Reached(back=back, up_s=up, early=early)
            early |= more

    def counts_on(self, name: str, feeds: Collection[str]) -> bool:
        """Whether a thing is there as the power comes back, before anything starts; `feeds` is what power comes from."""
        return awake(self.support.things[name], Cold(hands=self.hands, outside=self.outside), feeds)


def _back(support: SupportGraph, cold: Cold, out: frozenset[str]) -> frozenset[str]:
    gates = compiled(support, cold=cold, out=out)
    column = Evaluator(gates.graph).stands([[]])[:, 0]
    return frozenset(name for name, at in gates.back.items() if column[at])


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
