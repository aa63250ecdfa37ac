"""What stands, what comes back and what is kept, by the obvious loops?

A second reading of the support graph, written from the design and from what `support/graph.py` promises, not
from the gates: everything is a set of names, the wire is searched breadth first, coming back is played
through event by event, and copies are packed by trying every assignment. It is slow, and meant to be.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import product

from falsework.support.graph import Lean, Phase, Role, Room, Support, SupportGraph

SLACK = 1e-6
NEVER = float("inf")
Names = frozenset[str]
Vertex = tuple[str, str]


@dataclass(frozen=True)
class Answer:
    """Ids of what stands uninterrupted, of what stands in the end, and of the keepings that survive."""

    up: Names
    back: Names
    kept: Names


def judge(support: SupportGraph, lost: Iterable[str]) -> Answer:
    """What losing these parts does."""
    scene = Scene(support, frozenset(lost))
    up = scene.standing()
    return Answer(up, scene.returning(up)[-1][1], frozenset(filter(scene.intact, support.keepings)))


class Scene:
    """One support graph with some parts lost."""

    def __init__(self, support: SupportGraph, lost: Names) -> None:
        self.support, self.lost = support, lost
        self.played: dict[Names, list[tuple[float, Names]]] = {}

    # -- standing: start with everything and take away what can't stand ---------------------------------

    def standing(self) -> Names:
        """The greatest set in which everything has what it runs on."""
        up = frozenset(self.support.things) - self.lost
        while True:
            view, evicted = View(self.support, up, now=True), self._evicted(up)
            kept = frozenset(
                name
                for name in up - evicted
                if self._carries(name, up) and self._stays(self.support.things[name], view)
            )
            if kept == up:
                return up
            up = kept

    def _stays(self, thing: Support, view: View) -> bool:
        for lean in thing.leans:
            if Phase.RUN in lean.phases and "now" in lean.times and not view.holds(thing, lean, view.there):
                if not lean.hold_s:
                    return False
                moments = self.returning(view.there)
                there = [back for moment, back in moments if moment <= lean.hold_s + SLACK][-1]
                if not View(self.support, there).holds(thing, lean, there):
                    return False
        return True

    # -- coming back: let the clock run from one start to the next --------------------------------------

    def returning(self, up: Names) -> list[tuple[float, Names]]:
        """From each moment on, seconds, what serves; the last is how it ends."""
        if up not in self.played:
            end, moments = frozenset(self.support.things), self._play(up, frozenset(self.support.things))
            while moments[-1][1] != end:  # nobody starts from what will not last
                end = moments[-1][1]
                moments = self._play(up, end)
            self.played[up] = moments
        return self.played[up]

    def _play(self, up: Names, end: Names) -> list[tuple[float, Names]]:
        """The same, when of all that is not up only what serves in the end counts on the way."""
        begun, clock = up, 0.0
        moments: list[tuple[float, Names]] = []
        due: dict[str, float] = {}
        nowhere = self._homeless(up)
        while True:
            serving = up | (self._serving(begun, up) & end)
            moments.append((clock, serving))
            view = View(self.support, begun, up=up)
            for name, thing in self.support.things.items():
                if name not in begun | nowhere and name not in due and self._starts(thing, up, view, serving):
                    due[name] = clock + (thing.returns_s or 0.0)
            waiting = {name: at for name, at in due.items() if name not in begun}
            if not waiting:
                return [*moments, (NEVER, self._serving(begun))]
            clock = min(waiting.values())
            begun |= {name for name, at in waiting.items() if at <= clock + SLACK}

    def _serving(self, begun: Names, up: Names | None = None) -> Names:
        """What has begun and has all it runs on: the greatest such set.

        On the way what never stopped (`up`) serves, and a hold bridges what is needed only to run; in the end no
        hold counts.
        """
        there = begun
        while True:
            view = View(self.support, there, up=up)
            kept = frozenset(
                name for name in there if (up and name in up) or self._runs(name, view, up is not None)
            )
            if kept == there:
                return there
            there = kept

    def _runs(self, name: str, view: View, bridged: bool) -> bool:
        thing = self.support.things[name]
        return not view.homeless(name) and all(
            view.holds(thing, lean, view.there)
            or (bridged and lean.hold_s and Phase.START not in lean.phases)
            for lean in thing.leans
            if Phase.RUN in lean.phases and "later" in lean.times
        )

    def _starts(self, thing: Support, up: Names, view: View, serving: Names) -> bool:
        if thing.id in self.lost or thing.returns_s is None or not self._carries(thing.id, up):
            return False
        if thing.tries_once and not thing.moves:
            return False
        begun = view.there
        if thing.word == "node":
            view = View(self.support, begun, up=up, starting=thing)
        for lean in thing.leans:
            if Phase.START in lean.phases and "later" in lean.times:
                there = begun
                if lean.role in (Role.NEED, Role.STATE, Role.KEPT):
                    # what it uses must serve, and must never have stopped if it does not wait for it
                    there = up if thing.tries_once else serving
                if not view.holds(thing, lean, there):
                    return False
        return True

    # -- load, room, data -------------------------------------------------------------------------------

    def _carries(self, name: str, up: Names) -> bool:
        for load in self.support.loads:
            if load.source == name:
                carried = 0.0
                for draw, mine, others in load.draws:
                    carried += draw * mine / (mine + len(up.intersection(others)))
                return carried <= load.limit_w * (1 + SLACK)
        return True

    def _homeless(self, up: Names) -> Names:
        return frozenset(
            room.copies[n] for room in self.support.rooms for n in homeless(room, self._gone(room, up))
        )

    def _evicted(self, up: Names) -> Names:
        """Running copies that are left out to make room."""
        return frozenset(
            room.copies[n]
            for room in self.support.rooms
            for n in homeless(room, self._gone(room, up))
            if room.host_of[n] not in self._gone(room, up)
        )

    def _gone(self, room: Room, up: Names) -> frozenset[int]:
        """Positions of the hosts that are down or cut off."""
        view = View(self.support, up, now=True)
        return frozenset(n for n, host in enumerate(room.hosts) if host not in up or not view.in_touch(host))

    def intact(self, name: str) -> bool:
        """Whether a keeping survives; whatever is a part survives unless it is lost."""
        keeping = self.support.keepings.get(name)
        if keeping is None:
            return name not in self.lost
        return sum(self.intact(each) for each in keeping.on) >= keeping.enough


class View:
    """Who sees whom while these things are there.

    Args:
        support: the graph.
        there: what stands.
        now: a copy is on the host that it is on now; else on any of its hosts that stands.
        up: what never stopped, on the way back: it is where it is now, and holds bridge what is needed only to run.
        starting: something that is about to start: it has its own ports already.
    """

    def __init__(
        self,
        support: SupportGraph,
        there: Names,
        *,
        now: bool = False,
        up: Names | None = None,
        starting: Support | None = None,
    ) -> None:
        self.support, self.now, self.up = support, now, up
        self.there, self.hosts = there, there
        if starting is not None and starting.word == "node":
            own = {
                name
                for name, thing in support.things.items()
                if thing.word == "card" and any(starting.id in lean.on for lean in thing.leans)
            }
            self.there = there | {starting.id} | own
        self.wired = {node for network in support.networks.values() for node in network.attachments}
        self._areas: list[tuple[frozenset[Vertex], frozenset[Vertex]]] | None = None
        self._pieces_: list[frozenset[Vertex]] | None = None
        self._ends: dict[tuple[str, bool], set[Vertex]] = {}
        self._homes: dict[str, tuple[str, ...]] = {}
        if not now:
            self._settle()

    def holds(self, thing: Support, lean: Lean, there: Names) -> bool:
        """Whether at least `enough` are there, and are seen where that matters."""
        members = [name for name in lean.on if name in there]
        if lean.together:
            return self._meet(lean, members)
        if lean.seen and thing.places:
            return sum(self._sees(thing, name, lean, there) for name in members) >= lean.enough
        return len(members) >= lean.enough

    def _meet(self, lean: Lean, members: list[str]) -> bool:
        """Whether enough members are in one area where users are."""
        free = [name for name in members if self._unwired(name)]
        if len(free) >= lean.enough and not self._users_said(lean.on):
            return True
        for piece, area in self.areas:
            there = [name for name in members if name in free or self._attached(name) & area]
            if len(there) >= lean.enough and self._usable(piece, lean.on):
                return True
        return False

    def _users_said(self, members: tuple[str, ...]) -> bool:
        """Whether all networks that the members are on, if any, say where users sit."""
        networks = {name for each in members for name, _ in self._attached(each, standing=False)}
        return bool(networks) and all(self.support.networks[name].users for name in networks)

    def _usable(self, piece: frozenset[Vertex], members: tuple[str, ...]) -> bool:
        """Whether members may be plugged in at this piece, and users reach it."""
        name = next(iter(piece))[0]
        users = self.support.networks[name].users
        mine = any(self._attached(each, standing=False) & piece for each in members)
        return mine and (not users or any((name, user) in piece for user in users))

    def _sees(self, thing: Support, name: str, lean: Lean, there: Names) -> bool:
        target = self.support.things[name]
        spots: list[frozenset[Vertex] | None] = (
            [None] if self._unwired(thing.id) else [*self._seen_from(thing)]
        )
        if target.word != "service":
            return any(area is None or self._unwired(name) or self._attached(name) & area for area in spots)
        return any(self._serves(target, lean, area, there) for area in spots)

    def _serves(self, service: Support, lean: Lean, area: frozenset[Vertex] | None, there: Names) -> bool:
        """Whether enough copies that answer where the client asks are in the client's area."""
        time = "now" if self.now else "later"
        answers = self.support.answers.get(service.id, {})
        for each in service.leans:
            if each.role is Role.COPIES and time in each.times:
                copies, enough = set(each.on), each.enough
                if lean.at and all(address in answers for address in lean.at):
                    copies &= {copy for address in lean.at for copy in answers[address]}
                    enough = max(min(enough, len(copies)), 1)
                seen = [
                    c
                    for c in copies
                    if c in there and (area is None or self._unwired(c) or self._attached(c) & area)
                ]
                if len(seen) < enough:
                    return False
        return True

    # -- the wire ---------------------------------------------------------------------------------------

    def _settle(self) -> None:
        """Where each copy that moves can be: hosts that stand and from which all that it uses is seen.

        Start with every host that stands and take away those that will not do.
        """
        moving = [
            thing
            for name, thing in self.support.things.items()
            if thing.word == "copy" and thing.moves and name in self.there
        ]
        self._homes = {t.id: tuple(host for host in t.places if host in self.hosts) for t in moving}
        while True:
            kept = {
                thing.id: tuple(h for h in self._homes[thing.id] if self._will_do(thing, h))
                for thing in moving
            }
            if kept == self._homes:
                return
            self._homes = kept
            self._ends, self._areas = {}, None

    def _will_do(self, thing: Support, host: str) -> bool:
        """Whether a copy on this host would see all that it needs every moment, or has been there all along.

        On the way back what it needs only to run may begin after it.
        """
        if self.up is not None and thing.id in self.up and host in thing.at("now"):
            return True
        there = replace(thing, places=(host,), now=(host,))
        return all(
            sum(self._sees(there, name, lean, self.there) for name in lean.on if name in self.there)
            >= lean.enough
            for lean in thing.leans
            if lean.seen and "later" in lean.times and Phase.RUN in lean.phases
            if not (self.up is not None and Phase.START not in lean.phases)
        )

    def homeless(self, name: str) -> bool:
        """Whether a copy that moves has no place where it could be."""
        return name in self._homes and not self._homes[name]

    def _spots(self, name: str) -> tuple[str, ...]:
        if name in self._homes:
            return self._homes[name]
        places = self.support.things[name].at("now" if self.now else "later")
        return places if len(places) == 1 else tuple(place for place in places if place in self.hosts)

    def in_touch(self, node: str) -> bool:
        """Whether a node sees any of the wire that it is on."""
        return self._unwired(node) or bool(self._seen_from(self.support.things[node]))

    def _seen_from(self, thing: Support) -> list[frozenset[Vertex]]:
        """The areas around the pieces where it is plugged in, those that it reaches."""
        own, reached = self._attached(thing.id, standing=False), self._attached(thing.id)
        if thing is not self.support.things[thing.id]:  # one copy tried on one host
            (host,) = thing.places
            own, reached = self._attached(host, standing=False), self._attached(host)
        return [area for piece, area in self.areas if own & piece and reached & area]

    def _unwired(self, name: str) -> bool:
        """Whether nothing is known of its wiring: then it sees and is seen by all."""
        return not any(
            place in self.wired for place in self.support.things[name].at("now" if self.now else "later")
        )

    def _attached(self, name: str, *, standing: bool = True) -> set[Vertex]:
        if (name, standing) in self._ends:
            return self._ends[name, standing]
        spots = (
            self._spots(name) if standing else self.support.things[name].at("now" if self.now else "later")
        )
        self._ends[name, standing] = {
            (network.name, way.vertex)
            for network in self.support.networks.values()
            for spot in spots
            for way in network.attachments.get(spot, ())
            if not standing or all(each in self.there for each in way.through)
        }
        return self._ends[name, standing]

    def _pieces(self) -> list[frozenset[Vertex]]:
        """The connected pieces of each network, by breadth-first search."""
        if self._pieces_ is not None:
            return self._pieces_
        pieces = self._pieces_ = []
        for network in self.support.networks.values():
            left = [vertex for vertex in network.vertices if vertex in self.there]
            while left:
                found, waiting = {left[0]}, [left[0]]
                while waiting:
                    at = waiting.pop(0)
                    for a, b, cable in network.edges:
                        for one, other in ((a, b), (b, a)):
                            if one == at and other in left and cable in self.there and other not in found:
                                found.add(other)
                                waiting.append(other)
                pieces.append(frozenset((network.name, vertex) for vertex in found))
                left = [vertex for vertex in left if vertex not in found]
        return pieces

    @property
    def areas(self) -> list[tuple[frozenset[Vertex], frozenset[Vertex]]]:
        """Each piece, with the pieces of other networks that a router joins to it: one step, never two."""
        if self._areas is None:
            pieces = self._pieces()
            around = {piece: set(piece) for piece in pieces}
            for service, joined in self.support.routers:
                leans = self.support.things[service].leans
                copies = {copy for lean in leans if lean.role is Role.COPIES for copy in lean.on}
                for spot in sorted({spot for copy in copies & self.there for spot in self._spots(copy)}):
                    ends = {end for end in self._attached(spot) if end[0] in joined}
                    mine = [piece for piece in pieces if ends & piece]
                    for one in mine:
                        for other in mine:
                            if next(iter(one))[0] != next(iter(other))[0]:
                                around[one] |= other
            self._areas = [(piece, frozenset(area)) for piece, area in around.items()]
        return self._areas


def homeless(room: Room, lost: frozenset[int]) -> frozenset[int]:
    """Copies without a place once these hosts are gone.

    If all that lost their host fit beside what runs, none. Else copies that may be left out give way, running
    ones too if need be; the others are housed in the order of the file, each if it fits with those before it;
    then whoever gave way and still fits.
    """
    displaced = [n for n, host in enumerate(room.host_of) if host in lost]
    running = [n for n in range(len(room.copies)) if n not in displaced]
    if fits(room, displaced, running, lost):
        return frozenset()
    needed = [n for n in displaced if not room.sheds[n]]
    out = [n for n in displaced if room.sheds[n]]
    if not fits(room, needed, running, lost):
        out = sorted({*out, *(n for n in running if room.sheds[n])})
        running = [n for n in running if not room.sheds[n]]
    placed: list[int] = []
    for n in [*needed, *out]:
        if fits(room, [*placed, n], running, lost):
            placed.append(n)
    return frozenset({*needed, *out} - set(placed))


def fits(room: Room, numbers: list[int], running: list[int], lost: frozenset[int]) -> bool:
    """Whether some assignment of these copies to the hosts left keeps every limit and rule."""
    hosts = [host for host in range(len(room.hosts)) if host not in lost]
    for chosen in product(hosts, repeat=len(numbers)):
        where = {n: room.host_of[n] for n in running} | dict(zip(numbers, chosen, strict=True))
        if lawful(room, where, set(numbers)):
            return True
    return False


def lawful(room: Room, where: dict[int, int], moved: set[int]) -> bool:
    """Whether no host is over its limit that takes a moved copy, and no moved copy shares a domain with its like."""
    for n in moved:
        if room.may and where[n] not in room.may[n]:
            return False
        for resource in range(4):
            taken = sum(room.takes[m][resource] for m, host in where.items() if host == where[n])
            if taken > room.free[where[n]][resource] + 1e-9:
                return False
        for m in where:
            if any({n, m} == {one, two} and far[where[n]] == far[where[m]] for one, two, far in room.away):
                return False
            alike = m != n and room.apart[m] == room.apart[n]
            domain = room.domain_of[n][where[n]]
            if alike and domain >= 0 and room.domain_of[m][where[m]] == domain:  # below nought: it may share
                return False
    return True
