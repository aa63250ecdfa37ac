"""Which smaller tree says the same?

Rewriting before building: constants and pass-through gates go, equal gates merge, a gate used once by a gate
of its own kind is taken into it, what several inputs have in common is taken out, and events that always come
together get a gate of their own. The function stays the same; only how it is written changes.
Source: the usual rules of Boolean algebra; taking together what always comes together is after
H. Wong, J. Yllera 1989 and E. R. Niemelä 1994 as retold in the literature on fault-tree preprocessing (not read).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from falsework.engines.diagrams.net import Net, NetBuilder
from falsework.engines.trees.tree import Gate, Op

_DUAL = {Op.AND: Op.OR, Op.OR: Op.AND}
_MOST_ROUNDS = 12


def simplified(net: Net) -> Net:
    """Return a net of the same function, not bigger and mostly smaller."""
    net = merged(net)
    for _ in range(_MOST_ROUNDS):
        before = net
        net = merged(_together(_factored(net)))
        if net == before:
            break
    return net


def merged(net: Net) -> Net:
    """Return a net of the same function without constants, pass-through gates and equal gates.

    A gate used once by a gate of its own kind is taken into it.
    """
    n = net.n_events
    uses = [len(above) for above in net.parents()]
    builder = NetBuilder(n)
    place = list(range(n))
    for gate in net.gates:
        inputs: list[int] = []
        for child in gate.inputs:
            below = net.gate(child)
            made = builder.gate(place[child])
            if (
                below is not None
                and made is not None
                and uses[child] == 1
                and made.op is gate.op
                and gate.op in (Op.AND, Op.OR, Op.XOR)
            ):
                inputs += made.inputs
            else:
                inputs.append(place[child])
        place.append(builder.made(gate.op, inputs, gate.k))
    return builder.finished(place[net.top])


def _factored(net: Net) -> Net:
    """Take out what is common: (a and b) or (a and c) becomes a and (b or c), and so with and, or swapped.

    Only where the inner gates are used nowhere else, so that nothing is written twice.
    """
    n = net.n_events
    uses = [len(above) for above in net.parents()]
    builder = NetBuilder(n)
    place = list(range(n))
    for gate in net.gates:
        dual = _DUAL.get(gate.op)
        inner = []
        if dual is not None:
            inner = [
                c for c in gate.inputs if (b := net.gate(c)) is not None and b.op is dual and uses[c] == 1
            ]
        if len(inner) < 2 or dual is None:
            place.append(builder.made(gate.op, (place[c] for c in gate.inputs), gate.k))
            continue
        apart = [place[c] for c in gate.inputs if c not in set(inner)]
        groups = [_inputs_of(builder, place[c], dual) for c in inner]
        place.append(builder.made(gate.op, [*apart, *_common_out(builder, gate.op, dual, groups)]))
    return builder.finished(place[net.top])


def _inputs_of(builder: NetBuilder, node: int, op: Op) -> tuple[int, ...]:
    gate = builder.gate(node)
    return gate.inputs if gate is not None and gate.op is op else (node,)


def _common_out(builder: NetBuilder, op: Op, dual: Op, groups: list[tuple[int, ...]]) -> list[int]:
    out: list[int] = []
    while groups:
        counts = Counter(node for group in groups for node in group if node >= 0)
        most, times = max(counts.items(), key=lambda item: (item[1], -item[0]), default=(0, 0))
        if times < 2:
            break
        having = [group for group in groups if most in group]
        groups = [group for group in groups if most not in group]
        rests = [builder.made(dual, (node for node in group if node != most)) for group in having]
        out.append(builder.made(dual, [most, builder.made(op, rests)]))
    return out + [builder.made(dual, group) for group in groups]


def _together(net: Net) -> Net:
    """Give a gate of their own to nodes that are inputs of just the same gates, all and or all or."""
    n = net.n_events
    parents = net.parents()
    ops = {n + number: gate.op for number, gate in enumerate(net.gates)}
    groups: dict[tuple[int, ...], list[int]] = {}
    for node, above in enumerate(parents):
        if len(above) > 1 and ops[above[0]] in _DUAL and all(ops[a] is ops[above[0]] for a in above):
            groups.setdefault(tuple(above), []).append(node)
    chosen = [(above, nodes) for above, nodes in groups.items() if len(nodes) > 1]
    if not chosen:
        return net
    group_of = {node: number for number, (_, nodes) in enumerate(chosen) for node in nodes}
    return _with_groups(net, group_of, [(ops[above[0]], nodes) for above, nodes in chosen])


def _with_groups(net: Net, group_of: dict[int, int], groups: Sequence[tuple[Op, list[int]]]) -> Net:
    n = net.n_events
    builder = NetBuilder(n)
    place = list(range(n))
    gate_of_group: dict[int, int] = {}

    def inputs(gate: Gate) -> list[int]:
        found = []
        for child in gate.inputs:
            number = group_of.get(child)
            if number is None:
                found.append(place[child])
                continue
            if number not in gate_of_group:
                op, nodes = groups[number]
                gate_of_group[number] = builder.made(op, [place[node] for node in nodes])
            found.append(gate_of_group[number])
        return found

    for gate in net.gates:
        place.append(builder.made(gate.op, inputs(gate), gate.k))  # noqa: PERF401 - the next needs it
    return builder.finished(place[net.top])
