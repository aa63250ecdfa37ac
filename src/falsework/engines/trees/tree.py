"""What is a fault tree?

Basic events happen or not; gates combine them; one of the gates (or events) is the top event.
Shared gates make it a directed acyclic graph, called a tree by custom.
Unlike the gates of a lab (`falsework.engines.gates`) it says what *fails*, and it may negate.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Op(StrEnum):
    """How a gate combines its inputs."""

    AND = "and"
    OR = "or"
    AT_LEAST = "at least"  # Gate.k of the inputs
    XOR = "xor"  # an odd number of the inputs
    NOT = "not"  # one input
    SAME = "same"  # one input, passed on
    CONSTANT = "constant"  # no input; Gate.k is 1 for true, 0 for false


@dataclass(frozen=True, slots=True, kw_only=True)
class Gate:
    """One gate; its inputs are node numbers (see `Tree`)."""

    op: Op
    inputs: tuple[int, ...]
    k: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Tree:
    """A fault tree.

    Nodes are numbered: event i is node i, gate j is node ``len(events) + j``.
    Every gate comes after all its inputs.

    Attributes:
        name: for people.
        events: names of the basic events.
        probabilities: of each event; None where the file gives none.
        gates: the gates.
        gate_names: their names; empty for those made by a reader for a formula inside a formula.
        top: node of the top event.
        unreached: names of what the file defines and the top event does not lean on; left out of all else.
    """

    name: str
    events: tuple[str, ...]
    probabilities: tuple[float | None, ...]
    gates: tuple[Gate, ...]
    gate_names: tuple[str, ...]
    top: int
    unreached: tuple[str, ...] = ()

    @property
    def coherent(self) -> bool:
        """Whether no gate negates: then more failures never mend anything."""
        return all(gate.op not in (Op.NOT, Op.XOR) for gate in self.gates)
