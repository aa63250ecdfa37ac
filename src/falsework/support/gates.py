"""How does the support graph become gates?

Every thing has up to three gates:

- `up`: it stands without interruption. Greatest fixed point: things that lean on each other keep each
  other up. A lean with a hold is satisfied by what comes back before the hold ends.
- `begun`: it is up, or has got going again. Least fixed point: nothing starts because it has started.
- `back`: it has begun and what it leans on every moment is back too. Greatest fixed point within `begun`.

Who can be seen over the wire is a least fixed point from each vertex, nested in all of these: a ring of
switches does not connect itself. A thing that nothing can bring back, and that leans on nothing that comes
back, has one gate for all three.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from falsework.engines.gates import GateBuilder, GateGraph, GateId, Sign
from falsework.support import room as rooms
from falsework.support.carrying import carrying, others_of
from falsework.support.graph import NOW, Lean, Phase, Role, Room, Support, SupportGraph
from falsework.support.lively import breaks, knots, latest, lively, slowest
from falsework.support.sight import Sight, Some, Vertex

UP, BEGUN, BACK = "up", "begun", "back"
USED = (Role.NEED, Role.STATE, Role.KEPT)
"""Leans on something that must serve, not merely run."""
DEEPEST = 8
"""Knots of things that need each other to run are unrolled at most so deep."""
NESTED = 16
"""So many bodies are made inside each other; what lies deeper waits until they are done."""
MOST_ASKED = 64
"""So many questions about one thing and a moment are answered at the most."""
NEVER_ASLEEP = ("outside", "person")
"""What does not start with the lab: it is there or it is not."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gates:
    """The compiled graph and which kept row says what.

    Attributes:
        graph: the gates; its leaves are the parts, by id, without those out beforehand.
        services: the same gates with fewer kept: each service's `up`, each service's `back`, and each
            keeping, in this order. For questions in bulk.
        of_services: what `services` keeps, as rows of what `graph` keeps.
        up, back: row of each thing's gate among the kept, by id.
        kept: row of each keeping (`intact:`, `held:` and `kept:` names), by id.
        leans: rows of each thing's leans, now and later, in order, for reasons.
        holds: how long each gate of `graph` holds what it passes on once that is gone, seconds; truth is not changed
            by it, times are.
    """

    graph: GateGraph
    services: GateGraph
    of_services: NDArray[np.intp]
    up: Mapping[str, int]
    back: Mapping[str, int]
    kept: Mapping[str, int]
    leans: Mapping[str, tuple[tuple[int, int], ...]]
    holds: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cold:
    """What a cold start may count on.

    Attributes:
        hands: people are there, and switch on what stays off.
        outside: what is outside is there; else only what power comes from.
        stuck: things that tried once, too early, and stay down.
    """

    hands: bool = True
    outside: bool = True
    stuck: frozenset[str] = frozenset()


def compiled(support: SupportGraph, *, cold: Cold | None = None, out: frozenset[str] = frozenset()) -> Gates:
    """The gates of a support graph; with `cold`, `back` says what a start from nothing reaches.

    Args:
        support: what leans on what.
        cold: what a cold start may count on, if that is the question.
        out: parts that are out beforehand: they are no leaves, they are false.
    """
    compiler = Compiler(support, cold=cold, out=out)
    gates = compiler.gates()
    compiler.done()
    return gates


class Compiler:
    """Compiles truth: what stands, what comes back, what a cold start reaches."""

    def __init__(
        self, support: SupportGraph, *, cold: Cold | None = None, out: frozenset[str] = frozenset()
    ) -> None:
        """Look at the wire and at what can come back; compile nothing yet."""
        self.support = support
        self.cold = cold
        self.out = out
        self.feeding = feeding(support)
        self.builder = GateBuilder()
        self.loads = {load.source: load for load in support.loads}
        self.room_of: dict[str, tuple[Room, int]] = {
            copy: (room, position) for room in support.rooms for position, copy in enumerate(room.copies)
        }
        self.made: dict[tuple[str, str], GateId] = {}
        self.memo: dict[tuple[object, ...], GateId] = {}
        self.somes: dict[tuple[object, ...], Some] = {}
        self.holding: dict[GateId, float] = {}
        self.wants: dict[str, int] = {}
        self.wanted: dict[tuple[object, ...], int] = {}
        self.room_gates: dict[str, tuple[GateId, ...]] = {}
        self.asked: dict[str, GateId | None] = {}
        self.nested = 0
        self.waiting: list[tuple[GateId, Callable[[], GateId]]] = []
        self.moments: Counter[str] = Counter()
        self.lively = self._lively()
        self.slowest = slowest(support, self.lively)
        self.breaks = breaks(support, self.slowest) if cold is None else {}
        self.latest = latest(support, self.slowest) if cold is None else {}
        self.knots = knots(support, self.lively)
        self.sight = Sight(support, self.builder, self.thing, self._port, self.lively)

    def _lively(self) -> frozenset[str]:
        """Things that can come back; at a cold start, all."""
        return frozenset(self.support.things) if self.cold else lively(self.support)

    def done(self) -> None:
        """Let go of the sight, which knows this compiler: what nobody needs any more then goes at once.

        Else it waits for the collector of circular garbage, which goes through all of it.
        """
        del self.sight

    # -- gates of things ---------------------------------------------------------------------------

    def gates(self) -> Gates:
        """Every gate that anybody asks about, frozen."""
        rows: list[GateId] = []
        up: dict[str, int] = {}
        back: dict[str, int] = {}
        leans: dict[str, tuple[tuple[int, int], ...]] = {}

        def keep(gate: GateId) -> int:
            rows.append(gate)
            return len(rows) - 1

        for name, thing in self.support.things.items():
            if thing.part:
                self.own(name)
        for name, thing in self.support.things.items():
            up[name] = keep(self.thing(name, UP))
            back[name] = up[name] if name not in self.lively else keep(self.thing(name, BACK))
            pairs = []
            for lean in thing.leans:
                now = keep(self.lean(thing, lean, UP)) if "now" in lean.times else -1
                then = now
                if name in self.lively or now < 0:
                    then = keep(self.lean(thing, lean, BACK)) if "later" in lean.times else -1
                pairs.append((now, then))
            leans[name] = tuple(pairs)
        kept = {name: keep(self.keeping(name)) for name in self.support.keepings}
        few = [
            *(up[name] for name in self.support.services),
            *(back[name] for name in self.support.services),
            *kept.values(),
        ]
        graph = self.builder.freeze(rows)
        holds = np.zeros(graph.n_gates)
        for gate, seconds in self.holding.items():
            if gate in graph.gate_of:
                holds[graph.gate_of[gate]] = seconds
        return Gates(
            graph=graph,
            services=graph.keeping(graph.kept[few]),
            of_services=np.array(few, dtype=np.intp),
            up=up,
            back=back,
            kept=kept,
            leans=leans,
            holds=holds,
        )

    def own(self, part: str) -> GateId:
        """Whether a part itself works."""
        return self.builder.false if part in self.out else self.builder.leaf(part)

    def thing(self, name: str, layer: str) -> GateId:
        """The gate of a thing in a layer; promises close the circles."""
        if name not in self.lively:
            layer = UP
        known = self.made.get((name, layer))
        if known is not None:
            return known
        thing = self.support.things[name]
        if not thing.part or thing.leans:
            promise = self.builder.promise(f"{layer} {name}", "least" if layer == BEGUN else "greatest")
            self.made[name, layer] = promise
            return self._promised(promise, lambda: self._body(thing, layer))
        gate = self.made[name, layer] = self._body(thing, layer)
        return gate

    def _promised(self, promise: GateId, body: Callable[[], GateId]) -> GateId:
        """The promise, to be defined by `body` before the outermost call returns: a chain may be of any length."""
        mark = len(self.waiting)
        self.waiting.append((promise, body))
        if self.nested < NESTED:
            self.nested += 1
            while len(self.waiting) > mark:
                each, its_body = self.waiting.pop()
                self.builder.define(each, its_body())
            self.nested -= 1
        return promise

    def _asked(self, name: str, layer: str, sign: Sign, body: Callable[[], GateId]) -> GateId:
        """What else is asked about a thing, promised where it is asked first.

        Whether it is up all the time answers each of these questions with a yes that can't be wrong: where too many are
        asked, as in a net of holds that are all different, that has to do.
        """
        known = self.made.get((name, layer))
        if known is not None:
            return known
        if self.moments[name] >= MOST_ASKED:
            return self.thing(name, UP)
        self.moments[name] += 1
        promise = self.made[name, layer] = self.builder.promise(f"{layer} {name}", sign)
        return self._promised(promise, body)

    def _body(self, thing: Support, layer: str) -> GateId:
        own = self.own(thing.id) if thing.part else self.builder.true
        if layer == UP:
            if self.cold and not awake(thing, self.cold, self.feeding):
                return self.builder.false
            room = self._room(thing) if thing.sheds else ()
            return self.builder.all_of([own, self._holds(thing), *self._leans(thing, UP, Phase.RUN), *room])
        if layer == BACK:
            return self.builder.all_of(
                [
                    self.thing(thing.id, BEGUN),
                    own,
                    self._holds(thing),
                    *self._leans(thing, BACK, Phase.RUN),
                    *self._somewhere(thing),
                ]
            )
        again = self.builder.all_of(
            [
                own,
                self._holds(thing),
                self._starts(thing),
                *self._leans(thing, BEGUN, Phase.START),
                *self._room(thing),
            ]
        )
        return self.builder.any_of([self.thing(thing.id, UP), again])

    def _starts(self, thing: Support) -> GateId:
        """Whether it may start by itself."""
        never = self.cold is not None and (
            thing.id in self.cold.stuck
            or (thing.stays_off and not self.cold.hands)
            or thing.word in NEVER_ASLEEP
        )
        if self.cold is None and thing.tries_once and thing.word == "copy" and not thing.moves:
            never = True
        if never:
            return self.builder.false
        waits = thing.after_all if self.cold is not None else ()
        return self.builder.all_of([self.thing(name, BEGUN) for name in waits])

    def _leans(self, thing: Support, layer: str, phase: Phase) -> Iterable[GateId]:
        time = "now" if layer == UP else "later"
        for lean in thing.leans:
            if phase in lean.phases and time in lean.times:
                yield self.lean(thing, lean, layer)

    # -- leans -------------------------------------------------------------------------------------

    def lean(self, thing: Support, lean: Lean, layer: str) -> GateId:
        """The gate of one lean of a thing."""
        if lean.hold_s and layer == UP and not self.cold:
            return self._hanging(self._held(thing, lean), lean.hold_s)
        if layer == BEGUN and lean.role in USED:
            if thing.tries_once and self.cold is None:  # it asks when it starts, and does not wait
                return self._lean(thing, lean, lambda name: self.thing(name, UP), BEGUN, UP)
            return self._lean(thing, lean, self._serves, BEGUN, "serves")
        gate = self._lean(thing, lean, lambda name: self.thing(name, layer), layer, layer)
        return self._hanging(gate, lean.hold_s) if layer == BACK else gate

    def _hanging(self, gate: GateId, seconds: float) -> GateId:
        """The same gate, with a hold hung on it for whoever asks for times."""
        if not seconds or self.cold or gate in (self.builder.true, self.builder.false):
            return gate
        key = ("hanging", gate, seconds)
        if key not in self.memo:
            self.memo[key] = self.builder.wire(gate, f"held for {seconds:g} s")
            self.holding[self.memo[key]] = seconds
        return self.memo[key]

    def _serves(self, name: str, level: int | None = None) -> GateId:
        """Whether a thing serves again: what others need to start with.

        It is up, or has begun and what it needs every moment serves too. That is a least point: two things
        that wait for each other to serve wait for ever. Things that need each other only to run do not wait:
        they begin, and serve once all of them have begun. Such a knot is unrolled as often as it has things.
        """
        if name not in self.lively:
            return self.thing(name, UP)
        knot = self.knots.get(name, frozenset())
        laps = min(len(knot), DEEPEST) if level is None else level
        if knot and laps == 0:
            return self.thing(name, BEGUN)
        known = self.made.get((name, f"serves {laps}"))
        if known is not None:
            return known
        promise = self.made[name, f"serves {laps}"] = self.builder.promise(f"serves {name}", "least")
        return self._promised(promise, lambda: self._served(self.support.things[name], knot, laps))

    def _served(self, thing: Support, knot: frozenset[str], level: int) -> GateId:
        """What `_serves` promises of a thing that can come back."""
        leans = []
        for lean in thing.leans:
            # What is left to a hold is not waited for; that it is met in the end, `back` says.
            if not lean.awaited or "later" not in lean.times or lean.role not in (*USED, Role.COPIES):
                continue
            starts = Phase.START in lean.phases
            inner = level if lean.role is Role.COPIES else level - 1
            within = knot if lean.role is Role.COPIES or not starts else frozenset[str]()
            leans.append(self._lean(thing, lean, self._serving_in(within, inner), BEGUN))
        again = self.builder.all_of([self.thing(thing.id, BEGUN), self.thing(thing.id, BACK), *leans])
        return self.builder.any_of([self.thing(thing.id, UP), again])

    def _serving_in(self, knot: frozenset[str], level: int) -> Callable[[str], GateId]:
        return lambda name: self._serves(name, level if name in knot else None)

    def _held(self, thing: Support, lean: Lean) -> GateId:
        """A lean with a hold: met by what stands, or is down for no longer than the hold, whenever that begins."""
        hold_s = lean.hold_s
        slow = [name for name in lean.on if hold_s < self.slowest.get(name, 0.0)]
        moments = sorted({at for name in slow for at in self.breaks.get(name, ())} | {0.0})
        return self.builder.any_of(
            self._down_between(thing, lean, at, round(at + hold_s, 3)) for at in moments
        )

    def _down_between(self, thing: Support, lean: Lean, since: float, until: float) -> GateId:
        """Whether what a thing leans on is down, if at all, only from one moment after the loss to another."""

        def between(name: str) -> GateId:
            return self.builder.all_of([self._before(name, since), self._within(name, until)])

        kind = within(until) if not since else f"between {since:.3f} s and {until:.3f} s"
        return self._lean(thing, lean, between, BACK, kind)

    def _before(self, name: str, seconds: float) -> GateId:
        """Whether a thing is up until so many seconds after the loss at least."""
        if seconds <= 0:
            return self.builder.true
        if name not in self.lively:
            return self.thing(name, UP)
        layer = f"before {seconds:.3f} s"
        return self._asked(name, layer, "greatest", lambda: self._lasting(self.support.things[name], seconds))

    def _lasting(self, thing: Support, seconds: float) -> GateId:
        """What `_before` promises of a thing that may fall earlier: no lean fells it by then."""

        def lasts(lean: Lean) -> GateId:
            left = round(seconds - lean.hold_s, 3)
            gate = self._lean(thing, lean, lambda name: self._before(name, left), UP, f"before {left:.3f} s")
            return self.builder.any_of([gate, self.lean(thing, lean, UP)]) if lean.hold_s else gate

        own = self.own(thing.id) if thing.part else self.builder.true
        room = self._room(thing) if thing.sheds else ()
        runs = (lean for lean in thing.leans if Phase.RUN in lean.phases and "now" in lean.times)
        lasting = [lasts(lean) for lean in runs if lean.hold_s < seconds]
        return self.builder.all_of([own, self._holds(thing), *lasting, *room])

    def _by(self, name: str, seconds: float) -> GateId:
        """Whether a thing falls, if at all, by so many seconds after the loss."""
        if self.latest.get(name, 0.0) <= seconds:
            return self.builder.true
        layer = f"by {seconds:.3f} s"
        return self._asked(name, layer, "greatest", lambda: self._early(self.support.things[name], seconds))

    def _early(self, thing: Support, seconds: float) -> GateId:
        """What `_by` promises of a thing that may fall later: no lean fells it then."""

        def early(lean: Lean) -> GateId:
            left, holds = round(seconds - lean.hold_s, 3), self.lean(thing, lean, UP)
            if left < 0:
                return holds
            return self.builder.any_of(
                [holds, self.builder.all_of([self._by(name, left) for name in lean.on])]
            )

        runs = (lean for lean in thing.leans if Phase.RUN in lean.phases and "now" in lean.times)
        return self.builder.all_of([early(lean) for lean in runs])

    def _within(self, name: str, seconds: float) -> GateId:
        """Whether a thing is up, or back for good by so many seconds after the loss."""
        if name not in self.lively:
            return self.thing(name, UP)
        if seconds >= self.slowest[name]:
            return self.thing(name, BACK)
        layer = within(seconds)
        return self._asked(name, layer, "least", lambda: self._soon(self.support.things[name], seconds))

    def _soon(self, thing: Support, seconds: float) -> GateId:
        """What `_within` promises of a thing that can come back, and may take longer.

        It begins when all it needs is there, and not before it fell: what it does not need any more once it is back,
        like the copy from which another takes over, must not fell it too late either.
        """
        left = round(seconds - (thing.returns_s or 0.0), 3)
        again = self.builder.false
        if left >= 0 and thing.returns_s is not None:
            phases = (Phase.RUN, Phase.START)
            needs = [
                self._lean(thing, lean, lambda each: self._within(each, left), BACK, within(left))
                for lean in thing.leans
                if "later" in lean.times and any(phase in lean.phases for phase in phases)
            ]
            late = [self._by(name, left) for lean in thing.leans if lean.times == NOW for name in lean.on]
            own = self.own(thing.id) if thing.part else self.builder.true
            begins = (own, self._holds(thing), self._starts(thing))
            again = self.builder.all_of([*begins, *needs, *late, *self._room(thing)])
        return self.builder.any_of([self.thing(thing.id, UP), again])

    def _lean(
        self, thing: Support, lean: Lean, ref: Callable[[str], GateId], layer: str, kind: str = ""
    ) -> GateId:
        """A lean, given the gates of what is leant on; remembered where `kind` names the way they are made.

        Many copies lean on the same from the same places: those of one pool on the same hosts and store.
        """
        if not kind:
            return self._fresh(thing, lean, ref, layer, kind)
        places = thing.at("now" if layer == UP else "later") if lean.seen else ()
        key = (lean.on, lean.enough, lean.together, lean.seen, lean.at, places, layer, kind)
        if key not in self.memo:
            self.memo[key] = self._fresh(thing, lean, ref, layer, kind)
        return self.memo[key]

    def _fresh(
        self, thing: Support, lean: Lean, ref: Callable[[str], GateId], layer: str, kind: str
    ) -> GateId:
        things = self.support.things
        time = "now" if layer == UP else "later"
        if lean.together:
            return self._together([(ref(name), things[name]) for name in lean.on], lean.enough, layer)
        places = thing.at(time)
        if lean.seen and places:
            own = self.sight.vertices(places)
            each = [
                self.builder.any_of(
                    self.builder.all_of(
                        [
                            self.sight.sees(places, vertex, layer),
                            self._serving(name, vertex, lean, ref, layer, kind),
                        ]
                    )
                    for vertex in own
                )
                for name in lean.on
            ]
            return self.builder.at_least(lean.enough, each)
        return self.builder.at_least(lean.enough, [ref(name) for name in lean.on])

    def _together(
        self,
        members: Sequence[tuple[GateId, Support]],
        enough: int,
        layer: str,
    ) -> GateId:
        """At least `enough` members that meet at one vertex, where users sit if the network says so."""
        time = "now" if layer == UP else "later"
        places = dict.fromkeys(place for _, thing in members for place in thing.at(time))
        if len(members) == 1 and enough <= 1 and not self.sight.on_wire(places):
            return members[0][0]
        meetings = []
        for vertex in self.sight.vertices(places):
            there = self.builder.at_least(
                enough,
                [self.builder.all_of([gate, self._seen_at(thing, vertex, layer)]) for gate, thing in members],
            )
            meetings.append(self.builder.all_of([there, self.sight.usable(vertex, layer)]))
        return self.builder.any_of(meetings)

    def _serving(
        self, name: str, vertex: Vertex, lean: Lean, ref: Callable[[str], GateId], layer: str, kind: str
    ) -> GateId:
        """Whether a thing serves who looks from a vertex."""
        if not kind:
            return self._serves_at(name, vertex, lean, ref, layer)
        key = ("serving", name, vertex, lean.at, layer, kind)
        if key not in self.memo:
            self.memo[key] = self._serves_at(name, vertex, lean, ref, layer)
        return self.memo[key]

    def _serves_at(
        self, name: str, vertex: Vertex, lean: Lean, ref: Callable[[str], GateId], layer: str
    ) -> GateId:
        target = self.support.things[name]
        time = "now" if layer == UP else "later"
        rows = [ref(name), self._seen_at(target, vertex, layer)] if target.word != "service" else [ref(name)]
        if target.word == "service":
            for each in target.leans:
                if each.role is Role.COPIES and time in each.times:
                    copies = self._answering(each.on, lean.at, name)
                    enough = min(each.enough, len(copies)) if lean.at else each.enough
                    rows.append(
                        self.builder.at_least(
                            max(enough, 1),
                            [
                                self.builder.all_of(
                                    [
                                        ref(copy),
                                        self._seen_at(self.support.things[copy], vertex, layer),
                                    ]
                                )
                                for copy in copies
                            ],
                        )
                    )
        return self.builder.all_of(rows)

    def _port(self, name: str, node: str, layer: str) -> GateId:
        """A cable or card by which a node is on the wire; a card begins with its node, which may need it to begin."""
        if layer != BEGUN:
            return self.thing(name, layer)
        thing = self.support.things[name]
        leans = [lean for lean in thing.leans if lean.on != (node,)]
        if len(leans) == len(thing.leans):
            return self.thing(name, layer)
        rest = [self.lean(thing, lean, BEGUN) for lean in leans if Phase.START in lean.phases]
        return self.builder.all_of([self.own(name), self._holds(thing), *rest])

    def _seen_at(self, thing: Support, vertex: Vertex, layer: str) -> GateId:
        """Whether a thing is seen from a vertex; one that moves, from where it can be with all it needs.

        Who begins sees what never stopped where it is, and what moves only on hosts that have begun: a host does
        not begin because of what could run on it if it had.
        """
        if layer == UP or not thing.moves or thing.word != "copy":
            return self.sight.sees(thing.at("now" if layer == UP else "later"), vertex, layer)
        among = (thing.places, self._wants(thing), layer, self._knot(thing, layer))
        key = ("seen", *among, vertex)
        if key not in self.memo:
            if among not in self.somes:
                self.somes[among] = Some(
                    gates={host: self._located(thing, host, layer) for host in thing.places}
                )
            self.memo[key] = self.sight.some_see(self.somes[among], vertex, layer)
        if layer == BACK:
            return self.memo[key]
        stays = self.builder.all_of(
            [self.thing(thing.id, UP), self.sight.sees(thing.at("now"), vertex, layer)]
        )
        return self.builder.any_of([stays, self.memo[key]])

    def _located(self, thing: Support, host: str, layer: str) -> GateId:
        """Whether a copy that moves can be on a host: the host is back (has begun), and sees all that the copy needs."""
        knot = self._knot(thing, layer)
        key = ("located", self._wants(thing), host, layer, knot)
        if key not in self.memo:
            sign: Sign = "least" if layer == BEGUN else "greatest"
            promise = self.memo[key] = self.builder.promise(f"{thing.id} on {host}", sign)
            self._promised(promise, lambda: self._fits(thing, host, layer, knot))
        return self.memo[key]

    def _wants(self, thing: Support) -> int:
        """A number, the same for copies that need the same: they share their gates."""
        if thing.id not in self.wants:
            wanted = tuple((lean.on, lean.enough, lean.at, lean.hold_s) for lean in _moving_with(thing))
            self.wants[thing.id] = self.wanted.setdefault(wanted, len(self.wanted))
        return self.wants[thing.id]

    def _fits(self, thing: Support, host: str, layer: str, knot: frozenset[str]) -> GateId:
        """What `_located` promises."""
        leans = [
            # Copies that need each other only to run begin apart: where they can be is asked of the end.
            self._hanging(
                self.builder.at_least(
                    lean.enough,
                    [self._seen_by(host, name, lean, BACK if name in knot else layer) for name in lean.on],
                ),
                lean.hold_s if layer == BACK else 0.0,
            )
            for lean in _moving_with(thing)
            if layer == BACK or lean.awaited
        ]
        return self.builder.all_of([self.thing(host, layer), *leans])

    def _knot(self, thing: Support, layer: str) -> frozenset[str]:
        """The things with which a copy that begins needs each other in a circle, only to run."""
        return self.knots.get(thing.id, frozenset()) if layer == BEGUN else frozenset()

    def _seen_by(self, host: str, name: str, lean: Lean, layer: str) -> GateId:
        """Whether a thing that is back (serves already) serves who looks from a host."""
        key = ("by", host, name, lean.at, layer)
        if key not in self.memo:
            ref, kind = (self._serves, "serves") if layer == BEGUN else (self._back, BACK)
            self.memo[key] = self.builder.any_of(
                self.builder.all_of(
                    [
                        self.sight.sees((host,), vertex, layer),
                        self._serving(name, vertex, lean, ref, layer, kind),
                    ]
                )
                for vertex in self.sight.vertices((host,))
            )
        return self.memo[key]

    def _back(self, name: str) -> GateId:
        return self.thing(name, BACK)

    def _somewhere(self, thing: Support) -> Iterable[GateId]:
        """A copy that moves needs one place with all it needs, not a piece here and a piece there."""
        if thing.moves and thing.word == "copy":
            key = ("somewhere", self._wants(thing), thing.places)
            if key not in self.memo:
                self.memo[key] = self.builder.any_of(
                    self._located(thing, host, BACK) for host in thing.places
                )
            yield self.memo[key]

    def _answering(self, copies: tuple[str, ...], at: tuple[str, ...], service: str) -> tuple[str, ...]:
        """The copies that answer at the addresses a client knows; all where it knows no single one."""
        known = self.support.answers.get(service, {})
        if not at or not all(address in known for address in at):
            return copies
        wanted = {copy for address in at for copy in known[address]}
        return tuple(copy for copy in copies if copy in wanted)

    # -- load, room, keeping -----------------------------------------------------------------------

    def _holds(self, thing: Support) -> GateId:
        """A source stands only while its load is within its limit."""
        load = self.loads.get(thing.id)
        if load is None:
            return self.builder.true
        key = ("load", thing.id)
        if key not in self.memo:
            others = others_of(load)
            inputs = [*(self.thing(other, UP) for other in others), *self._consumers(thing.id)]
            self.memo[key] = self.builder.oracle(inputs, 1, carrying(load, others), f"load on {thing.id}")[0]
        return self.memo[key]

    def _consumers(self, source: str) -> Iterable[GateId]:
        """Which consumers of a load are there at all; none are asked about where all are."""
        return ()

    def _room(self, thing: Support) -> Iterable[GateId]:
        """A copy that must restart, or may be stopped for others, needs room."""
        found = self.room_of.get(thing.id)
        if found is None:
            return
        room, position = found
        if self.cold is not None:
            return
        key = room.pool
        if key not in self.room_gates:
            hosts = [self._in_touch(host) for host in room.hosts]
            self.room_gates[key] = self.builder.oracle(
                hosts, len(room.copies), rooms.oracle(room), f"room in {room.pool}"
            )
        yield self.room_gates[key][position]

    def _in_touch(self, host: str) -> GateId:
        """Whether a host stands and sees any of the wire it is on."""
        on = self.sight.vertices((host,))
        sees = self.builder.any_of(self.sight.sees((host,), vertex, UP) for vertex in on)
        return self.builder.all_of([self.thing(host, UP), sees])

    def keeping(self, name: str) -> GateId:
        """Whether data survives: leaves only, whatever stands; no two keep each other, so a circle is a least point."""
        key = ("keeping", name)
        if key not in self.memo:
            if name in self.asked:
                promise = self.asked[name] or self.builder.promise(f"keeping {name}", "least")
                self.asked[name] = promise
                return promise
            self.asked[name] = None
            keeping = self.support.keepings[name]
            on = [
                self.keeping(each) if each in self.support.keepings else self.own(each) for each in keeping.on
            ]
            gate, circle = self.builder.at_least(keeping.enough, on), self.asked.pop(name)
            if circle is not None:
                self.builder.define(circle, gate)
            self.memo[key] = gate if circle is None else circle
        return self.memo[key]


def feeding(support: SupportGraph) -> frozenset[str]:
    """What power comes from."""
    return frozenset(
        name
        for thing in support.things.values()
        for lean in thing.leans
        if lean.role is Role.POWER
        for name in lean.on
    )


def awake(thing: Support, cold: Cold, feeds: Collection[str]) -> bool:
    """What a power cut does not put out, and may be counted on.

    Args:
        thing: which.
        cold: what may be counted on.
        feeds: from `feeding`: what power comes from is there when it is back.
    """
    if thing.word == "outside":
        return cold.outside or thing.id in feeds
    if thing.word == "person":
        return cold.hands
    return thing.word in ("room", "rack", "cable")


def within(seconds: float) -> str:
    """The layer of what is up, or back within so many seconds."""
    return f"within {seconds:.3f} s"


def _moving_with(thing: Support) -> list[Lean]:
    """What must be in sight wherever a copy that moves is."""
    return [
        lean
        for lean in thing.leans
        if lean.seen and lean.role is not Role.HOST and "later" in lean.times and Phase.RUN in lean.phases
    ]
