"""Which stand-ins does it take for everything to stand again, and what waits for itself without them?"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from itertools import combinations

from falsework.analyses.rebuild.regrowing import Regrowth
from falsework.engines.founded.growing import Growing
from falsework.engines.founded.reach import allowed
from falsework.engines.ways import shortest_circle

MOST_TRIED = 4096
"""Sets of stand-ins that are tried; beyond, none that is not needed is left in, but a cheaper set may exist."""
MOST_LOOKED_FROM = 400
"""Things from which the smallest circle is looked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """The cheapest stand-ins that do it.

    Attributes:
        stand_ins: ids, in lab order; those accepted, all of them, where even they do not do it.
        stuck: items that never serve even so.
        proven: whether no cheaper set does it.
    """

    stand_ins: tuple[str, ...]
    stuck: frozenset[int]
    proven: bool


def grown_with(growth: Regrowth, with_: Collection[str]) -> Growing:
    """What has begun and what serves in the end when these stand-ins may be used."""
    return allowed(growth.system, frozenset(growth.offers[name] for name in with_))


def stuck(growth: Regrowth, with_: Collection[str]) -> frozenset[int]:
    """The goals that never serve with these stand-ins."""
    there = grown_with(growth, with_).serves
    return frozenset(goal for goal in growth.goals if goal not in there)


def chosen(growth: Regrowth, costs: Mapping[str, float]) -> Chosen:
    """The cheapest accepted stand-ins with which every goal serves; fewest, then first, among equals.

    Args:
        growth: what is down, with no goal left that a stand-in could not help counted out.
        costs: of each accepted stand-in, seconds.

    Cost:
        Stand-ins that every answer has are found first, one growth each; the sets of the rest are tried cheapest first.
    """
    names = tuple(growth.offers)
    without = stuck(growth, ())
    if not without:
        return Chosen(stand_ins=(), stuck=frozenset(), proven=True)
    left = stuck(growth, names)
    if len(left) == len(without):
        return Chosen(stand_ins=(), stuck=left, proven=True)
    forced = tuple(
        name for name in names if len(stuck(growth, [each for each in names if each != name])) > len(left)
    )
    if stuck(growth, forced) == left:
        return Chosen(stand_ins=forced, stuck=left, proven=True)
    others = [name for name in names if name not in forced]
    sets = sorted(
        (
            (sum(costs.get(each, 0.0) for each in some), count, some)
            for count in range(1, len(others) + 1)
            for some in combinations(others, count)
        )
        if 2 ** len(others) <= MOST_TRIED
        else ()
    )
    for _, _, some in sets:
        if stuck(growth, (*forced, *some)) == left:
            picked = {*forced, *some}
            return Chosen(stand_ins=tuple(name for name in names if name in picked), stuck=left, proven=True)
    picked = set(names)
    for name in sorted(others, key=lambda each: -costs.get(each, 0.0)):
        if stuck(growth, picked - {name}) == left:
            picked.discard(name)
    return Chosen(stand_ins=tuple(name for name in names if name in picked), stuck=left, proven=False)


State = tuple[int, bool]
"""An item, and whether it is to serve, not merely to begin."""


_Waits = Callable[[State], list[State]]


def waits_for(growth: Regrowth, grown: Growing, state: State) -> list[State]:
    """What must begin or serve, and does not, for an item to begin or to serve; stand-ins left out."""
    item, serve = state
    offers = growth.offers.values()
    found: list[State] = [(item, False)] if serve and item not in grown.begun else []
    for clause in growth.system.serve[item] if serve else growth.system.begin[item]:
        there = grown.begun if clause.begun else grown.serves
        if sum(each in there for each in clause.of) < clause.enough:
            found += [
                (each, not clause.begun) for each in clause.of if each not in there and each not in offers
            ]
    return found


class Circles:
    """The smallest circles of things that wait for each other to begin, after one loss.

    Things that only serve once the other serves are no circle: they begin, and then both serve.
    """

    def __init__(self, growth: Regrowth, grown: Growing) -> None:
        self.growth, self.grown = growth, grown
        self._through: dict[State, tuple[State, ...]] = {}
        self._waits: dict[State, list[State]] = {}

    def met_from(self, start: int) -> tuple[str, ...]:
        """The smallest circle met from an item on, ending where it began.

        Empty where what it waits for can't come for another reason. Where very much waits, circles through the
        first things that were looked at are told, not always the smallest of all.
        """
        best: tuple[State, ...] = ()
        for first in _from((start, True), self._waits_of):
            if first[1]:
                continue
            if first not in self._through and len(self._through) < MOST_LOOKED_FROM:
                self._through[first] = shortest_circle(first, self._waits_of)
            found = self._through.get(first, ())
            if found and (not best or len(found) < len(best)):
                best = found
        return _said(self.growth.system.names, best)

    def _waits_of(self, state: State) -> list[State]:
        if state not in self._waits:
            self._waits[state] = waits_for(self.growth, self.grown, state)
        return self._waits[state]


def _from(start: State, waits: _Waits) -> list[State]:
    seen = {start: None}
    queue = deque([start])
    while queue and len(seen) < MOST_LOOKED_FROM:
        for each in waits(queue.popleft()):
            if each not in seen:
                seen[each] = None
                queue.append(each)
    return list(seen)


def _said(names: tuple[str, ...], states: tuple[State, ...]) -> tuple[str, ...]:
    """Names of a circle: a thing, its beginning and its stand-in are one."""
    said: list[str] = []
    for item, _ in states:
        name = names[item].removesuffix(" or a stand-in")
        if not said or said[-1] != name:
            said.append(name)
    return tuple(said)
