"""Which gates share nothing with the rest of the tree?

Such a module can be solved by itself and then stand in the rest as if it were one event.
Source: Y. Dutuit, A. Rauzy 1996, "A linear-time algorithm to find modules of fault trees", IEEE Transactions on
Reliability 45(3): walk depth-first, note when each node is met first and last; a gate is a module if everything
below it is met only between the first and the second time the walk enters and leaves it.
"""

from __future__ import annotations

from falsework.engines.diagrams.net import Net


def modules(net: Net) -> list[int]:
    """List the gates (as nodes) that are modules, inputs before what leans on them; the top is always the last.

    Cost:
        One walk and one pass; O(gates and their inputs).
    """
    if net.gate(net.top) is None:
        return [net.top]
    size = net.n_events + len(net.gates)
    first, last, left = [0] * size, [0] * size, [0] * size
    clock = 0
    stack: list[tuple[int, int]] = [(net.top, 0)]
    while stack:
        node, index = stack.pop()
        gate = net.gate(node)
        if index == 0:
            clock += 1
            last[node] = clock
            if first[node]:
                continue
            first[node] = clock
            if gate is None:
                continue
        if gate is not None and index < len(gate.inputs):
            stack.append((node, index + 1))
            stack.append((gate.inputs[index], 0))
        else:
            clock += 1
            left[node] = last[node] = clock
    found = []
    low, high = list(first), list(last)  # over everything below each node
    for number, gate in enumerate(net.gates):
        node = net.n_events + number
        below_first, below_last = size * size, 0
        for child in gate.inputs:
            below_first = min(below_first, low[child])
            below_last = max(below_last, high[child])
        if gate.inputs and below_first > first[node] and below_last < left[node]:
            found.append(node)
        low[node] = min(first[node], below_first)
        high[node] = max(last[node], below_last)
    if not found or found[-1] != net.top:
        found.append(net.top)
    return found
