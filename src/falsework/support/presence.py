"""Which gates does a staged support graph give: only what is there draws power, and only that takes room?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from falsework.engines.gates import BoolArray, GateId
from falsework.support import room as rooms
from falsework.support.gates import Compiler, Gates
from falsework.support.graph import Load, Room, Support
from falsework.support.staging import Staged


def present(staged: Staged, *, out: frozenset[str] = frozenset()) -> Gates:
    """The gates of a staged support graph.

    Args:
        staged: what leans on what while it is built.
        out: parts that are out at every moment: they are no leaves, they are false.
    """
    return _Compiler(staged, out=out).gates()


def here(consumer: str) -> str:
    """The leaf that says a consumer of power is there at all: one that failed is still taken to draw."""
    return f"here:{consumer}"


class _Compiler(Compiler):
    """Only what is there draws power, and only what is there takes room."""

    def __init__(self, graph: Staged, *, out: frozenset[str]) -> None:
        super().__init__(graph.graph, out=out)
        self.draws = graph.draws

    def _holds(self, thing: Support) -> GateId:
        load = self.loads.get(thing.id)
        if load is None:
            return self.builder.true
        key = ("load", thing.id)
        if key not in self.memo:
            others = tuple(dict.fromkeys(other for _, _, supplies in load.draws for other in supplies))
            inputs = [
                *(self.thing(other, "up") for other in others),
                *(self.builder.leaf(here(name)) for name in self.draws[thing.id]),
            ]
            self.memo[key] = self.builder.oracle(inputs, 1, _carries(load, others), f"load on {thing.id}")[0]
        return self.memo[key]

    def _room(self, thing: Support) -> Iterable[GateId]:
        found = self.room_of.get(thing.id)
        if found is None or self.cold is not None:
            return
        room, position = found
        if room.pool not in self.room_gates:
            inputs = [
                *(self._in_touch(host) for host in room.hosts),
                *(self.builder.leaf(copy) for copy in room.copies),
            ]
            self.room_gates[room.pool] = self.builder.oracle(
                inputs, len(room.copies), _Packing(room), f"room in {room.pool}"
            )
        yield self.room_gates[room.pool][position]


def _carries(load: Load, others: Sequence[str]) -> _Carrying:
    row = {other: number for number, other in enumerate(others)}
    member = np.zeros((len(load.draws), len(others)))
    for number, (_, _, supplies) in enumerate(load.draws):
        for supply in supplies:
            member[number, row[supply]] = 1.0
    return _Carrying(
        limit_w=load.limit_w,
        draws=np.array([draw for draw, _, _ in load.draws]),
        mine=np.array([count for _, count, _ in load.draws], dtype=float),
        member=member,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Carrying:
    """Whether a source carries its load: rows in are other supplies that stand, then consumers that are there."""

    limit_w: float
    draws: np.ndarray[tuple[int], np.dtype[np.float64]]
    mine: np.ndarray[tuple[int], np.dtype[np.float64]]
    member: np.ndarray[tuple[int, int], np.dtype[np.float64]]

    def __call__(self, given: BoolArray) -> BoolArray:
        n_others = self.member.shape[1]
        live = self.member @ given[:n_others].astype(float)
        here = given[n_others:].astype(float)
        share = self.mine[:, None] / (self.mine[:, None] + live)
        carried = (self.draws[:, None] * here * share).sum(axis=0)
        return np.asarray(carried <= self.limit_w * (1 + 1e-9))[None, :]


class _Packing:
    """Which copies run or find room: rows in are hosts that stand, then copies that are there."""

    def __init__(self, room: Room) -> None:
        self.room = room
        self.known: dict[tuple[bytes, bytes], BoolArray] = {}

    def __call__(self, given: BoolArray) -> BoolArray:
        n_hosts = len(self.room.hosts)
        result: BoolArray = np.ones((len(self.room.copies), given.shape[1]), dtype=np.bool_)
        for column in range(given.shape[1]):
            stand, here = given[:n_hosts, column], given[n_hosts:, column]
            key = (stand.tobytes(), here.tobytes())
            if key not in self.known:
                self.known[key] = self._packed(stand, here)
            result[:, column] = self.known[key]
        return result

    def _packed(self, stand: BoolArray, here: BoolArray) -> BoolArray:
        kept = np.flatnonzero(here).tolist()
        room = self.room
        some = replace(
            room,
            copies=tuple(room.copies[each] for each in kept),
            host_of=tuple(room.host_of[each] for each in kept),
            takes=tuple(room.takes[each] for each in kept),
            apart=tuple(room.apart[each] for each in kept),
            domain_of=tuple(room.domain_of[each] for each in kept),
            sheds=tuple(room.sheds[each] for each in kept),
        )
        homeless = rooms.packed(some, frozenset(np.flatnonzero(~stand).tolist()))
        row: BoolArray = np.ones(len(room.copies), dtype=np.bool_)
        row[[kept[each] for each in homeless]] = False
        return row
