"""How is a net cut at its modules?

Each piece is the net of one module, in which the modules below it stand as events.
"""

from __future__ import annotations

from dataclasses import dataclass

from falsework.engines.diagrams.modules import modules
from falsework.engines.diagrams.net import Net
from falsework.engines.trees.tree import Gate


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One module.

    Attributes:
        node: the module's gate in the whole net.
        net: the module by itself; its events are `leaves`, met depth-first from the left.
        leaves: nodes of the whole net, events and modules.
    """

    node: int
    net: Net
    leaves: tuple[int, ...]


def pieces(net: Net) -> list[Piece]:
    """Cut a net at its modules; every piece comes after those that stand in it as events, the whole's top last."""
    cuts = modules(net)
    is_cut = set(cuts)
    return [_piece(net, node, is_cut) for node in cuts]


def _piece(net: Net, node: int, is_cut: set[int]) -> Piece:
    leaves: dict[int, int] = {}
    inner: list[int] = []
    seen = {node}
    stack = [node]
    while stack:
        at = stack.pop()
        gate = net.gate(at)
        if gate is None or (at in is_cut and at != node):
            leaves[at] = len(leaves)
            continue
        inner.append(at)
        for child in reversed(gate.inputs):
            if child not in seen:
                seen.add(child)
                stack.append(child)
    inner.sort()  # by number every gate comes after its inputs
    place = {at: len(leaves) + i for i, at in enumerate(inner)} | leaves
    gates = tuple(
        Gate(op=gate.op, inputs=tuple(place[i] for i in gate.inputs), k=gate.k)
        for gate in (net.gates[at - net.n_events] for at in inner)
    )
    whole = Net(n_events=len(leaves), gates=gates, top=place[node])
    return Piece(node=node, net=whole, leaves=tuple(leaves))
