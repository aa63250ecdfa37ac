"""Where may each item of a placing problem still lie, as variables for constraint programming?"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from typing import NamedTuple

import numpy as np
from ortools.sat.python import cp_model

from falsework.engines.placing.packing import restarted
from falsework.engines.placing.problem import NOWHERE, Ints, Problem

Literal = cp_model.IntVar


class Some(NamedTuple):
    """How many of some items lie somewhere: a number that is known, and what is open."""

    sure: int
    open: list[Literal]


class Index:
    """What every model of one problem needs; made once where parts of it are solved again and again."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        n = problem.n_items
        self.restarts, self.sheds = problem.restarting, problem.shedding
        self.apart = _touching(n, [rule.items for rule in problem.apart])
        self.together = _touching(n, [rule.items for rule in problem.together])
        self.spread = _touching(n, [rule.items for rule in problem.spread])
        self.near = _touching(n, [(*rule.items, *rule.to) for rule in problem.near])
        self.at_most = _touching(n, [rule.items for rule in problem.at_most])

    def may(self, item: int) -> Ints:
        """The bins that an item is allowed in, ascending."""
        allowed = self.problem.allowed
        return np.arange(self.problem.n_bins) if allowed is None else np.flatnonzero(allowed[item])


def _touching(n: int, rules: Sequence[Iterable[int]]) -> list[list[int]]:
    """By item the rules that speak of it."""
    found: list[list[int]] = [[] for _ in range(n)]
    for number, items in enumerate(rules):
        for item in set(items):
            found[item].append(number)
    return found


def variables(problem: Problem, *, losses: bool = True) -> int:
    """About how many variables the model of a whole problem has: what memory and time depend on.

    Args:
        problem: the whole.
        losses: with those of every loss; else what `exact.whole` begins with.
    """
    n, m = problem.n_items, problem.n_bins
    may = np.full((n, 1), m) if problem.allowed is None else problem.allowed.sum(axis=1, keepdims=True)
    choice = (may[:, 0] > 1).astype(np.int64)
    total = int((may[:, 0] * choice).sum())
    looking = problem.restarting & ~problem.shedding
    for lost in {frozenset(loss.bins) for loss in problem.losses} if losses else ():
        gone = sorted(lost)
        if problem.allowed is None:
            total += int(looking.sum()) * (m - len(gone))
        else:
            here = problem.allowed[:, gone].sum(axis=1)
            total += int((may[:, 0] - here)[looking & (here > 0)].sum())
    return total


class Open:
    """A variable for each open item and each bin that it may lie in; items with one bin are numbers.

    Attributes:
        model: for the solver.
        terms: by level, the variables that cost and how much each.
        sure: by level, what is paid in any case.
        impossible: whether making it showed that nothing is possible.
        x: by open item and bin, whether it lies there.
        hinted: the variables that say where items are, before and after each loss.
        lost: by lost bins, where items go (by item and bin), and whether an item finds no place.
    """

    def __init__(
        self,
        index: Index,
        *,
        free: Collection[int] | None = None,
        bin_of: Ints | None = None,
        bins: Collection[int] | None = None,
    ) -> None:
        problem = self.problem = index.problem
        self.index = index
        self.model = cp_model.CpModel()
        self.terms: list[list[tuple[Literal, int]]] = [[] for _ in problem.levels]
        self.sure = [0] * len(problem.levels)
        self.impossible = False
        self.hinted: list[Literal] = []
        self.lost: dict[frozenset[int], tuple[dict[int, dict[int, Literal]], dict[int, Literal]]] = {}
        self._whole = free is None
        self._at: list[int] = (
            [NOWHERE] * problem.n_items if bin_of is None or free is None else bin_of.tolist()
        )
        self.x: dict[int, dict[int, Literal]] = {}
        self._place(range(problem.n_items) if free is None else sorted(set(free)), bins)

    def cost(self, level: int) -> cp_model.LinearExprT:
        """What a level costs."""
        terms = self.terms[level]
        return (
            cp_model.LinearExpr.weighted_sum([one for one, _ in terms], [much for _, much in terms])
            + self.sure[level]
        )

    def bin_of(self, value: Callable[[Literal], int]) -> Ints:
        """(n_items,) the placement that a solution stands for."""
        found = np.array(self._at, dtype=np.int64)
        for item, ways in self.x.items():
            found[item] = next(at for at, one in ways.items() if value(one))
        return found

    def hint(self, bin_of: Ints, values: Sequence[int] = ()) -> None:
        """Begin to look at a placement, and at a quick packing after each loss.

        Args:
            bin_of: the placement.
            values: of all variables when this placement was found; losses that came later are packed.
        """
        self.model.clear_hints()  # type: ignore[no-untyped-call] # the library says no types here
        for item, ways in self.x.items():
            for at, one in ways.items():
                self.model.add_hint(one, int(bin_of[item]) == at)
        for lost, (new, homeless) in self.lost.items():
            ones = [*(one for ways in new.values() for one in ways.values()), *homeless.values()]
            if ones and ones[-1].index < len(values):
                for one in ones:
                    self.model.add_hint(one, values[one.index])
                continue
            found = restarted(self.problem, bin_of, lost, steps=0).bin_of
            for item, ways in new.items():
                for at, one in ways.items():
                    self.model.add_hint(one, found.get(item, NOWHERE) == at)
                if item in homeless:
                    hit = int(bin_of[item]) in lost
                    self.model.add_hint(homeless[item], hit and item not in found)

    def _place(self, free: Iterable[int], bins: Collection[int] | None) -> None:
        problem = self.problem
        only = None if bins is None else np.array(sorted(set(bins)), dtype=np.int64)
        ways: dict[int, Ints] = {}
        for item in free:
            may = self.index.may(item)
            if only is not None:
                may = np.intersect1d(may, only, assume_unique=True)
            ways[item] = may
            self._at[item] = int(may[0]) if len(may) == 1 else NOWHERE
        sure = np.array(self._at, dtype=np.int64)
        placed = sure != NOWHERE
        self._use = np.zeros(problem.capacity.shape, dtype=np.int64)
        np.add.at(self._use, sure[placed], problem.size[placed])
        # What counts twice fills the bin where an item was, whether it stays there or not.
        started = problem.start != NOWHERE
        self._hold = np.where(problem.twice, 0, self._use)
        there = placed & (sure != problem.start)
        np.add.at(self._hold, sure[there], np.where(problem.twice, problem.size[there], 0))
        np.add.at(self._hold, problem.start[started], np.where(problem.twice, problem.size[started], 0))
        left = problem.capacity - self._hold
        touched: set[int] = set()
        for item, may in ways.items():
            if self._at[item] != NOWHERE:
                touched.add(self._at[item])
                continue
            needs = np.broadcast_to(problem.size[item], (len(may), problem.size.shape[1])).copy()
            needs[may == problem.start[item]] *= ~problem.twice
            fits = may[(needs <= left[may]).all(axis=1)]
            self.x[item] = {at: self._bool() for at in fits.tolist()}
            touched.update(self.x[item])
            if not len(fits):
                self._never()
            else:
                self.model.add_exactly_one(self.x[item].values())
                self.hinted.extend(self.x[item].values())
        self._touched = range(problem.n_bins) if self._whole else sorted(touched)
        self._in_bin: dict[int, list[int]] = {at: [] for at in self._touched}
        for item, lies in self.x.items():
            for at in lies:
                self._in_bin[at].append(item)

    def _bool(self) -> Literal:
        return self.model.new_bool_var("")

    def _never(self) -> None:
        self.impossible = True
        self.model.add_bool_or([])

    def _rules(self, touching: Sequence[Sequence[int]], count: int) -> Sequence[int]:
        """The rules that an open item is under; all, if the whole is asked."""
        if self._whole:
            return range(count)
        return sorted({rule for item in self.x for rule in touching[item]})

    def _by_domain(self, items: Iterable[int], domain: Sequence[int]) -> dict[int, Some]:
        """How many of these items lie in each domain; NOWHERE for bins without one."""
        sure: dict[int, int] = {}
        open_: dict[int, list[Literal]] = {}
        for item in sorted(set(items)):
            if item in self.x:
                for at, one in self.x[item].items():
                    open_.setdefault(domain[at], []).append(one)
            elif self._at[item] != NOWHERE:
                sure[domain[self._at[item]]] = sure.get(domain[self._at[item]], 0) + 1
        return {
            one: Some(sure=sure.get(one, 0), open=open_.get(one, []))
            for one in sorted(sure.keys() | open_.keys())
        }
