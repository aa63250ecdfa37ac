"""Which places does a strand of traffic go over, and how full is each of them at one moment?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeVar

from falsework.support.carriers import Carrier, Wires
from falsework.support.open_ways import OpenWays
from falsework.support.traffic import Route, Strand, Truth

Place = tuple[str, str]
"""A carrier and the machine into which it is followed; or a switch, and nothing."""
Pair = tuple[str, str, str]
"""A network and two of its switches: the way between them is the same for all traffic."""
LEAST = 1.0
"""bit/s: less than this is the rounding of shares."""


@dataclass(frozen=True, slots=True)
class Flow:
    """A strand with what it goes over: places of its own, and pairs of switches; None where it has no way."""

    strand: Strand
    route: Route | None
    places: tuple[Place, ...]
    pairs: tuple[Pair, ...]


@dataclass(frozen=True, slots=True)
class Carried:
    """What one line is made of at one moment, and what it asks of places and between pairs of switches."""

    flows: tuple[Flow, ...]
    places: Mapping[Place, int]
    pairs: Mapping[Pair, int]


class Full:
    """How full places are at one moment, and what a single stream gets of each."""

    def __init__(
        self,
        wires: Wires,
        carriers: Mapping[str, Carrier],
        asked: Mapping[Place, int],
        there: Truth,
        open_: OpenWays,
    ) -> None:
        self._wires, self._carriers = wires, carriers
        self._asked, self._there, self._open = asked, there, open_
        self._places: dict[Place, tuple[float, float]] = {}
        self._pairs: dict[Pair, tuple[str, float, float]] = {}
        self._live: dict[str, tuple[int, ...]] = {}

    def live(self, name: str) -> tuple[int, ...]:
        """The speeds of a carrier's cables that stand."""
        if name not in self._live:
            self._live[name] = self._carriers[name].live(self._there.back)
        return self._live[name]

    def carries(self, place: Place) -> int:
        """The most that goes over a place, bit/s."""
        return sum(self.live(place[0])) if place[1] else self._wires.forwards[place[0]]

    def of(self, place: Place) -> tuple[float, float]:
        """How full a place is, and what a single stream gets of it: of a group one cable, the slowest that it may meet."""
        found = self._places.get(place)
        if found is None:
            most = self.carries(place)
            single = min(self.live(place[0]), default=0) if place[1] else most
            asked = self._asked.get(place, 0)
            found = self._places[place] = (asked / most if most else float(asked > 0), float(single))
        return found

    def between(self, pair: Pair) -> tuple[str, float, float]:
        """The fullest place between two switches, how full it is, and what a single stream gets."""
        found = self._pairs.get(pair)
        if found is None:
            tightest, share, stream = "", 0.0, float("inf")
            for place in places_between(self._open, pair):
                here, single = self.of(place)
                stream = min(stream, single)
                if here > share:
                    tightest, share = place[0], here
            found = self._pairs[pair] = (tightest, share, stream)
        return found


def places_between(open_: OpenWays, pair: Pair) -> tuple[Place, ...]:
    """The places from one switch to another."""
    way = open_.inner(*pair)
    steps = [(step.carrier.name, step.into) for step in way.steps]
    return (*steps, *((switch, "") for switch in way.switches if switch in open_.wires.forwards))


T = TypeVar("T", Place, Pair)


def add(sums: dict[T, int], more: Mapping[T, int], sign: int) -> None:
    """Add amounts, or with -1 take them off."""
    for each, amount in more.items():
        sums[each] = sums.get(each, 0) + sign * amount
