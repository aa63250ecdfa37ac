"""How full is each cable and switch with all traffic of services?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from falsework.analyses.wire.carried import LEAST, Carried, Flow, Full, Pair, Place, add, places_between
from falsework.analyses.wire.passing import Fate, Filled, Passed, Stream
from falsework.support.open_ways import OpenWays
from falsework.support.traffic import Route, State, Strand, Talk, Truth

Routed = tuple[Route | None, tuple[Place, ...], tuple[Pair, ...]]
Routes = dict[tuple[str, str, tuple[str, ...]], Routed]


@dataclass(frozen=True, slots=True, kw_only=True)
class Loads:
    """All traffic at one moment.

    Attributes:
        lines: by number of the line.
        asked: bit/s by place.
        pairs: bit/s by pair of switches.
        passed: what becomes of each line.
        open_: the ways that are open.
    """

    lines: tuple[Carried, ...]
    asked: Mapping[Place, int]
    pairs: Mapping[Pair, int]
    passed: tuple[Passed, ...]
    open_: OpenWays


class Flowing:
    """The traffic of a lab at one moment.

    Args:
        talk: who sends what.
        now: what stands.
        open_: the ways that are open then, if others than the usual ones.
    """

    def __init__(self, talk: Talk, now: Truth, open_: OpenWays | None = None) -> None:
        self.talk, self.wires = talk, talk.wires
        self.carriers = {carrier.name: carrier for carrier in self.wires.carriers}
        self.streams = tuple(
            Stream(service=line.service, to=", ".join(line.to), rate=float(line.rate), where=line.where)
            for line in talk.lines
        )
        self.there = now
        open_ = open_ or OpenWays(self.wires, now.back)
        for name in self.wires.networks:
            open_.tree(name)
        routes: Routes = {}
        lines = tuple(self.carried(number, now, open_, routes) for number in range(len(talk.lines)))
        asked: dict[Place, int] = {}
        pairs: dict[Pair, int] = {}
        for line in lines:
            add(asked, line.places, 1)
            add(pairs, line.pairs, 1)
        for pair, amount in pairs.items():
            add(asked, dict.fromkeys(places_between(open_, pair), amount), 1)
        full = Full(self.wires, self.carriers, asked, now, open_)
        passed = tuple(self.passed(number, line, full) for number, line in enumerate(lines))
        self.now = Loads(lines=lines, asked=asked, pairs=pairs, passed=passed, open_=open_)
        self.full_now = full

    # -- one moment --------------------------------------------------------------------------------

    @property
    def filled(self) -> tuple[Filled, ...]:
        """How full everything is that carries anything, fullest first."""
        found = [
            self.fill(place, asked, self.full_now.carries(place))
            for place, asked in self.now.asked.items()
            if asked
        ]
        return tuple(sorted(found, key=lambda each: -each.share))

    def fill(self, place: Place, asked: int, carries: int) -> Filled:
        """How full a place is, in words that can be told."""
        cables = self.carriers[place[0]].cables if place[1] else ()
        return Filled(
            link=place[0], towards=place[1], cables=cables, asked=float(asked), carries=float(carries)
        )

    @property
    def fullest(self) -> float:
        """How full the fullest is."""
        return max(
            (self.full_now.of(place)[0] for place, asked in self.now.asked.items() if asked), default=0.0
        )

    @cached_property
    def _empty(self) -> Full:
        """How full everything is with nothing on the wire: it tells what a single stream gets."""
        return Full(self.wires, self.carriers, {}, self.there, self.now.open_)

    def narrowest(self, route: Route) -> tuple[float, str]:
        """What a single stream gets on a route with nothing else on it, bit/s, and what holds it down."""
        places, pairs = self.over(route)
        every = (*places, *(place for pair in pairs for place in places_between(self.now.open_, pair)))
        return min(((self._empty.of(place)[1], place[0]) for place in every), default=(0.0, ""))

    # -- pieces ------------------------------------------------------------------------------------

    def carried(self, number: int, there: Truth, open_: OpenWays, routes: Routes) -> Carried:
        """What one line is made of at one moment; `routes` keeps what other lines found already."""
        flows = []
        asks: dict[Place, int] = {}
        between: dict[Pair, int] = {}
        for strand in self.talk.strands(self.talk.lines[number], there):
            if strand.state is not State.FLOWS:
                flows.append(Flow(strand, None, (), ()))
                continue
            key = (strand.one, strand.other, strand.within)
            known = routes.get(key)
            if known is None:
                known = routes[key] = self._beside(strand, there, open_, routes) or self._route(
                    strand, there, open_
                )
            flows.append(Flow(strand, *known))
            for place in known[1]:
                asks[place] = asks.get(place, 0) + strand.amount
            for pair in known[2]:
                between[pair] = between.get(pair, 0) + strand.amount
        return Carried(tuple(flows), asks, between)

    def _route(self, strand: Strand, there: Truth, open_: OpenWays) -> Routed:
        route = self.talk.route(strand.one, strand.other, strand.within, there, open_)
        return (route, *(self.over(route) if route is not None else ((), ())))

    def _beside(self, strand: Strand, there: Truth, open_: OpenWays, routes: Routes) -> Routed | None:
        """As to another switch of the same piece of the same network, if the way there is known already.

        Of several plugs the first is used that gets there, and that is the same for all of a piece.
        """
        if len(strand.within) != 1:
            return None
        network = strand.within[0]
        root = open_.tree(network).piece.get(strand.other)
        if root is None:
            return None
        beside = (strand.one, root, strand.within)
        if beside not in routes:
            routes[beside] = self._route(replace(strand, other=root), there, open_)
        route, places, _ = routes[beside]
        if route is None or len(route.legs) != 1 or not route.legs[0].start:
            return None
        return route, places, ((network, route.legs[0].start, strand.other),)

    def over(self, route: Route) -> tuple[tuple[Place, ...], tuple[Pair, ...]]:
        """The places and the pairs of switches of a route."""
        steps = [step for leg in route.legs for step in (leg.leaving, leg.entering) if step is not None]
        return (
            tuple((step.carrier.name, step.into) for step in steps),
            tuple((leg.network, leg.start, leg.end) for leg in route.legs if leg.start),
        )

    def passed(self, number: int, line: Carried, full: Full) -> Passed:
        """What becomes of one line."""
        gets, flowing, cut = 0.0, 0, 0
        tightest, share, stream = "", 0.0, float("inf")
        for flow in line.flows:
            amount = flow.strand.amount
            if flow.strand.state is not State.FLOWS:
                continue
            flowing += amount
            if flow.route is None:
                cut += amount
                continue
            worst = 0.0
            for one in flow.places:
                here, single = full.of(one)
                worst, stream = max(worst, here), min(stream, single)
                if here > share:
                    tightest, share = one[0], here
            for pair in flow.pairs:
                name, here, single = full.between(pair)
                worst, stream = max(worst, here), min(stream, single)
                if here > share:
                    tightest, share = name, here
            gets += amount / max(worst, 1.0)
        short = flowing - gets
        if short < LEAST:
            gets, short = float(flowing), 0.0
        states = {flow.strand.state for flow in line.flows}
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
