"""What is a fault tree like while it is being rewritten?

The same as `falsework.engines.trees.tree.Tree` without names: nodes 0 to n_events - 1 are events, the rest gates,
each after all its inputs; only what the top leans on is kept.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from falsework.engines.trees.tree import Gate, Op, Tree


@dataclass(frozen=True, slots=True, kw_only=True)
class Net:
    """Gates over numbered events.

    Attributes:
        n_events: how many events the numbers leave room for; not all need be used.
        gates: gate j is node n_events + j.
        top: node of the function that is meant.
    """

    n_events: int
    gates: tuple[Gate, ...]
    top: int

    @staticmethod
    def of(tree: Tree) -> Net:
        """Return the net of a tree."""
        return Net(n_events=len(tree.events), gates=tree.gates, top=tree.top)

    def gate(self, node: int) -> Gate | None:
        """Return the gate at a node; None for events."""
        return self.gates[node - self.n_events] if node >= self.n_events else None

    @property
    def coherent(self) -> bool:
        """Whether no gate negates."""
        return all(gate.op not in (Op.NOT, Op.XOR) for gate in self.gates)

    def parents(self) -> list[list[int]]:
        """List for each node the gates (as nodes) it is an input of, each once, in order."""
        found: list[list[int]] = [[] for _ in range(self.n_events + len(self.gates))]
        for number, gate in enumerate(self.gates):
            node = self.n_events + number
            for child in gate.inputs:
                above = found[child]
                if not above or above[-1] != node:
                    above.append(node)
        return found


class NetBuilder:
    """Puts a net together bottom-up, simplifying each gate as it comes and merging equal ones.

    Constants are the nodes -1 (false) and -2 (true) until the end.
    """

    FALSE, TRUE = -1, -2

    def __init__(self, n_events: int) -> None:
        self.n_events = n_events
        self.gates: list[Gate] = []
        self._known: dict[tuple[Op, int, tuple[int, ...]], int] = {}

    def gate(self, node: int) -> Gate | None:
        """Return the gate at a node; None for events and constants."""
        return self.gates[node - self.n_events] if node >= self.n_events else None

    def made(self, op: Op, inputs: Iterable[int], k: int = 0) -> int:
        """Return the node of a gate, simplified."""
        given = tuple(inputs)
        match op:
            case Op.CONSTANT:
                return self.TRUE if k else self.FALSE
            case Op.SAME:
                return given[0]
            case Op.NOT:
                return self._not(given[0])
            case Op.AND:
                return self._all(Op.AND, given, self.TRUE, self.FALSE)
            case Op.OR:
                return self._all(Op.OR, given, self.FALSE, self.TRUE)
            case Op.XOR:
                return self._xor(given)
            case Op.AT_LEAST:
                return self._at_least(given, k)

    def finished(self, top: int) -> Net:
        """Return the net, without what the top does not lean on."""
        if top < 0:
            gate = Gate(op=Op.CONSTANT, inputs=(), k=int(top == self.TRUE))
            return Net(n_events=self.n_events, gates=(gate,), top=self.n_events)
        return pruned(Net(n_events=self.n_events, gates=tuple(self.gates), top=top))

    def _not(self, node: int) -> int:
        if node < 0:
            return self.FALSE + self.TRUE - node
        gate = self.gate(node)
        return gate.inputs[0] if gate is not None and gate.op is Op.NOT else self._kept(Op.NOT, (node,))

    def _all(self, op: Op, inputs: Sequence[int], neutral: int, ruling: int) -> int:
        kept = tuple(dict.fromkeys(node for node in inputs if node != neutral))
        if ruling in kept:
            return ruling
        have = set(kept)
        dual = Op.OR if op is Op.AND else Op.AND
        absorbed = set()
        for node in kept:
            gate = self.gate(node)
            if gate is None:
                continue
            if gate.op is Op.NOT and gate.inputs[0] in have:
                return ruling
            if gate.op is dual and not have.isdisjoint(gate.inputs):
                absorbed.add(node)  # a and (a or b) is a
        if absorbed:
            kept = tuple(node for node in kept if node not in absorbed)
        if not kept:
            return neutral
        return kept[0] if len(kept) == 1 else self._kept(op, kept)

    def _xor(self, inputs: Sequence[int]) -> int:
        odd: dict[int, None] = {}
        flip = False
        for node in inputs:
            if node < 0:
                flip ^= node == self.TRUE
            elif node in odd:
                del odd[node]
            else:
                odd[node] = None
        left = tuple(odd)
        found = self.FALSE if not left else left[0] if len(left) == 1 else self._kept(Op.XOR, left)
        return self._not(found) if flip else found

    def _at_least(self, inputs: Sequence[int], k: int) -> int:
        left = tuple(node for node in inputs if node >= 0)
        k -= sum(node == self.TRUE for node in inputs)
        if k <= 0:
            return self.TRUE
        if k > len(left):
            return self.FALSE
        if k == 1:
            return self._all(Op.OR, left, self.FALSE, self.TRUE)
        if k == len(left):
            return self._all(Op.AND, left, self.TRUE, self.FALSE)
        return self._kept(Op.AT_LEAST, left, k)

    def _kept(self, op: Op, inputs: tuple[int, ...], k: int = 0) -> int:
        key = (op, k, tuple(sorted(inputs)))
        found = self._known.get(key)
        if found is None:
            found = self._known[key] = self.n_events + len(self.gates)
            self.gates.append(Gate(op=op, inputs=inputs, k=k))
        return found


def pruned(net: Net) -> Net:
    """Return the net without the gates its top does not lean on."""
    n = net.n_events
    wanted = [False] * (n + len(net.gates))
    wanted[net.top] = True
    for number in range(len(net.gates) - 1, -1, -1):
        if wanted[n + number]:
            for child in net.gates[number].inputs:
                wanted[child] = True
    if all(wanted[n:]):
        return net
    place = list(range(n))
    gates: list[Gate] = []
    for number, gate in enumerate(net.gates):
        place.append(n + len(gates))
        if wanted[n + number]:
            gates.append(Gate(op=gate.op, inputs=tuple(place[i] for i in gate.inputs), k=gate.k))
    return Net(n_events=n, gates=tuple(gates), top=place[net.top])
