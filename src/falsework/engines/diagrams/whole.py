"""How is a net that is cut in pieces built as one diagram?

All pieces go into one diagram one below the other, what leans on a piece above it. In the piece above, the one
below is a variable; its probability, its derivatives and its cut sets are put in when they are known.
A piece that is true where no event has happened (it can only be so if it negates) is kept negated,
so that where nothing happens every such variable is false.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from falsework.engines.diagrams.build import Diagrams, Function
from falsework.engines.diagrams.flat import Flat
from falsework.engines.diagrams.limits import Limits
from falsework.engines.diagrams.of_tree import combined
from falsework.engines.diagrams.orders import Order
from falsework.engines.diagrams.pieces import Piece
from falsework.engines.trees.tree import Op


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Whole:
    """A diagram of all pieces.

    Attributes:
        diagrams: where it is kept; variables are nodes of the net, events and pieces.
        pieces: what it was built from.
        orders: in which order the events of each piece stand.
        functions: of each piece, negated where `flipped`.
        flipped: whether the piece is true where nothing happens; for the last, the top, always False.
    """

    diagrams: Diagrams
    pieces: tuple[Piece, ...]
    orders: tuple[Order, ...]
    functions: tuple[Function, ...]
    flipped: tuple[bool, ...]

    def flat(self) -> Flat:
        """Read it out; roots are the pieces, the top last."""
        flat = self.diagrams.flat(self.functions)
        level = {variable: at for at, variable in enumerate(self.diagrams.order)}
        inside = np.full(flat.n_levels, -1, dtype=np.int32)
        for piece, root in zip(self.pieces[:-1], flat.roots.tolist(), strict=False):
            inside[level[piece.node]] = root
        return replace(flat, inside=inside)


def whole(pieces: Sequence[Piece], orders: Sequence[Sequence[int]], limits: Limits) -> Whole:
    """Build all pieces.

    Args:
        pieces: each after those it leans on.
        orders: for each piece the order of its own events.
        limits: for all together.

    Raises:
        TooLarge: a bound was hit.
    """
    order = [
        piece.leaves[i] for piece, own in zip(reversed(pieces), reversed(orders), strict=True) for i in own
    ]
    diagrams = Diagrams(order, limits=limits)
    flipped: dict[int, bool] = {}
    functions = []
    for piece in pieces:
        leaves = [diagrams.var(leaf) for leaf in piece.leaves]
        turned = [flipped.get(leaf, False) for leaf in piece.leaves]
        leaves = [diagrams.negate(f) if flip else f for f, flip in zip(leaves, turned, strict=True)]
        function = _top(piece, diagrams, leaves)
        flip = piece is not pieces[-1] and _at_rest(piece, turned)
        flipped[piece.node] = flip
        functions.append(diagrams.negate(function) if flip else function)
    return Whole(
        diagrams=diagrams,
        pieces=tuple(pieces),
        orders=tuple(tuple(own) for own in orders),
        functions=tuple(functions),
        flipped=tuple(flipped[piece.node] for piece in pieces),
    )


def _top(piece: Piece, diagrams: Diagrams, leaves: Sequence[Function]) -> Function:
    net = piece.net
    uses = [0] * (net.n_events + len(net.gates))
    uses[net.top] += 1
    for gate in net.gates:
        for node in gate.inputs:
            uses[node] += 1
    found: dict[int, Function] = dict(enumerate(leaves))
    for number, gate in enumerate(net.gates):
        found[net.n_events + number] = combined(diagrams, gate, [found[i] for i in gate.inputs])
        for node in gate.inputs:
            uses[node] -= 1
            if not uses[node]:
                del found[node]  # so that its nodes can be swept
    return found[net.top]


def _at_rest(piece: Piece, leaves: Sequence[bool]) -> bool:
    """Whether the piece is true where no event has happened."""
    value = list(leaves)
    for gate in piece.net.gates:
        true = sum(value[i] for i in gate.inputs)
        match gate.op:
            case Op.AND:
                value.append(true == len(gate.inputs))
            case Op.OR:
                value.append(true > 0)
            case Op.AT_LEAST:
                value.append(true >= gate.k)
            case Op.XOR:
                value.append(true % 2 == 1)
            case Op.NOT:
                value.append(true == 0)
            case Op.SAME:
                value.append(true == 1)
            case Op.CONSTANT:
                value.append(gate.k == 1)
    return value[piece.net.top]
