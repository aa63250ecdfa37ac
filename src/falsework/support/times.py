"""How long after a failure does a thing fall, and how long until it is back?

Falls run over the `up` gates with holds as delays, returns over the `begun` gates with restart, take-over
and wake times as delays: two readings of the same graph (Knuth 1977, A generalization of Dijkstra's
algorithm, Information Processing Letters 6(1)).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from falsework.engines.gates import GateGraph, GateId
from falsework.engines.times import Beside, Mode, kept_times, moving, times
from falsework.engines.uncollected import uncollected
from falsework.engines.units import cone
from falsework.support.gates import BEGUN, UP, Cold, Compiler, Gates
from falsework.support.graph import Lean, Phase, Support, SupportGraph

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Rows = NDArray[np.intp]
NEVER = float("inf")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Clock:
    """A graph with delays, and which kept row is which thing.

    Attributes:
        graph: its leaves are parts and, with a prefix, what the truth says (`up:`, `room:`), and when a thing
            fell (`fell:`).
        delays: seconds, by gate.
        row: kept row of each thing.
        held: wires that delay a lean with a hold: (gate, thing, position of the lean).
        leaf: the leaf of each part.
        up, roomy, fell: int (2, n), the leaves that say whether a thing is up (a copy finds room), or when it fell,
            and its kept row.
    """

    graph: GateGraph
    delays: Floats
    row: Mapping[str, int]
    held: tuple[tuple[int, str, int], ...]
    leaf: Mapping[str, int]
    up: Rows
    roomy: Rows
    fell: Rows


class _Delayed(Compiler):
    """A compiler that hangs delays on wires."""

    def __init__(
        self,
        support: SupportGraph,
        *,
        cold: Cold | None = None,
        out: frozenset[str] = frozenset(),
        hands_s: float = 0.0,
    ) -> None:
        super().__init__(support, cold=cold, out=out)
        self.hands_s = hands_s
        self.delays: list[tuple[GateId, float]] = []
        self.held: list[tuple[GateId, str, int]] = []

    def _hanging(self, gate: GateId, seconds: float) -> GateId:
        return gate  # falls hang their own, returns wait for none

    def clock(self, layer: str) -> Clock:
        """The frozen graph of every thing in one layer."""
        names = list(self.support.things)
        graph = self.builder.freeze([self.thing(name, layer) for name in names])
        delays = np.zeros(graph.n_gates)
        for gate, seconds in self.delays:
            if gate in graph.gate_of:
                delays[graph.gate_of[gate]] = seconds
        held = tuple((graph.gate_of[gate], name, at) for gate, name, at in self.held if gate in graph.gate_of)
        row = {name: number for number, name in enumerate(names)}
        leaf: dict[str, int] = {}
        said: dict[str, list[tuple[int, int]]] = {"up": [], "room": [], "fell": []}
        for number, name in enumerate(graph.leaf_names):
            word, colon, rest = name.partition(":")
            if colon and word in said:
                said[word].append((number, row[rest]))
            else:
                leaf[name] = number
        up, roomy, fell = (np.array(pairs, dtype=np.intp).reshape(-1, 2).T for pairs in said.values())
        return Clock(graph=graph, delays=delays, row=row, held=held, leaf=leaf, up=up, roomy=roomy, fell=fell)

    def _later(self, gate: GateId, seconds: float, name: str) -> GateId:
        wire = self.builder.wire(gate, name)
        self.delays.append((wire, seconds))
        return wire


class _Falling(_Delayed):
    """Only `up`, and every hold a delay."""

    def _lively(self) -> frozenset[str]:
        return frozenset()

    def _held(self, thing: Support, lean: Lean) -> GateId:
        gate = self._lean(thing, lean, lambda name: self.thing(name, UP), UP)
        wire = self._later(gate, lean.hold_s, f"hold of {thing.id}")
        self.held.append((wire, thing.id, thing.leans.index(lean)))
        return wire


class _Rising(_Delayed):
    """What is up is given; the rest gets going in its own time."""

    def thing(self, name: str, layer: str) -> GateId:
        if layer == UP or name not in self.lively:
            return self.builder.leaf(f"up:{name}")
        return super().thing(name, BEGUN)

    def _body(self, thing: Support, layer: str) -> GateId:
        own = self.own(thing.id) if thing.part else self.builder.true
        leans = self._leans(thing, BEGUN, Phase.START)
        fell = () if self.cold is not None else (self.builder.leaf(f"fell:{thing.id}"),)
        again = self.builder.all_of([own, self._starts(thing), *leans, *self._room(thing), *fell])
        seconds = thing.returns_s or 0.0
        if self.cold is not None:
            seconds = 0.0 if thing.word == "service" else seconds  # there is nothing to take over from
            seconds += thing.wakes_s + (self.hands_s if thing.stays_off else 0.0)
        return self.builder.any_of(
            [self.builder.leaf(f"up:{thing.id}"), self._later(again, seconds, f"{thing.id} again")]
        )

    def _room(self, thing: Support) -> Iterable[GateId]:
        if thing.id in self.room_of and self.cold is None:
            yield self.builder.leaf(f"room:{thing.id}")


def falling(support: SupportGraph, *, out: frozenset[str] = frozenset()) -> Clock:
    """The clock of falls."""
    return _clock(_Falling(support, out=out), UP)


def rising(
    support: SupportGraph,
    *,
    cold: Cold | None = None,
    out: frozenset[str] = frozenset(),
    hands_s: float = 0.0,
) -> Clock:
    """The clock of returns; at a cold start, of everything coming up.

    Args:
        support: what leans on what.
        cold: what a cold start may count on.
        out: parts that are out beforehand.
        hands_s: how long until someone switches on what stays off, seconds.
    """
    return _clock(_Rising(support, cold=cold, out=out, hands_s=hands_s), BEGUN)


def _clock(compiler: _Delayed, layer: str) -> Clock:
    with uncollected():
        clock = compiler.clock(layer)
        compiler.done()
        return clock


def fall_times(
    clock: Clock,
    lost: Sequence[frozenset[str]],
    lean_holds: Callable[[int, str, int], bool],
    *,
    expired: Sequence[int] = (),
    up: Bools | None = None,
    needed: Needed | None = None,
) -> Floats:
    """When each thing falls, seconds after the loss; infinity where it does not.

    Args:
        clock: from `falling`.
        lost: the parts lost in each scenario, n_scenarios.
        lean_holds: whether a lean with a hold is met in a scenario, as the truth says: then what it leans on
            comes back before the hold ends, and nothing falls through it.
        expired: wires of `held` whose hold is over before the loss: what they lean on was down already, so they
            bridge nothing any more.
        up: (n_things, n_scenarios), whether a thing stands without interruption, where that is known: it never falls.
        needed: if only some things are asked about; the times of others mean nothing.

    Returns:
        (n_things, n_scenarios), things in the order of the graph.
    """
    return _falls(clock, *_lowered(clock, lost, up, needed), lean_holds, expired=expired)


def _falls(
    clock: Clock,
    leaf: Floats,
    beside: Beside,
    lean_holds: Callable[[int, str, int], bool],
    *,
    expired: Sequence[int],
    passing: Callable[[int, str, int], bool] | None = None,
) -> Floats:
    """What `fall_times` says, when it is known which leaves fall and what moves then.

    Args:
        clock: as for `fall_times`.
        leaf: from `_lowered`.
        beside: from `_lowered`.
        lean_holds: as for `fall_times`.
        expired: as for `fall_times`.
        passing: leans with a hold that break only for a while in a scenario; given, their holds count nothing, and
            what comes out is when the interruption began that a thing is down for, not when its hold ran out.
    """
    n_scenarios = leaf.shape[1]
    some = _moving_holds(clock, beside)
    met = _said(some, n_scenarios, lean_holds)
    brief = np.zeros_like(met) if passing is None else _said(some, n_scenarios, passing)
    wires = np.array([gate for gate, _, _ in some], dtype=np.intp)
    result, moves = _result(clock, beside, n_scenarios)
    patterns, group = np.unique(np.concatenate((met, brief)), axis=1, return_inverse=True)
    for number, pattern in enumerate(patterns.T):
        columns = np.flatnonzero(group.reshape(-1) == number)
        its_met, its_brief = np.split(pattern, 2)
        delays = clock.delays.copy()
        delays[[*expired, *wires[its_brief]]] = 0.0
        delays[wires[its_met]] = NEVER
        found = kept_times(clock.graph, leaf[:, columns], delays, beside, mode="fall")
        result[moves[:, np.newaxis], columns] = found
    return result


def _lowered(
    clock: Clock, lost: Sequence[frozenset[str]], up: Bools | None, needed: Needed | None
) -> tuple[Floats, Beside]:
    """When leaves fall by losses, and what moves then."""
    leaf = np.full((clock.graph.n_leaves, len(lost)), NEVER)
    for column, parts in enumerate(lost):
        leaf[_leaves(clock, parts), column] = 0.0
    return leaf, _beside(clock, "fall", leaf, up, None if needed is None else needed.falls)


def _moving_holds(clock: Clock, beside: Beside) -> list[tuple[int, str, int]]:
    """Those of `held` that count: under which something moves that they could bridge."""
    return [each for each in clock.held if beside.moving[each[0]]]


def _said(
    held: Sequence[tuple[int, str, int]], n_scenarios: int, holds: Callable[[int, str, int], bool]
) -> Bools:
    """What is said of leans with a hold in each scenario: (n_held, n_scenarios)."""
    said = [[holds(column, name, at) for column in range(n_scenarios)] for _, name, at in held]
    return np.array(said, dtype=np.bool_).reshape(len(held), n_scenarios)


def ends(gates: Gates, holds: Floats, lost: Sequence[Sequence[int]]) -> Floats:
    """When each kept gate is false for good, seconds after the loss; infinity where it is true in the end.

    A third reading, of the gates of truth with each hold as a delay: of a thing's `back`, the moment from which no
    take-over and no restart can bring it back any more.

    Args:
        gates: of the lab.
        holds: seconds, by gate.
        lost: the leaves lost in each scenario, n_scenarios.
    """
    leaf = np.full((gates.graph.n_leaves, len(lost)), NEVER)
    for column, leaves in enumerate(lost):
        leaf[list(leaves), column] = 0.0
    return times(gates.graph, leaf, holds, mode="fall")[gates.graph.kept]


def unexpired(gates: Gates, holds: Floats) -> Floats:
    """The holds of gates, seconds, without those that bridge nothing any more: what they hold is down already."""
    whole = np.full((gates.graph.n_leaves, 1), NEVER)
    down = np.isfinite(times(gates.graph, whole, mode="fall")[:, 0])
    return np.where(down, 0.0, holds)


def rise_times(
    clock: Clock,
    lost: Sequence[frozenset[str]],
    up: Bools,
    roomy: Bools,
    *,
    fell: Floats | None = None,
    needed: Needed | None = None,
) -> Floats:
    """When each thing stands again, seconds; 0 where it never fell, infinity where it does not come back.

    Args:
        clock: from `rising`.
        lost: the parts lost in each scenario, n_scenarios.
        up: (n_things, n_scenarios), whether a thing stands without interruption.
        roomy: (n_things, n_scenarios), whether a copy that must restart finds room.
        fell: (n_things, n_scenarios), when each thing fell that is not up: it does not start before; at 0 if not given.
        needed: if only some things are asked about; the times of others mean nothing.
    """
    leaf = np.zeros((clock.graph.n_leaves, len(lost)))
    for (leaves, things), good in ((clock.up, up), (clock.roomy, roomy)):
        leaf[leaves] = np.where(good[things], 0.0, NEVER)
    if fell is not None:
        leaves, things = clock.fell
        leaf[leaves] = fell[things]
    for column, parts in enumerate(lost):
        leaf[_leaves(clock, parts), column] = NEVER
    beside = _beside(clock, "rise", leaf, up, None if needed is None else needed.rises)
    result, moves = _result(clock, beside, len(lost))
    result[moves] = kept_times(clock.graph, leaf, clock.delays, beside, mode="rise")
    return result


def _result(clock: Clock, beside: Beside, n_scenarios: int) -> tuple[Floats, Rows]:
    """The times of all things as usual: (n_things, n_scenarios), and the rows of those that move."""
    kept = clock.graph.kept
    usual = np.repeat(beside.usual[kept, np.newaxis], n_scenarios, axis=1)
    return usual, np.flatnonzero(beside.moving[kept])


def _beside(clock: Clock, mode: Mode, leaf: Floats, up: Bools | None, wanted: Bools | None) -> Beside:
    """What moves: all above the leaves that are not as usual, as far as something that stands in every scenario."""
    graph, usual = clock.graph, _usual(clock, mode)
    begins = np.zeros(graph.n_gates, dtype=np.bool_)
    begins[: graph.n_leaves] = (leaf != usual[: graph.n_leaves, np.newaxis]).any(axis=1)
    wires = np.array([gate for gate, _, _ in clock.held], dtype=np.intp)
    # How long a hold is counts also where what it bridges is down already.
    begins[wires] = np.isfinite(usual[graph.indices[graph.indptr[wires]]])
    still = np.zeros(graph.n_gates, dtype=np.bool_)
    if up is not None:
        still[graph.kept[up.all(axis=1)]] = True
    moves = moving(graph, begins, still)
    return Beside(usual=usual, moving=moves if wanted is None else moves & wanted)


@lru_cache(maxsize=8)
def _usual(clock: Clock, mode: Mode) -> Floats:
    """The moments of all gates when nothing is lost: (n_gates,)."""
    leaf = np.full((clock.graph.n_leaves, 1), NEVER if mode == "fall" else 0.0)
    return times(clock.graph, leaf, clock.delays, mode=mode)[:, 0]


def out_times(
    falling: Clock,
    rising: Clock,
    waiting: Waits,
    lost: Sequence[frozenset[str]],
    *,
    up: Bools,
    back: Bools,
    holds: Callable[[int, str, int], bool],
    holds_again: Callable[[int, str, int], bool],
    falls: Floats | None = None,
    expired: Sequence[int] = (),
    needed: Needed | None = None,
) -> Floats:
    """How long each thing is out, seconds; 0 where it never fell, infinity where it does not come back.

    Args:
        falling: from `falling`.
        rising: from `rising`.
        waiting: from `waits`.
        lost: the parts lost in each scenario, n_scenarios.
        up: (n_things, n_scenarios), whether a thing stands without interruption.
        back: (n_things, n_scenarios), whether it stands in the end.
        holds: whether a lean with a hold is met in a scenario.
        holds_again: whether it is in the end.
        falls: of the same, from `fall_times`, where somebody has them.
        expired: as for `fall_times`.
        needed: as for `fall_times`.
    """

    def passing(column: int, name: str, at: int) -> bool:
        return not holds(column, name, at) and holds_again(column, name, at)

    late = None
    leaf, beside = _lowered(falling, lost, up, needed)
    some = _moving_holds(falling, beside)
    if any(passing(column, name, at) for column in range(len(lost)) for _, name, at in some):
        # What a hold keeps up for a while starts only after it fell, counted from where the interruption began.
        falls = _falls(falling, leaf, beside, holds, expired=expired) if falls is None else falls
        begins = _falls(falling, leaf, beside, holds, expired=expired, passing=passing)
        late = np.subtract(falls, begins, out=np.zeros_like(falls), where=np.isfinite(falls))
    found = settled(waiting, rise_times(rising, lost, up, back, fell=late, needed=needed), back)
    return found if late is None else np.maximum(found - late, 0.0)


def _leaves(clock: Clock, parts: Iterable[str]) -> list[int]:
    """The leaves of parts; those that were out beforehand have none."""
    return [clock.leaf[part] for part in parts if part in clock.leaf]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Waits:
    """What things need every moment to serve, leans of one shape together.

    Attributes:
        alike: how many of what a lean names must stand, the rows of the things that lean (n,) and of what they
            lean on (width, n).
    """

    alike: tuple[tuple[int, Rows, Rows], ...]


def waits(support: SupportGraph) -> Waits:
    """What is waited for, things in the order of the graph; needs with a hold are not: the hold lasts that long."""
    row = {name: number for number, name in enumerate(support.things)}
    shaped: dict[tuple[int, int], list[tuple[int, ...]]] = {}
    for name, thing in support.things.items():
        for lean in thing.leans:
            if Phase.RUN in lean.phases and "later" in lean.times and not lean.hold_s:
                on = (row[each] for each in lean.on)
                shaped.setdefault((len(lean.on), lean.enough), []).append((row[name], *on))
    rows = {shape: np.array(some, dtype=np.intp).T for shape, some in shaped.items()}
    return Waits(alike=tuple((enough, some[0], some[1:]) for (_, enough), some in rows.items()))


def settled(waiting: Waits, rises: Floats, back: Bools) -> Floats:
    """Rise times that wait for what is needed every moment, where that came later than what is needed to start.

    Args:
        waiting: from `waits`.
        rises: (n_things, n_scenarios), from `rise_times`.
        back: (n_things, n_scenarios), whether a thing stands again; what does not is given infinity.

    Returns:
        The least times not below `rises` that fit: raised until nothing changes.
    """
    found = np.where(back, rises, NEVER)
    while True:
        before = found.copy()
        late: Bools = np.asarray((found > 0.0).any(axis=1))  # what was never down is waited for by nobody
        for enough, things, on in waiting.alike:
            waits = late[on].any(axis=0)
            mine, theirs = things[waits], on[:, waits]
            ready = np.partition(found[theirs], enough - 1, axis=0)[enough - 1]
            now = found[mine]
            later = np.isfinite(now) & np.isfinite(ready) & (ready > now)
            np.maximum.at(found, mine, np.where(later, ready, now))
        if np.array_equal(before, found):
            return found


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Needed:
    """What has to be worked out where only some things are asked about.

    Attributes:
        falls, rises: bool (n_gates,), of the clock of falls and of that of returns.
    """

    falls: Bools
    rises: Bools


def needed(falls: Clock, rises: Clock, waiting: Waits, things: Sequence[int]) -> Needed:
    """What the times of some things, by their rows, hang on.

    A thing returns when what it waits for has; and it starts no earlier than it fell.
    """
    some = np.zeros(len(rises.row), dtype=np.bool_)
    some[list(things)] = True
    while True:
        before = some.sum()
        for _, who, on in waiting.alike:
            some[on[:, some[who]]] = True
        if some.sum() == before:
            break
    rising = cone(rises.graph, rises.graph.kept[some].astype(np.int64))
    some[rises.fell[1, rising[rises.fell[0]]]] = True
    return Needed(falls=cone(falls.graph, falls.graph.kept[some].astype(np.int64)), rises=rising)
