"""How does what a reader finds, in any order, become a fault tree?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from falsework.engines.trees.opening import MOST_INPUTS, MOST_NODES, fault
from falsework.engines.trees.tree import Gate, Op, Tree
from falsework.engines.trees.walk import Circle, Walk
from falsework.errors import shortened
from falsework.where import Where

_SHOWN = 6


class Draft:
    """Nodes as they come; a reader numbers them, connects them, and asks for the tree at the end.

    Attributes:
        file: the name that places give.
        inputs: of each node; a reader may keep marks of its own here until it asks for the tree.
        names: of each node; empty for a formula inside a formula.
    """

    def __init__(self, file: str) -> None:
        self.file = file
        self.inputs: list[Sequence[int]] = []
        self.names: list[str] = []
        self._ops: list[Op | None] = []
        self._ks: list[int] = []
        self._probabilities: dict[int, float | None] = {}
        self._places: list[tuple[int, int]] = []
        self._n_inputs = 0

    def __len__(self) -> int:
        """Return how many nodes there are."""
        return len(self.names)

    def event(self, name: str, place: tuple[int, int], probability: float | None = None) -> int:
        """Add a basic event and return its number."""
        node = self._add(None, name, place)
        self._probabilities[node] = probability
        return node

    def gate(
        self, op: Op, inputs: Sequence[int], place: tuple[int, int], *, k: int = 0, name: str = ""
    ) -> int:
        """Add a gate and return its number."""
        node = self._add(op, name, place)
        self.connect(node, inputs)
        self._ks[node] = k
        return node

    def define(self, node: int, op: Op, inputs: Sequence[int], k: int = 0) -> None:
        """Say what a node does that was added before it was known."""
        self._ops[node] = op
        self._ks[node] = k
        self.connect(node, inputs)

    def absorb(self, node: int, inner: int) -> None:
        """Let a node be what another is that nothing else uses; the other is dropped if it is the last."""
        op, inputs, k = self._ops[inner], self.inputs[inner], self._ks[inner]
        self._ops[inner], self.inputs[inner] = Op.CONSTANT, ()
        self._ops[node], self.inputs[node], self._ks[node] = op, inputs, k
        if inner == len(self) - 1:
            for column in (self._ops, self.inputs, self._ks, self.names, self._places):
                column.pop()

    def connect(self, node: int, inputs: Sequence[int]) -> None:
        """Give a gate its inputs; where one twice is as good as once, it is kept once."""
        if self._ops[node] in (Op.AND, Op.OR):
            inputs = tuple(dict.fromkeys(inputs))
        self._n_inputs += len(inputs) - len(self.inputs[node])
        if self._n_inputs > MOST_INPUTS:
            raise fault(
                self.where(node),
                f"the gates have more than {MOST_INPUTS} inputs",
                "Split the model into smaller trees.",
            )
        self.inputs[node] = inputs

    def set_probability(self, node: int, probability: float | None) -> None:
        """Say how likely a basic event is."""
        self._probabilities[node] = probability

    def where(self, node: int) -> Where:
        """Where a node is defined."""
        return Where(self.file, *self._places[node])

    def is_event(self, node: int) -> bool:
        """Whether the node is a basic event."""
        return self._ops[node] is None

    def unused(self, nodes: Iterable[int]) -> list[int]:
        """Those of the nodes that are an input of none."""
        used = bytearray(len(self))
        for inputs in self.inputs:
            for below in inputs:
                used[below] = 1
        return [node for node in nodes if not used[node]]

    def tree(self, top: int | None, name: str = "") -> Tree:
        """Return the tree below the top event.

        Events are numbered as a walk down from the top meets them, so those used together stand together.

        Args:
            top: None to look for circles only.
            name: for people.

        Raises:
            LabError: gates lean on each other in a circle, those that the top does not reach included.
        """
        walk = Walk(self.inputs)
        try:
            kept = walk.below(() if top is None else (top,))
            rest = walk.below(range(len(self)))
        except Circle as circle:
            raise self._circle(circle.members) from None
        events = [node for node in kept if self._ops[node] is None]
        gates = [(node, op) for node in kept if (op := self._ops[node]) is not None]
        number = {node: i for i, node in enumerate([*events, *(node for node, _ in gates)])}
        return Tree(
            name=name,
            events=tuple(self.names[node] for node in events),
            probabilities=tuple(self._probabilities[node] for node in events),
            gates=tuple(
                Gate(op=op, inputs=tuple(number[i] for i in self.inputs[node]), k=self._ks[node])
                for node, op in gates
            ),
            gate_names=tuple(self.names[node] for node, _ in gates),
            top=0 if top is None else number[top],
            unreached=tuple(self.names[node] for node in sorted(rest) if self.names[node]),
        )

    def _add(self, op: Op | None, name: str, place: tuple[int, int]) -> int:
        node = len(self.names)
        if node >= MOST_NODES:
            raise fault(
                Where(self.file, *place),
                f"there are more than {MOST_NODES} gates and events",
                "Split the model into smaller trees.",
            )
        self.names.append(name)
        self.inputs.append(())
        self._ops.append(op)
        self._ks.append(0)
        self._places.append(place)
        return node

    def _circle(self, members: Sequence[int]) -> Exception:
        named = [node for node in members if self.names[node]]
        shown = [f"'{shortened(self.names[node])}'" for node in named[:_SHOWN]]
        if len(named) > _SHOWN:
            shown.append(f"{len(named) - _SHOWN} more")
        way = " leans on ".join([*shown, shown[0]])
        return fault(
            self.where(named[0]),
            f"gates lean on each other in a circle: {way}",
            "A fault tree says what follows from what: take one of these inputs away.",
        )
