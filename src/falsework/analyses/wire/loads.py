"""How full is each cable and switch at one moment, and what does a loss change of that?"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from falsework.analyses.wire.passing import Fate, Filled, Passed, Stream
from falsework.model.lab import Lab
from falsework.model.parts import Enclosure, Network, Outside, ThingId
from falsework.model.services import Pool, Store
from falsework.support.open_ways import OpenWays, Tree
from falsework.support.reached import nodes_of
from falsework.support.traffic import Route, State, Strand, Talk, Truth

Place = tuple[str, str]
"""A carrier and the machine into which it is followed; or a switch, and nothing."""
LEAST = 1.0
"""bit/s: less than this is the rounding of shares."""


@dataclass(frozen=True, slots=True)
class Carried:
    """What one line is made of at one moment, and what it asks of each place."""

    strands: tuple[tuple[Strand, Route | None, tuple[Place, ...]], ...]
    asks: Mapping[Place, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Loads:
    """All traffic at one moment.

    Attributes:
        lines: by number of the line.
        asked: bit/s by place.
        passed: what becomes of each line.
        trees: what is open on each network.
    """

    lines: tuple[Carried, ...]
    asked: Mapping[Place, int]
    passed: tuple[Passed, ...]
    trees: Mapping[str, Tree]


class Flowing:
    """The traffic of a lab, worked out once, then anew only where a loss changes it.

    Args:
        talk: who sends what.
        now: what stands with nothing lost but what is out.
        open_: the ways that are open then, if others than the usual ones.
    """

    def __init__(self, talk: Talk, now: Truth, open_: OpenWays | None = None) -> None:
        self.talk, self.wires = talk, talk.wires
        self.carriers = {carrier.name: carrier for carrier in self.wires.carriers}
        self.streams = tuple(
            Stream(service=line.service, to=", ".join(line.to), rate=float(line.rate), where=line.where)
            for line in talk.lines
        )
        self.trunks: dict[str, list[str]] = {}
        for name, wired in self.wires.networks.items():
            for each in wired.switches:
                self.trunks.setdefault(each, []).append(name)
            for trunk in wired.trunks:
                for each in (*trunk.cables, *(card for cards in trunk.cards for card in cards)):
                    self.trunks.setdefault(each, []).append(name)
        self.holds: dict[str, list[str]] = {}  # cable or card -> its carriers
        for carrier in self.wires.carriers:
            for each in (*carrier.cables, *(card for cards in carrier.cards for card in cards)):
                self.holds.setdefault(each, []).append(carrier.name)
        open_ = open_ or OpenWays(self.wires, now.back)
        for name in self.wires.networks:
            open_.tree(name)
        lines = tuple(self._carried(number, now, open_, {}) for number in range(len(talk.lines)))
        asked: dict[Place, int] = {}
        for line in lines:
            _add(asked, line, 1)
        self.now = Loads(
            lines=lines,
            asked=asked,
            passed=tuple(self._passed(n, line, asked, self._capacity(now)) for n, line in enumerate(lines)),
            trees=open_.trees,
        )
        self.capacity_now = self._capacity(now)

    @cached_property
    def hangs(self) -> Mapping[str, tuple[int, ...]]:
        """By thing, the lines that must be worked out anew when it changes, as long as all trees stay."""
        return self._hanging()

    @cached_property
    def users(self) -> Mapping[Place, list[int]]:
        """By place, the lines that ask anything of it now."""
        found: dict[Place, list[int]] = {}
        for number, line in enumerate(self.now.lines):
            for place in line.asks:
                found.setdefault(place, []).append(number)
        return found

    @property
    def names(self) -> Iterable[str]:
        """All things that matter to the traffic."""
        return dict.fromkeys((*self.trunks, *self.holds, *self.hangs))

    # -- one moment --------------------------------------------------------------------------------

    def after(self, there: Truth, changed: Iterable[str]) -> Loads:
        """All traffic when these things no longer stand as they do now."""
        changed = tuple(changed)
        hurt = dict.fromkeys(network for name in changed for network in self.trunks.get(name, ()))
        known = {name: found for name, found in self.now.trees.items() if name not in hurt}
        open_ = OpenWays(self.wires, there.back, known)
        lines: list[Carried] = list(self.now.lines)
        moved = any(open_.tree(name) != self.now.trees[name] for name in hurt)
        if moved:
            dirty = dict.fromkeys(range(len(lines)))
        else:
            dirty = dict.fromkeys(number for name in changed for number in self.hangs.get(name, ()))
        asked = dict(self.now.asked)
        touched: dict[Place, None] = {}
        routes: dict[tuple[str, str, tuple[str, ...]], Route | None] = {}
        for number in dirty:
            anew = self._carried(number, there, open_, routes)
            if anew.asks != lines[number].asks:
                _add(asked, lines[number], -1)
                _add(asked, anew, 1)
                touched.update(dict.fromkeys((*lines[number].asks, *anew.asks)))
            lines[number] = anew
        for name in changed:
            for carrier in self.holds.get(name, ()):
                touched.update({(carrier, end): None for end in self.carriers[carrier].ends})
        passed = list(self.now.passed)
        again = dict.fromkeys((*dirty, *(n for place in touched for n in self.users.get(place, ()))))
        capacity = self._capacity(there)
        for number in again:
            passed[number] = self._passed(number, lines[number], asked, capacity)
        return Loads(lines=tuple(lines), asked=asked, passed=tuple(passed), trees=open_.trees)

    def filled(self, loads: Loads, there: Truth) -> tuple[Filled, ...]:
        """How full everything is that carries anything, fullest first."""
        capacity = self._capacity(there)
        found = [self._filled(place, asked, capacity(place)) for place, asked in loads.asked.items() if asked]
        return tuple(sorted(found, key=lambda each: -each.share))

    def fullest(self, loads: Loads, there: Truth) -> float:
        """How full the fullest is."""
        capacity = self._capacity(there)
        return max((asked / capacity(place) for place, asked in loads.asked.items() if asked), default=0.0)

    def share_now(self, place: Place) -> float:
        """How full a place is now."""
        asked = self.now.asked.get(place, 0)
        return asked / self.capacity_now(place) if asked else 0.0

    def narrowest(self, route: Route, there: Truth) -> tuple[float, str]:
        """What a single stream gets on a route with nothing else on it, bit/s, and what holds it down."""
        capacity = self._capacity(there)
        found = [(self._one(place, capacity(place)), place[0]) for place in self._places(route)]
        return min(found, default=(0.0, ""))

    # -- pieces ------------------------------------------------------------------------------------

    def _carried(
        self,
        number: int,
        there: Truth,
        open_: OpenWays,
        routes: dict[tuple[str, str, tuple[str, ...]], Route | None],
    ) -> Carried:
        found = []
        asks: dict[Place, int] = {}
        for strand in self.talk.strands(self.talk.lines[number], there):
            route: Route | None = None
            places: tuple[Place, ...] = ()
            if strand.state is State.FLOWS:
                key = (strand.one, strand.other, strand.within)
                if key not in routes:
                    routes[key] = self.talk.route(*key, there, open_)
                route = routes[key]
                places = self._places(route) if route is not None else ()
                for place in places:
                    asks[place] = asks.get(place, 0) + strand.amount
            found.append((strand, route, places))
        return Carried(tuple(found), asks)

    def _places(self, route: Route) -> tuple[Place, ...]:
        found: list[Place] = []
        for leg in route.legs:
            found.extend((step.carrier.name, step.into) for step in leg.way.steps)
            found.extend((switch, "") for switch in leg.way.switches if switch in self.wires.forwards)
        return tuple(found)

    def _capacity(self, there: Truth) -> Callable[[Place], int]:
        known: dict[str, int] = {}

        def capacity(place: Place) -> int:
            name = place[0]
            if name not in known:
                known[name] = (
                    self.wires.forwards[name] if not place[1] else sum(self.carriers[name].live(there.back))
                )
            return known[name]

        return capacity

    def _filled(self, place: Place, asked: int, carries: int) -> Filled:
        name, into = place
        cables = self.carriers[name].cables if into else ()
        return Filled(link=name, towards=into, cables=cables, asked=float(asked), carries=float(carries))

    def _passed(
        self, number: int, line: Carried, asked: Mapping[Place, int], capacity: Callable[[Place], int]
    ) -> Passed:
        gets, flowing, cut = 0.0, 0, 0
        tightest, share, stream = "", 0.0, float("inf")
        states = {strand.state for strand, _, _ in line.strands}
        for strand, route, places in line.strands:
            if strand.state is not State.FLOWS:
                continue
            flowing += strand.amount
            if route is None:
                cut += strand.amount
                continue
            full = 0.0
            for place in places:
                most = capacity(place)
                here = asked[place] / most
                if here > full:
                    full = here
                if here > share:
                    tightest, share = place[0], here
                stream = min(stream, self._one(place, most))
            gets += strand.amount / max(full, 1.0)
        short = flowing - gets
        if short < LEAST:
            gets, short = float(flowing), 0.0
        if flowing:
            fate = Fate.PASSES if not short else Fate.CUT_OFF if cut == flowing else Fate.SHORT
        elif State.NOT_TAKEN in states:
            fate = Fate.NOT_TAKEN
        else:
            fate = Fate.UNSAID if State.UNSAID in states else Fate.NOT_SENT
        return Passed(
            stream=self.streams[number],
            fate=fate,
            gets=gets,
            short=short,
            cut_off=float(cut),
            tightest=tightest,
            share=share,
            one_stream=0.0 if stream == float("inf") else stream,
        )

    def _one(self, place: Place, most: int) -> float:
        """What a single stream gets of a place: of a group the speed of one cable, the slowest that it may meet."""
        return float(min(most, *self.carriers[place[0]].speeds) if place[1] else most)

    # -- what hangs on what ------------------------------------------------------------------------

    def _hanging(self) -> Mapping[str, tuple[int, ...]]:
        plugs: dict[str, list[str]] = {}
        for wired in self.wires.networks.values():
            for holder, found in wired.plugs.items():
                for plug in found:
                    cards = (card for cards in plug.carrier.cards for card in cards)
                    plugs.setdefault(holder, []).extend((plug.into, *plug.carrier.cables, *cards))
            for holder, others in wired.straight.items():
                for carrier in others.values():
                    cards = (card for cards in carrier.cards for card in cards)
                    plugs.setdefault(holder, []).extend((*carrier.cables, *cards))
        passing = tuple(name for name, _ in self.talk.support.routers)
        whose: dict[str, tuple[str, ...]] = {}
        hangs: dict[str, dict[int, None]] = {}
        for number, line in enumerate(self.talk.lines):
            through = passing if any(r is None or r.via for _, r, _ in self.now.lines[number].strands) else ()
            for name in dict.fromkeys((line.service, *line.to, *through)):
                if name not in whose:
                    whose[name] = tuple(self._behind(self.talk.lab, name, plugs))
                for each in whose[name]:
                    hangs.setdefault(each, {})[number] = None
        return {name: tuple(numbers) for name, numbers in hangs.items()}

    def _behind(self, lab: Lab, name: str, plugs: Mapping[str, list[str]]) -> Iterable[str]:
        """A thing, its copies, the nodes where they may be, and how these are plugged in."""
        thing = lab.things[ThingId(name)]
        hosts: dict[str, None] = {}
        yield name
        if name in self.talk.services:
            for copy in self.talk.copies.get(name, ()):
                yield copy
                hosts.update(dict.fromkeys(self.talk.support.things[copy].places))
                pool = lab.things.get(ThingId(getattr(lab.things[ThingId(copy)], "pool", "")))
                if isinstance(pool, Pool) and pool.hosts:
                    hosts.update(dict.fromkeys(pool.hosts.ids))  # whoever gives way to others may matter
        elif isinstance(thing, Network):
            wired = self.wires.networks.get(name)
            yield from wired.users if wired else ()
        elif isinstance(thing, Outside):
            for network in lab.of(Network):
                for out in network.way_out.ids if network.way_out else ():
                    yield from self._behind(lab, out, plugs)
            for service, _ in self.talk.support.routers:
                yield from self._behind(lab, service, plugs)
        elif isinstance(thing, Store):
            hosts.update(dict.fromkeys(nodes_of(lab, thing)))
        elif isinstance(thing, Pool | Enclosure):
            hosts.update(dict.fromkeys(self.talk.places(thing)))
        for host in hosts or ((name,) if name in plugs else ()):
            yield host
            yield from plugs.get(host, ())


def _add(asked: dict[Place, int], line: Carried, sign: int) -> None:
    for place, amount in line.asks.items():
        asked[place] = asked.get(place, 0) + sign * amount
