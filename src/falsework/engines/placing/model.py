"""How does a placing problem, or the part of it that is open, look as a model for constraint programming?

A variable for each open item and each bin that it may lie in; items with one bin are numbers. What can't be too much
is left out. Costs are never negative: weights below zero are not foreseen.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from typing import NamedTuple

import numpy as np
from ortools.sat.python import cp_model

from falsework.engines.placing.packing import restarted
from falsework.engines.placing.problem import HARD, NOWHERE, Ints, Loss, Problem

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
        self.restarts = np.ones(n, dtype=bool) if problem.restarts is None else problem.restarts
        self.sheds = np.zeros(n, dtype=bool) if problem.sheds is None else problem.sheds
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
        losses: with those of every loss; else what `exact.best` begins with.
    """
    n, m = problem.n_items, problem.n_bins
    may = np.full((n, 1), m) if problem.allowed is None else problem.allowed.sum(axis=1, keepdims=True)
    choice = (may[:, 0] > 1).astype(np.int64)
    total = int((may[:, 0] * choice).sum())
    looking = np.ones(n, dtype=bool) if problem.restarts is None else problem.restarts.copy()
    if problem.sheds is not None:
        looking &= ~problem.sheds
    for lost in {frozenset(loss.bins) for loss in problem.losses} if losses else ():
        gone = sorted(lost)
        if problem.allowed is None:
            total += int(looking.sum()) * (m - len(gone))
        else:
            here = problem.allowed[:, gone].sum(axis=1)
            total += int((may[:, 0] - here)[looking & (here > 0)].sum())
    return total


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


class Model:
    """Variables and constraints, and what is to be least by level.

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
        losses: Collection[int] | None = None,
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
        self._room()
        self._shared()
        self._apart()
        self._together()
        self._spread()
        self._near()
        self._at_most()
        self._moves()
        self._comfort()
        self._balance()
        self._losses(range(len(problem.losses)) if losses is None else sorted(set(losses)))

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

    # --- where items lie ---

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

    # --- what must be ---

    def _at_most_sum(self, ones: Sequence[Literal], weights: Sequence[int], limit: int) -> None:
        if limit < 0:
            self._never()
        elif sum(weights) > limit:
            self.model.add(cp_model.LinearExpr.weighted_sum(ones, weights) <= limit)

    def _at_most_one(self, count: Some, extra: Sequence[Literal] = ()) -> None:
        ones = [*count.open, *extra]
        if count.sure > 1:
            self._never()
        elif count.sure == 1:
            for one in ones:
                self.model.add(one == 0)
        elif len(ones) > 1:
            self.model.add_at_most_one(ones)

    def _room(self) -> None:
        size, twice, start = self.problem.size, self.problem.twice, self.problem.start
        left = self.problem.capacity - self._hold
        for at in self._touched:
            items = self._in_bin[at]
            ones = [self.x[item][at] for item in items]
            for r in range(size.shape[1]):
                weights = [0 if twice[r] and start[item] == at else int(size[item, r]) for item in items]
                self._at_most_sum(ones, weights, int(left[at, r]))

    def _shared(self) -> None:
        size, twice, start = self.problem.size, self.problem.twice, self.problem.start
        for rule in self.problem.shared:
            bins = sorted(set(rule.bins))
            pairs = [(item, at) for at in bins for item in self._in_bin.get(at, ())]
            if not pairs and not self._whole:
                continue
            weights = [
                0 if twice[rule.resource] and start[item] == at else int(size[item, rule.resource])
                for item, at in pairs
            ]
            limit = rule.capacity - int(self._hold[bins, rule.resource].sum())
            self._at_most_sum([self.x[item][at] for item, at in pairs], weights, limit)

    def _apart(self) -> None:
        for number in self._rules(self.index.apart, len(self.problem.apart)):
            rule = self.problem.apart[number]
            for domain, count in self._by_domain(rule.items, rule.domain).items():
                if domain != NOWHERE:
                    self._at_most_one(count)

    def _together(self) -> None:
        for number in self._rules(self.index.together, len(self.problem.together)):
            rule = self.problem.together[number]
            items = sorted(set(rule.items))
            domains = sorted(set(rule.domain) - {NOWHERE})
            chosen = {domain: self._bool() for domain in domains}
            if not chosen and items:
                self._never()
                continue
            self.model.add_exactly_one(chosen.values())
            for item in items:
                if item not in self.x:
                    domain = rule.domain[self._at[item]]
                    if domain == NOWHERE:
                        self._never()
                    else:
                        self.model.add(chosen[domain] == 1)
                    continue
                for domain, count in self._by_domain((item,), rule.domain).items():
                    if domain == NOWHERE:
                        for one in count.open:
                            self.model.add(one == 0)
                    else:
                        self.model.add(sum(count.open) <= chosen[domain])

    def _spread(self) -> None:
        for number in self._rules(self.index.spread, len(self.problem.spread)):
            rule = self.problem.spread[number]
            counts = self._by_domain(rule.items, rule.domain)
            counts.pop(NOWHERE, None)
            need = rule.at_least - sum(1 for count in counts.values() if count.sure)
            open_ = [count.open for count in counts.values() if not count.sure]
            if need > len(open_):
                self._never()
            elif need > 0:
                there = [self._bool() for _ in open_]
                for one, ones in zip(there, open_, strict=True):
                    self.model.add_bool_or([*ones, one.negated()])
                self.model.add(sum(there) >= need)

    def _near(self) -> None:
        for number in self._rules(self.index.near, len(self.problem.near)):
            rule = self.problem.near[number]
            homes = self._by_domain(rule.to, rule.domain)
            home: dict[int, Literal] = {}
            for domain, count in homes.items():
                if domain != NOWHERE and not count.sure:
                    home[domain] = self._bool()
                    self.model.add_bool_or([*count.open, home[domain].negated()])
            itself = set(rule.to)
            for item in sorted(set(rule.items) - itself):
                far = None if rule.level == HARD else self._bool()
                for domain, count in self._by_domain((item,), rule.domain).items():
                    if domain == NOWHERE or (domain in homes and homes[domain].sure):
                        continue
                    near = home.get(domain)
                    rest = [one for one in (near, far) if one is not None]
                    if count.sure:
                        if rest:
                            self.model.add_bool_or(rest)
                        else:
                            self._never()
                    for one in count.open:
                        self.model.add_bool_or([one.negated(), *rest])
                if far is not None:
                    self.terms[rule.level].append((far, rule.weight))

    def _at_most(self) -> None:
        for number in self._rules(self.index.at_most, len(self.problem.at_most)):
            rule = self.problem.at_most[number]
            here = set(rule.bins)
            domain = [0 if at in here else NOWHERE for at in range(self.problem.n_bins)]
            count = self._by_domain(rule.items, domain).get(0, Some(0, []))
            if rule.level == HARD:
                self._at_most_sum(count.open, [1] * len(count.open), rule.most - count.sure)
                continue
            items = sum(1 for item in set(rule.items) if item in self.x and not here.isdisjoint(self.x[item]))
            if count.sure > rule.most:
                self.sure[rule.level] += rule.weight
            elif count.sure + items > rule.most:
                more = self._bool()
                self.model.add(
                    sum(count.open) - (items - rule.most + count.sure) * more <= rule.most - count.sure
                )
                self.terms[rule.level].append((more, rule.weight))

    # --- what costs ---

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

    # --- what must find a place when bins are lost ---

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
