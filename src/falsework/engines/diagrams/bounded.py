"""Between which bounds does the top event's probability lie, where its diagram is too large?

From the bottom up, every gate whose diagram stays small gets its exact probability. Above those the probability
of a gate is enclosed by those of its inputs, whatever they share:

- where nothing negates, inputs are increasing functions of independent events and so positively associated
  (J. D. Esary, F. Proschan, D. W. Walkup 1967, "Association of random variables, with applications", Annals of
  Mathematical Statistics 38(5)): all of them happen at least as often as if they were independent, and so does none
  of them;
- in any case M. Frechet's inequalities (1935) hold: all of n happen with at least the sum of their probabilities
  less n - 1 and at most the least of them; some one with at least the largest and at most the sum;
- at least k of n happen with at most the sum over k (Markov's inequality), and at least as often as any k all do.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from falsework.engines.diagrams.build import Diagrams, Function
from falsework.engines.diagrams.limits import Limits, Progress, TooLarge
from falsework.engines.diagrams.of_tree import combined
from falsework.engines.diagrams.probability import probability
from falsework.engines.trees.tree import Gate, Op, Tree

_NODES = 1 << 21
"""Room for all small diagrams together."""
_SMALL = 50_000
"""Nodes of a diagram that is still built upon."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Between:
    """Proven bounds on a probability."""

    lower: float
    upper: float


def bounds(tree: Tree, *, limits: Limits, progress: Progress | None = None) -> Between:
    """Proven bounds on the probability of the top event.

    Args:
        tree: every event with its probability.
        limits: time; when it is over, no further diagrams are built.
        progress: told how many gates are done.
    """
    return _Bounding(tree, limits).top(progress)


class _Bounding:
    def __init__(self, tree: Tree, limits: Limits) -> None:
        self._tree = tree
        self._n = len(tree.events)
        self._diagrams = Diagrams(range(self._n), limits=Limits(nodes=_NODES))
        self._limits = limits
        self._function: list[Function | None] = [self._diagrams.var(event) for event in range(self._n)]
        given = [0.0 if each is None else each for each in tree.probabilities]
        self._p = np.array(given)
        self._between = [Between(lower=each, upper=each) for each in given]
        self._rises = [True] * self._n  # whether the node is an increasing function of the events

    def top(self, progress: Progress | None) -> Between:
        for number, gate in enumerate(self._tree.gates):
            if progress is not None and number % 64 == 0:
                progress("bounding", number, len(self._tree.gates))
            rises = gate.op not in (Op.NOT, Op.XOR) and all(self._rises[each] for each in gate.inputs)
            function = self._small(gate)
            self._rises.append(rises)
            self._function.append(function)
            if function is not None:
                exact = float(probability(self._diagrams.flat([function]), self._p)[0])
                self._between.append(Between(lower=exact, upper=exact))
            else:
                inputs = [self._between[each] for each in gate.inputs]
                self._between.append(enclosed(gate, inputs, associated=rises))
        return self._between[self._tree.top]

    def _small(self, gate: Gate) -> Function | None:
        """The diagram of a gate, if it is small and so are those of its inputs."""
        given = [self._function[each] for each in gate.inputs]
        inputs = [each for each in given if each is not None]
        if len(inputs) < len(given) or self._limits.left <= 0:
            return None
        try:
            found = combined(self._diagrams, gate, inputs)
        except TooLarge:
            return None
        return found if found.node_count() <= _SMALL else None


def enclosed(gate: Gate, inputs: Sequence[Between], *, associated: bool) -> Between:
    """Bounds on a gate from those of its inputs.

    Args:
        gate: the gate.
        inputs: of each input.
        associated: whether all inputs are increasing functions of independent events.
    """
    low, high = [each.lower for each in inputs], [each.upper for each in inputs]
    match gate.op:
        case Op.CONSTANT:
            return Between(lower=float(gate.k), upper=float(gate.k))
        case Op.SAME:
            return inputs[0]
        case Op.NOT:
            return Between(lower=1.0 - high[0], upper=1.0 - low[0])
        case Op.AND:
            least = math.prod(low) if associated else max(math.fsum(low) - (len(low) - 1), 0.0)
            return Between(lower=least, upper=min(high))
        case Op.OR:
            most = -math.expm1(math.fsum(map(_log_not, high))) if associated else min(math.fsum(high), 1.0)
            return Between(lower=max(low), upper=min(most, 1.0))
        case Op.AT_LEAST:
            if gate.k <= 0:
                return Between(lower=1.0, upper=1.0)
            best = sorted(low, reverse=True)[: gate.k]
            some = math.prod(best) if associated else max(math.fsum(best) - (gate.k - 1), 0.0)
            some = 0.0 if gate.k > len(low) else some
            return Between(lower=some, upper=min(math.fsum(high) / gate.k, 1.0))
        case Op.XOR:
            least = max(low[0] - high[1], low[1] - high[0], 0.0) if len(low) == 2 else 0.0
            return Between(lower=least, upper=min(math.fsum(high), 1.0))


def _log_not(chance: float) -> float:
    return -math.inf if chance >= 1.0 else math.log1p(-chance)
