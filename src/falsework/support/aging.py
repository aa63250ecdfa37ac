"""What stands again in the end, where what is broken matters only once it has been so for a while?

The gates of `falsework.support.gates` with every hold as a delay, and those delays pushed down to the parts
(`falsework.engines.aging`): the leaf "sky for 172800.000" is false while the sky has been out for two days.
"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.engines.aging import Aged, aged
from falsework.support.gates import BACK, Compiler
from falsework.support.graph import SupportGraph


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
    compiler = Compiler(support, out=out)
    for name in support.parts:
        compiler.own(name)  # the leaves: parts in lab order that are not out, whatever is asked
    graph = compiler.builder.freeze(
        [
            compiler.keeping(name) if name in support.keepings else compiler.thing(name, BACK)
            for name in things
        ]
    )
    holds = {graph.gate_of[gate]: held for gate, held in compiler.holding.items() if gate in graph.gate_of}
    return aged(graph, holds, steps=sorted({0.0, *holds.values()}))
