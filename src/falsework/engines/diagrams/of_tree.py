"""What diagram has a fault tree?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.engines.diagrams.build import Diagrams, Function
from falsework.engines.diagrams.limits import Progress
from falsework.engines.trees.tree import Gate, Op, Tree


def functions(
    tree: Tree, diagrams: Diagrams, roots: Sequence[int], *, progress: Progress | None = None
) -> list[Function]:
    """Build the functions of some nodes of a tree.

    Args:
        tree: its events are the variables, by number.
        diagrams: to build in.
        roots: nodes of the tree.
        progress: told how many of the gates are done.

    Raises:
        TooLarge: a bound of `diagrams` was hit.
    """
    n_events = len(tree.events)
    uses = [0] * (n_events + len(tree.gates))
    for root in roots:
        uses[root] += 1
    for number in range(len(tree.gates) - 1, -1, -1):
        if uses[n_events + number]:
            for node in tree.gates[number].inputs:
                uses[node] += 1
    found: dict[int, Function] = {}
    for number, gate in enumerate(tree.gates):
        if not uses[n_events + number]:
            continue
        inputs = [diagrams.var(node) if node < n_events else found[node] for node in gate.inputs]
        found[n_events + number] = combined(diagrams, gate, inputs)
        for node in gate.inputs:
            uses[node] -= 1
            if not uses[node]:
                found.pop(node, None)  # so that its nodes can be swept
        if progress is not None:
            progress("building the diagram", number + 1, len(tree.gates))
    return [diagrams.var(root) if root < n_events else found[root] for root in roots]


def combined(diagrams: Diagrams, gate: Gate, inputs: Sequence[Function]) -> Function:
    """Return the function of one gate from those of its inputs."""
    match gate.op:
        case Op.AND:
            return diagrams.all_of(inputs)
        case Op.OR:
            return diagrams.any_of(inputs)
        case Op.AT_LEAST:
            return diagrams.at_least(gate.k, inputs)
        case Op.XOR:
            return diagrams.xor(inputs)
        case Op.NOT:
            return diagrams.negate(inputs[0])
        case Op.SAME:
            return inputs[0]
        case Op.CONSTANT:
            return diagrams.true if gate.k else diagrams.false
