"""Between which bounds is the top event's probability, where the diagram itself is too large?

Every gate g gets two functions with L <= g <= U, point by point, each of a diagram that is kept small.

Claim: the top's L and U bound it, so P(L) <= P(top) <= P(U).

Proof, gate by gate, inputs first. And, or and at-least never fall when an input rises: taken of all the L they give
a function below the gate, of all the U one above. Not swaps: not U <= not g <= not L. For a xor b,
(La and not Ub) or (Lb and not Ua) <= (a and not b) or (b and not a), and with L and U swapped the same above.
Making a diagram smaller keeps this: a node of L replaced by false makes L smaller or leaves it, a node of U replaced
by true makes U larger or leaves it.

Which nodes go: those that matter least. Replacing node v lowers P(L) by at most reach(v) P(v), and raises P(U) by
at most reach(v) (1 - P(v)), reach being the probability that the walk from the root comes by v.
Keeping part of a diagram this way is after K. Ravi, F. Somenzi 1995, "High-density reachability analysis", ICCAD (known
from the literature, not read); weighing by probability and bounding from both sides is our own, with the proof above.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from falsework.engines.diagrams.build import Diagrams, Function
from falsework.engines.diagrams.flat import FALSE, TRUE
from falsework.engines.diagrams.layers import FIRST
from falsework.engines.diagrams.limits import Limits, Progress, TooLarge
from falsework.engines.diagrams.net import Net
from falsework.engines.diagrams.orders import RULES
from falsework.engines.diagrams.pieces import Piece, pieces
from falsework.engines.diagrams.probability import Floats, node_probability, probability
from falsework.engines.diagrams.sensitivity import reach
from falsework.engines.diagrams.simplify import merged
from falsework.engines.trees.tree import Gate, Op, Tree


@dataclass(frozen=True, slots=True)
class Span:
    """A probability, or what it lies between."""

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class _Pair:
    """A function below and one above the gate that is meant; the same one twice where it is exact."""

    low: Function
    high: Function


_ROOM_FOR_ALL = 1 << 21
_SCHEDULE = (
    ("shared events first", 120),
    ("as written", 500),
    ("shared events first", 4_000),
)
"""Rules and rooms that bounded the largest tree at hand most closely; more room does not always mean closer."""


def tightest(tree: Tree, p: Mapping[int, float], *, limits: Limits, progress: Progress | None = None) -> Span:
    """Bound the probability of a tree's top event by several sandwiches, as long as there is time.

    Args:
        tree: the tree.
        p: of each event it leans on.
        limits: time for all together.
        progress: told how far each is.

    Returns:
        What all of them agree on; from 0 to 1 if there was no time for any.
    """
    found = Span(0.0, 1.0)
    written = merged(Net.of(tree))
    own = replace(limits, nodes=min(limits.nodes, _ROOM_FOR_ALL))
    for rule, room in _SCHEDULE:
        try:
            span = sandwich(written, p, room=room, rule=rule, limits=own, progress=progress)
        except TooLarge:
            continue
        found = Span(max(found.low, span.low), min(found.high, span.high))
    return found


def sandwich(
    net: Net,
    p: Mapping[int, float],
    *,
    room: int,
    rule: str,
    limits: Limits,
    progress: Progress | None = None,
) -> Span:
    """Bound the probability of a net's top.

    Args:
        net: the net.
        p: of each event it leans on.
        room: nodes each gate's diagram may keep; four at least.
        rule: of the order, see `orders.RULES`.
        limits: for all together.
        progress: told how many gates of how many are done.

    Raises:
        TooLarge: a bound was hit; a smaller room may go through.

    Cost:
        Grows with the gates times the room.
    """
    spans = {event: Span(value, value) for event, value in p.items()}
    return sandwich_of_spans(net, spans, room=room, rule=rule, limits=limits, progress=progress)


def sandwich_of_spans(
    net: Net,
    spans: Mapping[int, Span],
    *,
    room: int,
    rule: str,
    limits: Limits,
    progress: Progress | None = None,
) -> Span:
    """Bound the probability of a net's top where those of its events are only bounded themselves; see `sandwich`."""
    known = dict(spans)
    done = 0
    for piece in pieces(net):
        known[piece.node] = _Bounder(piece, known, room, rule, limits).span()
        done += len(piece.net.gates)
        if progress is not None:
            progress("bounding", done, len(net.gates))
    return known[net.top]


class _Bounder:
    """Bounds one piece."""

    def __init__(self, piece: Piece, known: Mapping[int, Span], room: int, rule: str, limits: Limits) -> None:
        self._net = piece.net
        self._room = room
        self._spans = [known[leaf] for leaf in piece.leaves]
        self._order = RULES[rule](piece.net) if len(piece.net.gates) > 2 else tuple(range(len(piece.leaves)))
        self._diagrams = Diagrams(self._order, limits=limits)
        # In the middle of a span that is not a point; only the choice of nodes hangs on it, not what is proven.
        self._p = np.asarray([(self._spans[i].low + self._spans[i].high) / 2 for i in self._order])[:, None]

    def span(self) -> Span:
        """Bound the piece's top."""
        net, diagrams = self._net, self._diagrams
        found = {i: _Pair(f, f) for i in range(net.n_events) for f in (diagrams.var(i),)}
        uses = [len(above) for above in net.parents()]
        for number, gate in enumerate(net.gates):
            found[net.n_events + number] = self._gate(gate, [found[i] for i in gate.inputs])
            for i in set(gate.inputs):
                uses[i] -= 1
                if not uses[i]:
                    del found[i]  # so that its nodes can be swept
        top = found[net.top]
        flat = diagrams.flat([top.low, top.high])
        if net.coherent:  # then P rises with the probability of every leaf
            ends = [
                np.asarray([span.low for span in self._spans]),
                np.asarray([span.high for span in self._spans]),
            ]
            low, high = (probability(flat, p[flat.variable])[side] for side, p in enumerate(ends))
            return Span(float(low), float(high))
        # |dP/dp| <= 1 for every leaf: moving to an end of its span changes P by no more than the span.
        slack = sum(span.high - span.low for span in self._spans)
        low, high = probability(flat, self._p[:, 0])
        return Span(max(float(low) - slack, 0.0), min(float(high) + slack, 1.0))

    def _gate(self, gate: Gate, inputs: Sequence[_Pair]) -> _Pair:
        diagrams = self._diagrams
        match gate.op:
            case Op.SAME:
                return inputs[0]
            case Op.CONSTANT:
                constant = diagrams.true if gate.k else diagrams.false
                return _Pair(constant, constant)
            case Op.NOT:
                return self._not(inputs[0])
            case Op.AND | Op.OR | Op.XOR:
                depth = lambda pair: -(pair.low.node_level() or 0)  # noqa: E731 - deepest first, as when building
                pairs = sorted(inputs, key=depth)
                found = pairs[0]
                for pair in pairs[1:]:
                    found = self._small(self._two(gate.op, found, pair))
                return found
            case Op.AT_LEAST:
                return self._small(self._at_least(gate.k, inputs))

    def _at_least(self, k: int, inputs: Sequence[_Pair]) -> _Pair:
        true, false = self._diagrams.true, self._diagrams.false
        row = [_Pair(true, true), *(_Pair(false, false) for _ in range(k))]
        for pair in sorted(inputs, key=lambda pair: -(pair.low.node_level() or 0)):
            row = [
                row[0],
                *(
                    self._small(self._two(Op.OR, row[j], self._two(Op.AND, pair, row[j - 1])))
                    for j in range(1, k + 1)
                ),
            ]
        return row[k]

    def _not(self, pair: _Pair) -> _Pair:
        low = self._diagrams.negate(pair.high)
        return _Pair(low, low if pair.low == pair.high else self._diagrams.negate(pair.low))

    def _two(self, op: Op, a: _Pair, b: _Pair) -> _Pair:
        diagrams = self._diagrams
        exact = a.low == a.high and b.low == b.high
        if op is Op.XOR:
            if exact:
                both = diagrams.xor([a.low, b.low])
                return _Pair(both, both)
            not_a, not_b = self._not(a), self._not(b)
            return self._two(Op.OR, self._two(Op.AND, a, not_b), self._two(Op.AND, not_a, b))
        combine = diagrams.all_of if op is Op.AND else diagrams.any_of
        low = combine([a.low, b.low])
        return _Pair(low, low if exact else combine([a.high, b.high]))

    def _small(self, pair: _Pair) -> _Pair:
        low = pair.low if pair.low.node_count() <= self._room else self._shrunk(pair.low, FALSE)
        if pair.high == pair.low and low == pair.low:
            return pair
        high = pair.high if pair.high.node_count() <= self._room else self._shrunk(pair.high, TRUE)
        return _Pair(low, high)

    def _shrunk(self, function: Function, end: int) -> Function:
        """Keep the nodes that matter most; the others become `end`."""
        diagrams = self._diagrams
        flat = diagrams.flat([function])
        value = node_probability(flat, self._p)[:, 0]
        weight: Floats = reach(flat, self._p)[:, 0] * (value if end == FALSE else 1.0 - value)
        # Making it a good deal smaller than need be saves doing it again at every step.
        keep = np.sort(np.argpartition(weight[FIRST:], -(self._room // 2))[-(self._room // 2) :] + FIRST)
        rest = diagrams.false if end == FALSE else diagrams.true
        made = {FALSE: diagrams.false, TRUE: diagrams.true}
        rows = zip(
            keep.tolist(),
            flat.level[keep].tolist(),
            flat.high[keep].tolist(),
            flat.low[keep].tolist(),
            strict=True,
        )
        for node, level, high, low in rows:
            made[node] = diagrams.joined(level, made.get(high, rest), made.get(low, rest))
        return made.get(int(flat.roots[0]), rest)
