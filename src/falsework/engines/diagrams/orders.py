"""In which orders might the variables stand?

The size of a diagram hangs on the order, and finding the best is hard (B. Bollig, I. Wegener 1996); so several
rules of thumb are on offer, each quick, and the caller tries them. Most walk the tree depth-first, which keeps
events near each other that are combined near each other, and differ in which input comes first.
Source of the rules: M. Fujita, H. Fujisawa, N. Kawato 1988 (depth-first); S. Minato, N. Ishiura, S. Yajima 1990
(weights); F. A. Aloul, I. L. Markov, K. A. Sakallah 2003 (FORCE); as known from the literature, not read again.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np

from falsework.engines.diagrams.net import Net

Order = tuple[int, ...]
Key = Callable[[int], object]
Rule = Callable[[Net], Order]


def depth_first(net: Net, key: Key | None = None) -> Order:
    """Events as met walking depth-first; of the inputs of a gate the one with the least key first, else in order."""
    seen = [False] * (net.n_events + len(net.gates))
    found: list[int] = []
    stack = [net.top]
    while stack:
        node = stack.pop()
        if seen[node]:
            continue
        seen[node] = True
        gate = net.gate(node)
        if gate is None:
            found.append(node)
            continue
        inputs: Sequence[int] = gate.inputs if key is None else sorted(gate.inputs, key=key)  # type: ignore[arg-type]
        stack.extend(reversed(inputs))
    return tuple(found)


def breadth_first(net: Net) -> Order:
    """Events as met level by level from the top."""
    seen = {net.top}
    queue = [net.top]
    for node in queue:
        gate = net.gate(node)
        for child in gate.inputs if gate else ():
            if child not in seen:
                seen.add(child)
                queue.append(child)
    return tuple(node for node in queue if node < net.n_events)


def sizes(net: Net) -> list[int]:
    """How many gates and events there are below each node, shared ones counted each time, up to a bound."""
    most = 1 << 40
    found = [1] * net.n_events
    for gate in net.gates:
        found.append(min(1 + sum(found[i] for i in gate.inputs), most))
    return found


def uses(net: Net) -> list[int]:
    """How many gates each node is an input of."""
    return [len(above) for above in net.parents()]


def reach(net: Net) -> list[int]:
    """How many different events there are below each node."""
    sets = [1 << i for i in range(net.n_events)]
    for gate in net.gates:
        mask = 0
        for i in gate.inputs:
            mask |= sets[i]
        sets.append(mask)
    return [mask.bit_count() for mask in sets]


def heavy_first(net: Net) -> Order:
    """Give the top weight 1, share it among the inputs, take the heaviest event, take it out, and so on.

    Cost:
        O(events * gates and their inputs), so for small nets only.
    """
    n = net.n_events
    alive = [list(dict.fromkeys(gate.inputs)) for gate in net.gates]
    gone = [False] * (n + len(net.gates))
    order: list[int] = []
    for _ in range(n):
        weight = [0.0] * (n + len(net.gates))
        weight[net.top] = 1.0
        for number in range(len(net.gates) - 1, -1, -1):
            inputs = alive[number] = [i for i in alive[number] if not gone[i]]
            if not inputs:
                gone[n + number] = True
                continue
            share = weight[n + number] / len(inputs)
            for i in inputs:
                weight[i] += share
        best = max((i for i in range(n) if not gone[i]), key=lambda i: weight[i], default=-1)
        if best < 0:
            break
        gone[best] = True
        order.append(best)
    return tuple(order)


def drawn_together(net: Net, start: Order, rounds: int = 60) -> Order:
    """Pull each gate to the middle of its inputs and each node to the middle of its gates, over and over.

    Of all rounds the order with the least total span of the gates is kept.
    """
    parent = np.asarray(
        [j for j, gate in enumerate(net.gates) for _ in range(len(gate.inputs) + 1)], dtype=np.int64
    )
    child = np.asarray([i for j, gate in enumerate(net.gates) for i in (*gate.inputs, net.n_events + j)])
    size = net.n_events + len(net.gates)
    fan_in = np.bincount(parent, minlength=len(net.gates))
    fan_out = np.maximum(np.bincount(child, minlength=size), 1)
    position = np.zeros(size)
    position[list(start)] = np.arange(len(start))
    for number, gate in enumerate(net.gates):
        position[net.n_events + number] = position[list(gate.inputs)].mean()
    starts = np.flatnonzero(np.diff(parent, prepend=-1))
    best, least = start, np.inf
    events = np.asarray(start)
    for _ in range(rounds):
        at = position[child]
        span = float((np.maximum.reduceat(at, starts) - np.minimum.reduceat(at, starts)).sum())
        if span < least:
            least = span
            best = tuple(events[np.argsort(position[events], kind="stable")].tolist())
        middle = np.bincount(parent, at, minlength=len(net.gates)) / fan_in
        position = np.bincount(child, middle[parent], minlength=size) / fan_out
        rank = np.empty(size)
        rank[np.argsort(position, kind="stable")] = np.arange(size)
        position = rank
    return best


def _by(key: Callable[[Net], Callable[[int], object]]) -> Rule:
    return lambda net: depth_first(net, key(net))


def _small_first(net: Net) -> Order:
    return depth_first(net, sizes(net).__getitem__)


def _shared_first(net: Net) -> Callable[[int], object]:
    used = uses(net)
    return lambda node: -used[node]


def _many_first(net: Net) -> Callable[[int], object]:
    wide = reach(net)
    return lambda node: -wide[node]


def _shared_events_first(net: Net) -> Callable[[int], object]:
    used, wide = uses(net), reach(net)
    return lambda node: (node >= net.n_events, -used[node], wide[node])


def _shuffled(seed: int) -> Rule:
    """Walk depth-first with the inputs of every gate in an order of chance, then draw together."""

    def rule(net: Net) -> Order:
        rank = np.random.default_rng(seed).permutation(net.n_events + len(net.gates)).tolist()
        return drawn_together(net, depth_first(net, rank.__getitem__))

    return rule


SHUFFLES = 24
RULES: Mapping[str, Rule] = {
    "as written": depth_first,
    "small first": _small_first,
    "few events first": _by(lambda net: reach(net).__getitem__),
    "many events first": _by(_many_first),
    "shared first": _by(_shared_first),
    "shared events first": _by(_shared_events_first),
    "events last": _by(lambda net: lambda node: node < net.n_events),
    "from the right": _by(lambda net: lambda node: -node),
    "drawn together": lambda net: drawn_together(net, depth_first(net)),
    "small first, drawn together": lambda net: drawn_together(net, _small_first(net)),
    "heavy first": heavy_first,
    "breadth first": breadth_first,
    **{f"shuffle {seed}": _shuffled(seed) for seed in range(SHUFFLES)},
}
"""Every rule by name; all but two walk depth-first, some of them only to start from."""
