"""What waits for what when things never come back, and in which circle?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from falsework.analyses.rebuild.regrowing import Regrowth
from falsework.engines.founded.growing import Growing
from falsework.engines.ways import reach, shortest_circle
from falsework.errors import listed

MOST_LOOKED_FROM = 400
"""Things from which the smallest circle is looked for."""
LONGEST = 8
"""Clauses of a chain that are told."""

State = tuple[int, bool]
"""An item, and whether it is to serve, not merely to begin."""


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

    Args:
        growth: what is down.
        grown: what came of it.
        service_of: by copy, its service, which is named in its place where that leaves a circle.
    """

    def __init__(self, growth: Regrowth, grown: Growing, service_of: Mapping[str, str]) -> None:
        self.growth, self.grown, self.service_of = growth, grown, service_of
        self._through: dict[State, tuple[State, ...]] = {}
        self._waits: dict[State, list[State]] = {}

    def met_from(self, start: int) -> tuple[str, ...]:
        """The smallest circle met from an item on, ending where it began.

        Empty where what it waits for can't come for another reason. Where very much waits, circles through the
        first things that were looked at are told, not always the smallest of all.
        """
        best: tuple[State, ...] = ()
        for first in reach([(start, True)], self._waits_of, most=MOST_LOOKED_FROM):
            if first[1]:
                continue
            if first not in self._through and len(self._through) < MOST_LOOKED_FROM:
                self._through[first] = shortest_circle(first, self._waits_of)
            found = self._through.get(first, ())
            if found and (not best or len(found) < len(best)):
                best = found
        names = [_bare(self.growth.system.names[item]) for item, _ in best]
        short = _once([self.service_of.get(name, name) for name in names])
        return short if len(short) > 2 else _once(names)

    def chain_from(self, start: int) -> Iterator[str]:
        """What a thing waits for that never comes, followed until a thing comes again."""
        at: State = (start, True)
        seen: set[State] = set()
        said = ""
        for _ in range(LONGEST):
            seen.add(at)
            of = self._waits_of(at)
            if not of:
                return
            names = self.growth.system.names
            name = _bare(names[at[0]])
            others = dict.fromkeys(_bare(names[each]) for each, _ in of)
            others.pop(name, None)
            says = f"{name} waits for {listed(others, 4)}"
            if others and says != said:
                yield says
                said = says
            at = of[0]
            if at in seen:
                return

    def _waits_of(self, state: State) -> list[State]:
        if state not in self._waits:
            self._waits[state] = waits_for(self.growth, self.grown, state)
        return self._waits[state]


def _once(names: Sequence[str]) -> tuple[str, ...]:
    """Names of a circle: a thing, its beginning and its stand-in are one."""
    return tuple(name for at, name in enumerate(names) if not at or names[at - 1] != name)


def _bare(name: str) -> str:
    return name.removesuffix(" or a stand-in")
