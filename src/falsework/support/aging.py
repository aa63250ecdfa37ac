"""What stands again in the end, where what is broken matters only once it has been so for a while?

The gates of `falsework.support.gates` with every hold as a delay, and those delays pushed down to the parts
(`falsework.engines.aging`): the leaf "sky for 172800.000" is false while the sky has been out for two days.
"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.engines.aging import Aged, aged
from falsework.engines.gates import GateId
from falsework.support.gates import BACK, UP, Compiler
from falsework.support.graph import Lean, Support, SupportGraph


class _Aging(Compiler):
    """A compiler that hangs every hold on a wire."""

    def __init__(self, support: SupportGraph, *, out: frozenset[str]) -> None:
        super().__init__(support, out=out)
        self.delays: dict[GateId, float] = {}
        self.wires: dict[tuple[GateId, float], GateId] = {}

    def aged(self, gates: Sequence[GateId]) -> Aged:
        """The graph that keeps these gates, its leaves with ages."""
        graph = self.builder.freeze(gates)
        delays = {
            graph.gate_of[gate]: seconds for gate, seconds in self.delays.items() if gate in graph.gate_of
        }
        return aged(graph, delays, steps=sorted({0.0, *delays.values()}))

    def lean(self, thing: Support, lean: Lean, layer: str) -> GateId:
        gate = super().lean(thing, lean, layer)
        return self._held_for(gate, lean.hold_s) if layer in (UP, BACK) else gate

    def _seen_by(self, host: str, name: str, lean: Lean, layer: str) -> GateId:
        gate = super()._seen_by(host, name, lean, layer)
        return self._held_for(gate, lean.hold_s) if layer == BACK else gate

    def _held_for(self, gate: GateId, seconds: float) -> GateId:
        if not seconds or gate in (self.builder.true, self.builder.false):
            return gate
        if (gate, seconds) not in self.wires:
            wire = self.wires[gate, seconds] = self.builder.wire(gate, f"held for {seconds:g} s")
            self.delays[wire] = seconds
        return self.wires[gate, seconds]


def standing_again(
    support: SupportGraph, things: Sequence[str], *, out: frozenset[str] = frozenset()
) -> Aged:
    """Whether each of some things stands once all that comes back by itself has, holds as ages of the parts.

    Args:
        support: what leans on what.
        things: ids of things, or of keepings ("kept:letters"), for which it is asked whether they survive; kept
            in this order.
        out: parts that are out beforehand: they are no leaves, they are false.
    """
    compiler = _Aging(support, out=out)
    for name in support.parts:
        compiler.own(name)  # the leaves: parts in lab order that are not out, whatever is asked
    return compiler.aged(
        [
            compiler.keeping(name) if name in support.keepings else compiler.thing(name, BACK)
            for name in things
        ]
    )
