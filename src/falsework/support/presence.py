"""Which gates does a staged support graph give: only what is there draws power, and only that takes room?"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from falsework.engines.gates import BoolArray, GateId
from falsework.support import room as rooms
from falsework.support.gates import Compiler, Gates
from falsework.support.graph import Room, Support
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

    def _consumers(self, source: str) -> Iterable[GateId]:
        return [self.builder.leaf(here(name)) for name in self.draws[source]]

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
        some = rooms.only(room, kept)
        homeless = rooms.packed(some, frozenset(np.flatnonzero(~stand).tolist()))
        row: BoolArray = np.ones(len(room.copies), dtype=np.bool_)
        row[[kept[each] for each in homeless]] = False
        return row
