"""Why does this thing not stand: what is the shortest honest chain of reasons?"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from falsework.analyses.wording import in_words
from falsework.support.graph import Lean, Role
from falsework.support.standing import View
from falsework.where import Where


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """One step of a chain.

    Attributes:
        thing: what it is about.
        says: a clause that ends well after "because": "mail runs on desk-2".
        role: what kind of lean is broken; None at the end of a chain that is a lost part or a circle.
        by_wire: what is leant on may stand, but can't be seen.
        where: the place in the lab file that makes it so.
    """

    thing: str
    says: str
    role: Role | None = None
    by_wire: bool = False
    where: Where | None = None


Depth = tuple[float, float]
"""When it falls, in seconds, then how many steps it is away from a lost part."""
FAR: Depth = (math.inf, math.inf)


def explain(view: View, thing: str, *, falls: Mapping[str, float] | None = None) -> tuple[Reason, ...]:
    """The chain from a thing that is down to the parts that are lost, or to the circle it is stuck in.

    A thing that comes back is explained by what interrupted it, one that does not by what keeps it down.

    Args:
        view: one scenario.
        thing: any thing of the graph.
        falls: when each thing falls, seconds; with it the earliest cause is told before the nearest.

    Returns:
        Empty where the thing stands. Among the broken leans of each thing the one with the earliest, then
        shortest, way to a lost part is followed; of its members, one that is down and nearest.
    """
    return Chains(view, falls or {}).of(thing)


class Chains:
    """The chains of one scenario; what they share is worked out once.

    Args:
        view: the scenario.
        falls: when each thing falls, seconds.
    """

    def __init__(self, view: View, falls: Mapping[str, float]) -> None:
        self.view, self.falls = view, falls
        self._made: dict[bool, _Chain] = {}

    def of(self, thing: str) -> tuple[Reason, ...]:
        """See `explain`."""
        if self.view.up(thing):
            return ()
        later = not self.view.back(thing)
        if later not in self._made:
            self._made[later] = _Chain(self.view, later, self.falls)
        return tuple(self._made[later].walk(thing))


def told(reasons: tuple[Reason, ...]) -> str:
    """A chain as one sentence without its full stop; a row of things without power is told as one step."""
    if not reasons:
        return "it stands"
    clauses: list[str] = []
    for number, reason in enumerate(reasons):
        before = reasons[number - 1].role if number else None
        if reason.role is before is Role.POWER:
            continue
        clauses.append(reason.says)
    first, *rest = clauses
    return f"{first}: {', since '.join(rest)}" if rest else first


class _Chain:
    def __init__(self, view: View, later: bool, falls: Mapping[str, float]) -> None:
        self.view = view
        self.later = later
        self.falls = falls
        self.support = view.standing.support
        self.down = dict.fromkeys(view.down(later=later))
        self.cut = {
            name: [
                each
                for each in (*network.vertices, *(cable for _, _, cable in network.edges))
                if each in self.down
            ]
            for name, network in self.support.networks.items()
        }
        self.wires: dict[tuple[str, int], list[str]] = {}
        self.depth = self._depths()

    def _broken(self, name: str) -> Iterator[Lean]:
        for number, lean in enumerate(self.support.things[name].leans):
            if not self.view.lean_holds(name, number, later=self.later):
                yield lean

    def _depths(self) -> Mapping[str, Depth]:
        """How far each thing that is down is from a lost part, by relaxation; far in a circle."""
        depth = {name: ((0.0, 0.0) if name in self.view.lost else FAR) for name in self.down}
        broken = {name: tuple(self._broken(name)) for name in self.down if name not in self.view.lost}
        readers: dict[str, list[str]] = {}
        for name, leans in broken.items():
            for lean in leans:
                wire = self._wire(name, lean) if lean.together or lean.seen else ()
                for each in {*lean.on, *wire}:
                    readers.setdefault(each, []).append(name)
        waiting = set(broken)  # a thing is looked at again only when what it reads has changed
        while waiting:
            for name, leans in broken.items():
                if name not in waiting:
                    continue
                waiting.discard(name)
                near = min((self._lean_depth(lean, name, depth) for lean in leans), default=(0.0, 0.0))
                when = min(self.falls.get(name, near[0]), near[0]) if not self.later else near[0]
                best = (when, near[1] + 1)
                if best < depth[name]:
                    depth[name] = best
                    waiting.update(readers.get(name, ()))
        return depth

    def _lean_depth(self, lean: Lean, name: str, depth: Mapping[str, Depth]) -> Depth:
        """How far the nearest set of fallen members is that breaks a lean."""
        when, steps = self._members(lean, depth)
        if self._by_wire(name, lean, when, depth):
            wire = [self._when(each, depth) for each in self._wire(name, lean)]
            when, steps = min(wire, default=FAR)
            steps += 1
        return (when + lean.hold_s, steps)

    def _members(self, lean: Lean, depth: Mapping[str, Depth]) -> Depth:
        """When enough members of a lean are down to break it."""
        fallen = sorted(self._when(each, depth) for each in lean.on if each in depth)
        enough = len(lean.on) - lean.enough + 1
        return fallen[enough - 1] if len(fallen) >= enough else FAR

    def _by_wire(self, name: str, lean: Lean, members: float, depth: Mapping[str, Depth]) -> bool:
        """Whether a lean breaks because its members can't be seen, before enough of them are down."""
        if not (lean.together or lean.seen):
            return False
        if members == math.inf:
            return True
        sooner = self.falls.get(name, members)
        if sooner >= members - 1e-6:
            return False
        return any(self._when(each, depth)[0] <= sooner for each in self._wire(name, lean))

    def _when(self, name: str, depth: Mapping[str, Depth]) -> Depth:
        return (self.falls.get(name, depth[name][0]), depth[name][1]) if name in self.falls else depth[name]

    def _wire(self, name: str, lean: Lean) -> Sequence[str]:
        """What is down of the switches, cables and cards between a thing and what it must see."""
        key = (name, id(lean))
        if key not in self.wires:
            self.wires[key] = list(self._between(name, lean))
        return self.wires[key]

    def _between(self, name: str, lean: Lean) -> Iterator[str]:
        places = {*self.support.things[name].places}
        for each in lean.on:
            places.update(self.support.things[each].places)
        for network in self.support.networks.values():
            if not any(place in network.attachments for place in places):
                continue
            for place in sorted(places):
                for attachment in network.attachments.get(place, ()):
                    ways = (attachment.vertex, *attachment.through)
                    yield from (each for each in ways if each in self.down)
            yield from self.cut[network.name]

    def walk(self, thing: str) -> Iterator[Reason]:
        seen: list[str] = []
        at: str | None = thing
        while at is not None:
            if at in seen:
                circle = [*seen[seen.index(at) :], at]
                yield Reason(
                    thing=at,
                    says="each waits for the next: " + " -> ".join(circle),
                    where=self.support.things[at].where,
                )
                return
            seen.append(at)
            if at in self.view.lost:
                yield Reason(thing=at, says=f"{at} is lost", where=self.support.things[at].where)
                return
            leans = sorted(self._broken(at), key=lambda lean: self._lean_depth(lean, str(at), self.depth))
            if not leans:
                yield self._unleaning(at)
                return
            lean = leans[0]
            step, following = self._step(at, lean)
            yield step
            at = following

    def _unleaning(self, name: str) -> Reason:
        """Down though every lean holds: tripped, without room, or waiting for a hand."""
        support = self.support.things[name]
        for load in self.support.loads:
            if load.source == name:
                carried = load.carried_w(self.view.up)
                says = f"{name} would have to carry {carried:,.0f} W and trips above {load.limit_w:,.0f} W"
                return Reason(thing=name, says=says, role=Role.LOAD, where=support.where)
        for room in self.support.rooms:
            if name in room.copies:
                return Reason(
                    thing=name,
                    says=f"{name} finds no room on what is left of {room.pool}",
                    role=Role.ROOM,
                    where=support.where,
                )
        if support.tries_once:
            return Reason(thing=name, says=f"{name} tries to start only once", where=support.where)
        if support.stays_off:
            return Reason(
                thing=name, says=f"{name} stays off until a hand switches it on", where=support.where
            )
        return Reason(thing=name, says=f"{name} does not start", where=support.where)

    def _step(self, name: str, lean: Lean) -> tuple[Reason, str | None]:
        fallen = sorted(
            (each for each in lean.on if each in self.depth),
            key=lambda each: (self._when(each, self.depth), lean.on.index(each)),
        )
        standing = len(lean.on) - len(fallen)
        seen = not self._by_wire(name, lean, self._members(lean, self.depth)[0], self.depth)
        silent = None if seen else self._silent(lean)
        if silent is not None:
            says = f"{name} knows {lean.on[0]} only at {', '.join(lean.at[:3])}"
            return Reason(thing=name, says=says, role=lean.role, by_wire=True, where=lean.where), silent
        following = (fallen[0] if fallen else None) if seen else self._cut(name, lean)
        says = in_words(name, lean, following if seen else None, standing)
        return Reason(thing=name, says=says, role=lean.role, by_wire=not seen, where=lean.where), following

    def _silent(self, lean: Lean) -> str | None:
        """Where a service is known by some addresses only, and all that answer there are down: the first of those."""
        known = self.support.answers.get(lean.on[0], {}) if len(lean.on) == 1 else {}
        copies = [copy for address in lean.at for copy in known.get(address, ())]
        if not copies or any(copy not in self.depth for copy in copies):
            return None
        return min(copies, key=lambda each: (self._when(each, self.depth), each))

    def _cut(self, name: str, lean: Lean) -> str | None:
        """The nearest thing on the wire that is down."""
        wire = [each for each in self._wire(name, lean) if each != name]
        return min(wire, key=lambda each: (self._when(each, self.depth), each), default=None)
