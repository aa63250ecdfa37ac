"""What does a loss change of the traffic, worked out anew only where it can?"""

from __future__ import annotations

from collections import ChainMap
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from falsework.analyses.wire.carried import Carried, Flow, Full, Pair, Place, add, places_between
from falsework.analyses.wire.loads import Flowing, Routes
from falsework.analyses.wire.passing import Fate, Passed
from falsework.model.parts import Enclosure, Network, Outside, ThingId
from falsework.model.services import Copy, Pool, Store
from falsework.support.open_ways import OpenWays, Tree
from falsework.support.reached import nodes_of
from falsework.support.traffic import State, Strand, Truth


@dataclass(frozen=True, slots=True, kw_only=True)
class Less:
    """What is not as now after a loss.

    Attributes:
        passed: lines that get more or less than now, or whose beginning or end changed; by number.
        asked: places that are asked for more or less than now, or that carry more or less: what is asked of each, and
            what it carries, bit/s.
        open_: the ways that are open.
    """

    passed: Mapping[int, Passed]
    asked: Mapping[Place, tuple[int, int]]
    open_: OpenWays


class Losing:
    """The traffic of now, to be asked about losses.

    A loss matters to a line in four ways. Its ends change, or how they are plugged in (`hangs`): then the line is
    followed anew. The tree bends between two of the switches that it passes: then what lies between that pair is
    looked up anew, for all lines at once. A piece of the wire comes apart: then all lines are followed anew, since
    who has two plugs may now need the other. Or a place on its way becomes too full, or ceases to be: then what
    it gets is reckoned anew.
    """

    def __init__(self, flows: Flowing) -> None:
        self.flows, self.talk, self.wires = flows, flows.talk, flows.wires
        self.now = flows.now
        self._asked = dict(flows.now.asked)
        self.holds: dict[str, list[str]] = {}  # cable or card -> its carriers
        for carrier in self.wires.carriers:
            for each in carrier.parts:
                self.holds.setdefault(each, []).append(carrier.name)
        self.shares = sorted(
            ((flows.full_now.of(place)[0], place) for place, asked in self.now.asked.items() if asked),
            reverse=True,
        )
        self.crowded = [place for share, place in self.shares if share > 1.0]

    @property
    def names(self) -> Iterable[str]:
        """All things that matter to the traffic, those that could pass it on after a loss among them."""
        routers = (each for name, _ in self.talk.support.routers for each in self._behind(name))
        return dict.fromkeys((*self.wires.spanned, *self.holds, *self.hangs, *routers))

    def after(self, there: Truth, changed: Iterable[str]) -> Less | None:
        """What is not as now when these things no longer stand as they do now; None where all is."""
        changed = tuple(changed)
        before = self.now.open_
        hurt = dict.fromkeys(network for name in changed for network in self.wires.spanned.get(name, ()))
        known = {name: found for name, found in before.trees.items() if name not in hurt}
        open_ = OpenWays(self.wires, there.back, known)
        dirty: Collection[int] = dict.fromkeys(
            number for name in changed for number in self.hangs.get(name, ())
        )
        if any(_comes_apart(before.trees[name], open_.tree(name)) for name in hurt):
            dirty = range(len(self.now.lines))
        asked: dict[Place, int] = {}  # more than now, or less
        pairs: dict[Pair, int] = {}
        lines: dict[int, Carried] = {}
        routes: Routes = {}
        fewer = dict.fromkeys(number for name in changed for number in self.users_at.get(name, ()))
        for number in dict.fromkeys((*dirty, *fewer)):
            old = self.now.lines[number]
            if number in dirty:
                new = self.flows.carried(number, there, open_, routes)
            else:
                new = self._without(old, there)
            lines[number] = new
            if old.places != new.places:
                add(asked, old.places, -1)
                add(asked, new.places, 1)
            if old.pairs != new.pairs:
                add(pairs, old.pairs, -1)
                add(pairs, new.pairs, 1)
        bent = self._bent_pairs(open_, hurt)
        for pair in dict.fromkeys((*pairs, *bent)):
            was = self.now.pairs.get(pair, 0)
            amount = was + pairs.get(pair, 0)
            if was:
                add(asked, dict.fromkeys(places_between(before, pair), was), -1)
            if amount:
                add(asked, dict.fromkeys(places_between(open_, pair), amount), 1)
        touched = {place: None for place, more in asked.items() if more}
        for name in changed:
            for carrier in self.holds.get(name, ()):
                for end in self.flows.carriers[carrier].ends:
                    if (carrier, end) in self.now.asked or (carrier, end) in asked:
                        touched[carrier, end] = None
        if not touched and not lines:
            return None
        then = {place: self.now.asked.get(place, 0) + asked.get(place, 0) for place in touched}
        full = Full(self.wires, self.flows.carriers, ChainMap(then, self._asked), there, open_)
        whole = [pair for pair in bent if _is_whole(open_.tree(pair[0]), pair)]
        again = dict.fromkeys((*lines, *self._hurt(touched, full, whole)))
        calm = not any(full.of(place)[0] > 1.0 for place in touched) and all(
            place in touched for place in self.crowded
        )
        passed = {}
        for number in again:
            line, now = lines.get(number, self.now.lines[number]), self.now.passed[number]
            anew = _whole_again(line, now) if calm else None
            if anew is None:
                anew = self.flows.passed(number, line, full)
            if anew != now:
                passed[number] = anew
        return Less(
            passed=passed,
            asked={place: (much, full.carries(place)) for place, much in then.items()},
            open_=open_,
        )

    def _without(self, line: Carried, there: Truth) -> Carried:
        """A line of which nothing changed but that users went with their switches: the other strands stay."""
        flows, places, pairs = [], dict(line.places), dict(line.pairs)
        for flow in line.flows:
            if flow.strand.state is not State.FLOWS or there.back(flow.strand.other):
                flows.append(flow)
                continue
            add(places, dict.fromkeys(flow.places, flow.strand.amount), -1)
            add(pairs, dict.fromkeys(flow.pairs, flow.strand.amount), -1)
            gone = Strand(amount=flow.strand.amount, state=State.NOT_TAKEN)
            flows.append(Flow(strand=gone, route=None, places=(), pairs=()))
        return Carried(flows=tuple(flows), places=places, pairs=pairs)

    def _hurt(self, touched: Iterable[Place], full: Full, bent: Iterable[Pair]) -> Iterable[int]:
        """Lines over a place that is too full now or then: all others get all they ask for, now and then."""
        now = self.flows.full_now
        crowded = [place for place in touched if full.of(place)[0] > 1.0 or now.of(place)[0] > 1.0]
        for place in crowded:
            yield from self.users.get(place, ())
            for pair in self.over.get(place, ()):
                yield from self.users.get(pair, ())
        for pair in bent:  # it may now go over what is too full without that having changed
            if full.between(pair)[1] > 1.0 or now.between(pair)[1] > 1.0:
                yield from self.users.get(pair, ())

    def fullest(self, less: Less) -> float:
        """How full the fullest place is after a loss."""
        most = max(
            (much / carries if carries else 1.0 for much, carries in less.asked.values() if much), default=0.0
        )
        return max(most, next((share for share, place in self.shares if place not in less.asked), 0.0))

    def _bent_pairs(self, open_: OpenWays, hurt: Iterable[str]) -> list[Pair]:
        """Pairs of switches between which traffic of now would go another way."""
        found: list[Pair] = []
        before = self.now.open_
        for name in hurt:
            then = open_.tree(name)
            bent = _bent(before.trees[name], then)
            found.extend(
                pair
                for pair in (self.pairs_on.get(name, ()) if bent else ())
                if (pair[1] in bent or pair[2] in bent)
                and not (
                    _is_whole(then, pair) and places_between(before, pair) == places_between(open_, pair)
                )
            )
        return found

    # -- what hangs on what ------------------------------------------------------------------------

    @cached_property
    def pairs_on(self) -> Mapping[str, list[Pair]]:
        """By network the pairs of switches between which anything goes now."""
        found: dict[str, list[Pair]] = {}
        for pair in self.now.pairs:
            found.setdefault(pair[0], []).append(pair)
        return found

    @cached_property
    def users(self) -> Mapping[Place | Pair, list[int]]:
        """By place of their own and by pair, the lines that ask anything of it now."""
        found: dict[Place | Pair, list[int]] = {}
        for number, line in enumerate(self.now.lines):
            for place in line.places:
                found.setdefault(place, []).append(number)
            for pair in line.pairs:
                found.setdefault(pair, []).append(number)
        return found

    @cached_property
    def over(self) -> Mapping[Place, list[Pair]]:
        """By place the pairs that go over it now."""
        found: dict[Place, list[Pair]] = {}
        for pair in self.now.pairs:
            for place in places_between(self.now.open_, pair):
                found.setdefault(place, []).append(pair)
        return found

    @cached_property
    def hangs(self) -> Mapping[str, tuple[int, ...]]:
        """By thing, the lines that must be followed anew when it changes."""
        passing = tuple(name for name, _ in self.talk.support.routers)
        whose: dict[str, tuple[str, ...]] = {}
        hangs: dict[str, dict[int, None]] = {}
        for number, line in enumerate(self.talk.lines):
            routed = any(flow.route is None or flow.route.via for flow in self.now.lines[number].flows)
            for name in dict.fromkeys((line.service, *line.to, *(passing if routed else ()))):
                if name not in whose:
                    whose[name] = tuple(self._behind(name))
                for each in whose[name]:
                    hangs.setdefault(each, {})[number] = None
        return {name: tuple(numbers) for name, numbers in hangs.items()}

    @cached_property
    def users_at(self) -> Mapping[str, tuple[int, ...]]:
        """By switch, the lines to networks whose users sit there."""
        found: dict[str, dict[int, None]] = {}
        for number, line in enumerate(self.talk.lines):
            for name in line.to:
                if isinstance(self.talk.lab.things[ThingId(name)], Network) and name in self.wires.networks:
                    for switch in self.wires.networks[name].users:
                        found.setdefault(switch, {})[number] = None
        return {switch: tuple(numbers) for switch, numbers in found.items()}

    @cached_property
    def _plugs(self) -> Mapping[str, list[str]]:
        """By machine, all on which it hangs how it is plugged in."""
        found: dict[str, list[str]] = {}
        for wired in self.wires.networks.values():
            for holder, plugs in wired.plugs.items():
                for plug in plugs:
                    found.setdefault(holder, []).extend((plug.into, *plug.carrier.parts))
            for holder, others in wired.straight.items():
                for carrier in others.values():
                    found.setdefault(holder, []).extend(carrier.parts)
        return found

    def _behind(self, name: str) -> Iterable[str]:
        """A thing, its copies, the machines where it is reached, and how these are plugged in."""
        lab = self.talk.lab
        thing = lab.things[ThingId(name)]
        hosts: dict[str, None] = {name: None} if name in self._plugs else {}
        yield name
        if isinstance(thing, Outside):
            for network in lab.of(Network):
                for out in network.way_out.ids if network.way_out else ():
                    yield from self._behind(out)
            for service, _ in self.talk.support.routers:
                yield from self._behind(service)
        elif isinstance(thing, Store):
            hosts.update(dict.fromkeys(nodes_of(lab, thing)))
        elif isinstance(thing, Pool | Enclosure):
            hosts.update(dict.fromkeys(self.talk.places(thing)))
        for copy in self.talk.copies.get(name, ()):
            yield copy
            hosts.update(dict.fromkeys(self._hosts(copy)))
        for host in hosts:
            yield host
            yield from self._plugs.get(host, ())

    def _hosts(self, name: str) -> Iterable[str]:
        """Where a copy is; one that had to move already may be moved by any other loss in its pool."""
        copy = self.talk.lab.things[ThingId(name)]
        if not isinstance(copy, Copy):
            return ()
        if not copy.pool or self.talk.host(name, self.flows.there) == copy.host:
            return (copy.host,)
        pool = self.talk.lab.things[ThingId(copy.pool)]
        return pool.hosts.ids if isinstance(pool, Pool) and pool.hosts else (copy.host,)


def _whole_again(line: Carried, now: Passed) -> Passed | None:
    """What becomes of a line that got all it asked for, while nothing is too full: as now, but for who is gone.

    None where that is not so simple: it was short, or some of it is cut off, or nothing of it is left.
    """
    flowing = 0
    for flow in line.flows:
        if flow.strand.state is State.FLOWS:
            if flow.route is None:
                return None
            flowing += flow.strand.amount
    if now.fate is not Fate.PASSES or not flowing:
        return None
    return now if flowing == now.gets else replace(now, gets=float(flowing))


def _is_whole(open_: Tree, pair: Pair) -> bool:
    """Whether both switches of a pair are there and hang together; else its lines are followed anew in any case."""
    return open_.piece.get(pair[1], "") == open_.piece.get(pair[2])


def _comes_apart(before: Tree, after: Tree) -> bool:
    """Whether switches that hung together, and are still there, no longer do."""
    pieces: dict[str, str] = {}
    return any(
        pieces.setdefault(before.piece.get(switch, ""), root) != root for switch, root in after.piece.items()
    )


def _bent(before: Tree, after: Tree) -> frozenset[str]:
    """The switches whose way to the root is another, those that are gone too."""
    found: set[str] = set()
    for switch in sorted(after.depth, key=lambda each: after.depth[each]):
        was, then = before.above.get(switch), after.above.get(switch)
        if was != then or (then is not None and then[0] in found):
            found.add(switch)
    return frozenset((*found, *(switch for switch in before.depth if switch not in after.depth)))
