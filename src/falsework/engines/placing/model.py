"""How does a placing problem, or the part of it that is open, look as a model for constraint programming?

Costs are never negative: weights below zero are not foreseen.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

import numpy as np
from ortools.sat.python import cp_model

from falsework.engines.placing.demands import Demands
from falsework.engines.placing.open import Index, Literal, Some, variables
from falsework.engines.placing.problem import HARD, NOWHERE, Ints, Loss

__all__ = ["Index", "Model", "build", "variables"]


def build(
    index: Index,
    *,
    free: Collection[int] | None = None,
    bin_of: Ints | None = None,
    bins: Collection[int] | None = None,
    losses: Collection[int] | None = None,
) -> Model:
    """A problem as a model, or the part of it in which some items are free and all others stay.

    Args:
        index: of the problem.
        free: the items that may go elsewhere; all by default.
        bin_of: where the others stay.
        bins: the bins that free items may lie in, if not all that they are allowed in.
        losses: numbers of the losses that are looked at; all by default. What others ask is neither kept nor counted.

    Returns:
        The model. If some items stay, the cost of rules that speak of no free item is left out, and of bins that
        no free item may lie in: what it costs differs from the whole by a number that is always the same.
    """
    return Model(index, free=free, bin_of=bin_of, bins=bins, losses=losses)


class Model(Demands):
    """Variables and constraints, what is to be least by level, and who finds a place after losses."""

    def __init__(
        self,
        index: Index,
        *,
        free: Collection[int] | None = None,
        bin_of: Ints | None = None,
        bins: Collection[int] | None = None,
        losses: Collection[int] | None = None,
    ) -> None:
        super().__init__(index, free=free, bin_of=bin_of, bins=bins)
        self.demand()
        self._moves()
        self._comfort()
        self._balance()
        self._losses(range(len(self.problem.losses)) if losses is None else sorted(set(losses)))

    def _moves(self) -> None:
        start, group = self.problem.start, self.problem.group
        sure = np.array(self._at, dtype=np.int64)
        moved = np.flatnonzero((sure != NOWHERE) & (start != NOWHERE) & (sure != start))
        for rule in self.problem.moves:
            for item, ways in self.x.items():
                for at, one in ways.items():
                    if start[item] in (NOWHERE, at):
                        continue
                    much = int(rule.each[item])
                    if rule.way is not None:
                        much += rule.way_weight * int(rule.way[start[item], at])
                    if much:
                        self.terms[rule.level].append((one, much))
            if self._whole:
                for item in moved.tolist():
                    self.sure[rule.level] += int(rule.each[item])
                    if rule.way is not None:
                        self.sure[rule.level] += rule.way_weight * int(rule.way[start[item], sure[item]])
            if rule.busiest:
                self._busiest(
                    rule.level, rule.busiest, np.bincount(group[moved], minlength=int(group.max()) + 1)
                )

    def _busiest(self, level: int, weight: int, moved: Ints) -> None:
        groups: dict[int, list[Literal]] = {}
        open_: dict[int, int] = {}
        start, group = self.problem.start, self.problem.group
        for item, ways in self.x.items():
            away = [one for at, one in ways.items() if at != start[item]]
            if start[item] != NOWHERE and away:
                groups.setdefault(int(group[item]), []).extend(away)
                open_[int(group[item])] = open_.get(int(group[item]), 0) + 1
        low = int(moved.max(initial=0))
        high = max([low, *(int(moved[one]) + count for one, count in open_.items())])
        busiest = self.model.new_int_var(low, high, "")
        for one, away in groups.items():
            self.model.add(sum(away) + int(moved[one]) <= busiest)
        self.terms[level].append((busiest, weight))

    def _above(
        self, level: int, weight: int, ones: Sequence[Literal], weights: Sequence[int], base: int
    ) -> None:
        """Costs `weight` for each unit that base + weights x ones is above nought."""
        most = base + sum(much for much in weights if much > 0)
        if weight == 0 or most <= 0:
            return
        if not any(weights):
            self.sure[level] += weight * base
            return
        over = self.model.new_int_var(0, most, "")
        self.model.add(cp_model.LinearExpr.weighted_sum(ones, weights) + base <= over)
        self.terms[level].append((over, weight))

    def _comfort(self) -> None:
        size = self.problem.size
        for rule in self.problem.comfort:
            for at in self._touched:
                items = self._in_bin[at]
                ones = [self.x[item][at] for item in items]
                for r in np.flatnonzero(rule.weight).tolist():
                    base = int(self._use[at, r] - rule.upto[at, r])
                    self._above(rule.level, int(rule.weight[r]), ones, size[items, r].tolist(), base)

    def _balance(self) -> None:
        size, capacity = self.problem.size, self.problem.capacity
        for rule in self.problem.balance:
            free = capacity - self._use
            for at in self._touched:
                items = self._in_bin[at]
                ones = [self.x[item][at] for item in items]
                weights = size[items, rule.against] - rule.target * size[items, rule.resource]
                base = int(rule.target * free[at, rule.resource] - free[at, rule.against])
                self._above(rule.level, rule.weight, ones, weights.tolist(), base)

    def _losses(self, numbers: Iterable[int]) -> None:
        same: dict[frozenset[int], list[Loss]] = {}
        for number in numbers:
            loss = self.problem.losses[number]
            same.setdefault(frozenset(loss.bins), []).append(loss)
        for lost, losses in same.items():
            self.add_loss(lost, losses)

    def add_loss(self, lost: frozenset[int], losses: Sequence[Loss]) -> None:
        """Ask, and count, that everybody finds a place when these bins are lost: all losses of just these bins."""
        problem, size = self.problem, self.problem.size
        looking = self.index.restarts & ~self.index.sheds
        sure = np.array(self._at, dtype=np.int64)
        runs = (sure != NOWHERE) & ~np.isin(sure, list(lost)) & ~self.index.sheds
        left = problem.capacity.astype(np.int64, copy=True)
        np.subtract.at(left, sure[runs], size[runs])
        new: dict[int, dict[int, Literal]] = {}
        without: dict[int, Literal] = {}
        in_bin: dict[int, list[int]] = {}
        for item in np.flatnonzero(looking).tolist():
            gone = [one for at, one in self.x.get(item, {}).items() if at in lost]
            hit = self._at[item] in lost
            if not gone and not hit:
                continue
            may = np.array([at for at in self.index.may(item).tolist() if at not in lost], dtype=np.int64)
            fits = may[(size[item] <= left[may]).all(axis=1)].tolist()
            ways = new[item] = {at: self._bool() for at in fits}
            self.hinted.extend(ways.values())
            for at in fits:
                in_bin.setdefault(at, []).append(item)
            homeless = self._homeless(losses)
            if homeless is not None:
                without[item] = homeless
            rest = [] if homeless is None else [homeless]
            if hit:
                self.model.add_exactly_one([*ways.values(), *rest]) if ways or rest else self._never()
            else:
                self.model.add(sum(ways.values()) + sum(rest) == sum(gone))
        for at, items in in_bin.items():
            running = [item for item in self._in_bin.get(at, ()) if not self.index.sheds[item]]
            ones = [*(self.x[item][at] for item in running), *(new[item][at] for item in items)]
            for r in range(size.shape[1]):
                weights = size[[*running, *items], r].tolist()
                if any(size[items, r]):
                    self._at_most_sum(ones, weights, int(left[at, r]))
        for number in sorted({rule for item in new for rule in self.index.apart[item]}):
            self._apart_after(number, lost, new)
        self.lost[lost] = new, without

    def _homeless(self, losses: Sequence[Loss]) -> Literal | None:
        """Whether an item finds no place; None where it must."""
        if any(loss.level == HARD for loss in losses):
            return None
        one = self._bool()
        self.hinted.append(one)
        for loss in losses:
            self.terms[loss.level].append((one, loss.weight))
        return one

    def _apart_after(self, number: int, lost: frozenset[int], new: dict[int, dict[int, Literal]]) -> None:
        rule = self.problem.apart[number]
        domain = [NOWHERE if at in lost else one for at, one in enumerate(rule.domain)]
        running = self._by_domain((item for item in rule.items if not self.index.sheds[item]), domain)
        ones: dict[int, list[Literal]] = {}
        for item in sorted(set(rule.items)):
            for at, one in new.get(item, {}).items():
                if domain[at] != NOWHERE:
                    ones.setdefault(domain[at], []).append(one)
        for where, some in ones.items():
            self._at_most_one(running.get(where, Some(0, [])), some)
