"""Which single losses may do more on top of some other loss than each by itself?

Two losses, of one leaf or of many, do together just what each does unless they meet at a unit
(`falsework.engines.pairs` holds the proof, which nowhere asks how many leaves fail).
What every single loss does at the units is worked out once; to lay another loss against all of that takes
one look at the units this other one touches.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from falsework.engines.evaluate import Evaluator
from falsework.engines.gates import BoolArray, GateGraph
from falsework.engines.scenarios import BITS, singles
from falsework.engines.sparse import Ints
from falsework.engines.touching import Touched, Touching
from falsework.engines.units import cone, units

_WORDS_BYTES = 64 << 20


class Company:
    """Every single loss at the units that the kept gates lean on."""

    def __init__(self, graph: GateGraph) -> None:
        """Fail every leaf by itself.

        Cost:
            One single-loss run over all gates, and a look at what each loss lowers.
        """
        everything = graph.keeping(np.arange(graph.n_gates))
        self._engine = Evaluator(everything, memory_bytes=_WORDS_BYTES)
        inside = cone(graph, graph.kept.astype(np.int64))
        base = self._engine.evaluate_failures([()])[:, :1]
        touching = Touching(graph, units(graph, inside), base)
        for first, words in self._engine.stream(singles(graph.n_leaves)):
            fallen = words ^ base
            fallen[~inside] = 0
            touching.take(first, words, fallen, min(words.shape[1] * BITS, graph.n_leaves - first))
        self._touched: Touched = touching.touched()

    def met(self, leaves: Sequence[int]) -> Ints:
        """The other leaves, ascending, that may do more together with the loss of these than each by itself."""
        values: BoolArray = self._engine.stands([leaves])[:, 0]
        return np.setdiff1d(self._touched.met(values), np.asarray(leaves, dtype=np.int64), assume_unique=True)
