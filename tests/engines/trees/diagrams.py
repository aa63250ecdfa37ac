"""The decision diagrams as an engine for fault trees: see `falsework.engines.trees.engine`."""

from __future__ import annotations

import numpy as np

from falsework.engines.diagrams.limits import Limits
from falsework.engines.diagrams.probability import by_level, probability
from falsework.engines.diagrams.sensitivity import sensitivity
from falsework.engines.diagrams.sets import NONE, UNIT
from falsework.engines.diagrams.solve import diagram, minimal_cut_sets


class DiagramEngine:
    """The diagrams, asked as the contract asks."""

    def __init__(self, tree):
        self._limits = Limits.within(600, nodes=1 << 18)  # few nodes: room is set aside at once
        self._made = diagram(tree, limits=self._limits)

    def _by_level(self, q):
        flat = self._made.flat
        rows = np.zeros((max(len(q), flat.variable.max(initial=0) + 1), q.shape[1]))
        rows[: len(q)] = q
        return by_level(flat, rows)

    def probability(self, q):
        """See the contract."""
        return probability(self._made.flat, self._by_level(q))[-1]

    def given(self, q):
        """See the contract; P is linear in each q, so the slope leads to both ends."""
        slope = np.zeros_like(q)
        found = sensitivity(self._made.flat, self._by_level(q))[-1]
        for level, variable in enumerate(self._made.flat.variable.tolist()):
            if variable < len(q):
                slope[variable] = found[level]
        top = self.probability(q)
        return top + (1 - q) * slope, top - q * slope

    def cut_sets(self):
        """See the contract; families inside others are multiplied out."""
        sets = minimal_cut_sets(self._made, self._limits)
        families = {NONE: [], UNIT: [frozenset()]}
        waiting = [sets.root]
        while waiting:
            node = waiting[-1]
            level = sets.level[node]
            below = [] if node in families else [sets.low[node], sets.high[node]]
            inside = sets.inside[level] if below else -1
            lacking = [one for one in (*below, inside) if one >= 0 and one not in families]
            waiting += lacking
            if lacking:
                continue
            waiting.pop()
            if below:
                own = families[inside] if inside >= 0 else [frozenset({int(sets.variable[level])})]
                joined = [a | b for a in own for b in families[sets.high[node]]]
                families[node] = families[sets.low[node]] + joined
        return frozenset(families[sets.root])
