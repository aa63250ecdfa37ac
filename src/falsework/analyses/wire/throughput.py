"""How much gets from one thing to another, now and after each single loss?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from falsework.analyses.wire.passing import AfterLoss, Between, Gets
from falsework.analyses.wire.traffic import flowing, wires_of
from falsework.analyses.wire.ways import Most, apart, gets, is_on, most
from falsework.errors import QuestionError, few, nearest
from falsework.model.parts import Controller, Enclosure, Node, Outside, Switch, ThingId
from falsework.model.services import Copy, Service
from falsework.support.carriers import Wires
from falsework.support.open_ways import OpenWays
from falsework.support.single_losses import single_losses
from falsework.support.standing import Standing
from falsework.support.traffic import Talk, Truth

Leg = tuple[str, str, str]
"""A network, and the two machines between which it is taken."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Best:
    """What one moment gives: over one leg, or over two with a host between them."""

    gets: Gets
    legs: tuple[Leg, ...] = ()


def between(standing: Standing, one: str, other: str) -> Between:
    """How much gets from one thing to another, now and after each single loss.

    Of several networks that both are on, the one that gives most counts; where there is none, or no way on any, the
    traffic goes over the host of a service that passes it on, one at most.

    Args:
        standing: the lab, with what is out.
        one: a node, a switch, a management controller, an enclosure (its first node that is plugged in), a service
            (where its first copy that serves is) or something outside (whatever leads out).
        other: the same.

    Raises:
        QuestionError: there is no such thing on the wire, or both are the same machine.

    Cost:
        A largest flow for each loss of something that the flow of now goes over; a loss of anything else leaves that
        flow as it is, so it is not worked out anew.
    """
    asking = _Asking(standing, wires_of(standing), flowing(standing).talk)
    ends = (asking.place(one, standing.baseline), asking.place(other, standing.baseline))
    if ends[0] == ends[1]:
        raise QuestionError(
            what=f"{one} and {other} are the same machine, {ends[0]}",
            mend="Name two machines with a wire between them.",
        )
    now = asking.best(ends, standing.baseline)
    today = _figures(now.gets)
    after: list[AfterLoss] = []
    own: list[str] = []
    for change in single_losses(standing, asking.names(ends)):
        if not (change.there.back(ends[0]) and change.there.back(ends[1])):
            own.extend(change.parts)
            continue
        then = asking.best(ends, change.there, changed=change.changed).gets
        if any(less < much for less, much in zip(_figures(then), today, strict=True)):
            after.append(AfterLoss(lost=change.parts, gets=then))
    after.sort(key=lambda each: (each.gets.forwarded, each.gets.at_most, each.gets.one_stream))
    ways = [asking.apart(leg) for leg in now.legs]
    return Between(
        one=one,
        other=other,
        network=few([network for network, _, _ in now.legs]),
        via=tuple(middle for _, _, middle in now.legs[:-1]),
        now=now.gets,
        cable_ways=min((cables for cables, _ in ways), default=0),
        switch_ways=min((switches for _, switches in ways), default=0),
        after=tuple(after),
        with_an_end=tuple(own),
        harmless=len(standing.parts) - len(own) - sum(len(each.lost) for each in after),
    )


def _figures(found: Gets) -> tuple[float, float, float]:
    return (found.at_most, found.forwarded, found.one_stream)


@dataclass(frozen=True, slots=True)
class _Asking:
    """A lab that is asked about two machines at many moments; keeps the flows of now."""

    standing: Standing
    wires: Wires
    talk: Talk
    flows: dict[Leg, Most] = field(default_factory=dict)

    def names(self, ends: tuple[str, str]) -> Sequence[str]:
        """Everything on which traffic between two machines may hang."""
        found = dict.fromkeys(ends)
        for carrier in self.wires.carriers:
            found.update(dict.fromkeys(carrier.parts))
        found.update(dict.fromkeys(switch.id for switch in self.standing.lab.of(Switch)))
        for service, _ in self.standing.support.routers:
            found[service] = None
            for copy in self.talk.copies.get(service, ()):
                found.update(dict.fromkeys((copy, *self.standing.support.things[copy].places)))
        return [name for name in found if name in self.standing.support.things]

    def best(self, ends: tuple[str, str], there: Truth, changed: frozenset[str] = frozenset()) -> _Best:
        """What gets from end to end at one moment, which differs from now in these things."""
        open_ = OpenWays(self.wires, there.back)
        straight = [
            self._over((name, *ends), there, open_, changed)
            for name, wired in self.wires.networks.items()
            if is_on(wired, ends[0]) and is_on(wired, ends[1])
        ]
        found = max(straight, key=lambda each: (each.gets.forwarded, each.gets.at_most), default=None)
        if found is not None and found.gets.at_most:
            return found
        for leg, onward in self._routers(ends, there):
            first = self._over(leg, there, open_, changed).gets
            second = self._over(onward, there, open_, changed).gets
            if first.at_most and second.at_most:
                return _Best(gets=_both(first, second, leg[2]), legs=(leg, onward))
        return found or _Best(gets=Gets(at_most=0.0, forwarded=0.0, one_stream=0.0))

    def _over(self, leg: Leg, there: Truth, open_: OpenWays, changed: frozenset[str]) -> _Best:
        wired, ends = self.wires.networks[leg[0]], leg[1:]
        known = self.flows.get(leg)
        if known is None or (changed and known.uses & changed):
            known = most(self.wires, wired, ends, there.back)
            if not changed:
                self.flows[leg] = known
        way = open_.way(leg[0], *ends)
        return _Best(gets=gets(self.wires, way, known, there.back), legs=(leg,))

    def _routers(self, ends: tuple[str, str], there: Truth) -> Iterator[tuple[Leg, Leg]]:
        """The two legs over each host that passes traffic on between networks of the two ends."""
        networks = self.wires.networks
        for service, joined in self.standing.support.routers:
            for copy in self.talk.serving(service, there):
                host = self.talk.host(copy, there)
                on = [name for name in joined if name in networks and is_on(networks[name], host)]
                for first in on if host not in ("", *ends) else ():
                    for second in on:
                        if (
                            first != second
                            and is_on(networks[first], ends[0])
                            and is_on(networks[second], ends[1])
                        ):
                            yield (first, ends[0], host), (second, host, ends[1])

    def apart(self, leg: Leg) -> tuple[int, int]:
        """The ways of now without a common cable, and without a common switch, cable or card."""
        return apart(self.wires, self.wires.networks[leg[0]], leg[1:], self.standing.baseline.back)

    def place(self, name: str, there: Truth) -> str:
        """The machine or switch that is meant.

        Raises:
            QuestionError: there is none on the wire.
        """
        lab, networks = self.standing.lab, self.wires.networks
        thing = lab.things.get(ThingId(name))
        plugged = {holder for wired in networks.values() for holder in (*wired.plugs, *wired.straight)}
        switches = {switch for wired in networks.values() for switch in wired.switches}
        found: Sequence[str] = ()
        if isinstance(thing, Service):
            found = [self.talk.host(copy, there) for copy in self.talk.serving(name, there)]
        elif isinstance(thing, Copy):
            found = (self.talk.host(name, there),)
        elif isinstance(thing, Node | Switch | Controller):
            found = (name,)
        elif isinstance(thing, Enclosure):
            found = self.talk.places(thing)
        elif isinstance(thing, Outside):
            found = [
                host
                for wired in networks.values()
                for each in wired.plugs
                for host in self.talk.exits(each, there)[1]
            ]
        place = next((each for each in found if each in plugged or each in switches), None)
        if place is None:
            services = (service.id for service in lab.of(Service))
            near = nearest(name, [*sorted(plugged), *sorted(switches), *services]) if thing is None else None
            raise QuestionError(
                what=f"{name!r} has no cable" if thing is not None else f"nothing is called {name!r}",
                mend=f"Did you mean {near!r}?"
                if near
                else "Name a node, a switch or a service with a cable to it.",
            )
        return place


def _both(first: Gets, second: Gets, host: str) -> Gets:
    """Two legs with a host between them: the narrower of both; what they might share is not taken off."""
    return Gets(
        at_most=min(first.at_most, second.at_most),
        forwarded=min(first.forwarded, second.forwarded),
        one_stream=min(first.one_stream, second.one_stream),
        full=min(first, second, key=lambda leg: leg.at_most).full,
        way=(*first.way, host, *second.way),
    )
