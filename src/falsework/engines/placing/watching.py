"""What is broken, and what does it cost, once one item lies elsewhere?

The answers of `cost.broken` and `cost.costs` for hard rules and for levels of company and losses, counted anew only
for what the item touches. For each loss a packing is kept that shows where everything goes then; as long as a move
leaves it as it is, or one more item finds a hole, nothing has to be packed again.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np

from falsework.engines.placing.cost import crowded, far, narrow, parted, used
from falsework.engines.placing.packing import restarted
from falsework.engines.placing.problem import (
    HARD,
    NOWHERE,
    Apart,
    AtMost,
    Ints,
    Loss,
    Problem,
)

_Key = tuple[int, int]
"""Which kind of thing, in the order in which they are told, and which of them."""
_ITEM, _BIN, _SHARED, _APART, _TOGETHER, _SPREAD, _NEAR, _AT_MOST, _LOSS = range(9)


@dataclass(frozen=True, slots=True)
class _Rule:
    """A rule of company: by how much it is off where things are."""

    name: str
    level: int
    weight: int
    off: Callable[[Ints], int]


@dataclass(slots=True)
class _Plan:
    """Where items go in one loss, and what they take there, by bin; how many find no place."""

    bin_of: dict[int, int]
    extra: dict[int, Ints]
    homeless: int


@dataclass(frozen=True, slots=True)
class Then:
    """How it is after one move.

    Attributes:
        broken: names, in the order of `cost.broken`, each once.
        cost: by level; only of company and losses.
    """

    broken: tuple[str, ...]
    cost: tuple[int, ...]


class Watch:
    """A placement that changes one item at a time.

    Attributes:
        at: (n_items,) where each item is; changed by `go` only.
        use: (n_bins, n_resources) what they take there.
    """

    def __init__(self, problem: Problem, bin_of: Ints) -> None:
        """Begin.

        Args:
            problem: what it is judged by; what items hold in their old bins is not looked at, nor comfort, balance and
                moves.
            bin_of: (n_items,) bins, or NOWHERE; kept, and changed.
        """
        self.problem, self.at = problem, bin_of
        self.use = used(problem, bin_of)
        self._sheds, self._restarts = problem.shedding, problem.restarting
        self._rules: dict[_Key, _Rule] = {}
        self._of: defaultdict[int, list[_Key]] = defaultdict(list)
        self._apart: defaultdict[int, list[Apart]] = defaultdict(list)
        self._shared_of: defaultdict[int, list[int]] = defaultdict(list)
        for number, shared in enumerate(problem.shared):
            for one in set(shared.bins):
                self._shared_of[one].append(number)
        self._index()
        calm = np.where(self._sheds, NOWHERE, bin_of)
        self._calm = used(problem, calm)
        self._lost = [frozenset(loss.bins) for loss in problem.losses]
        self._losses_of: defaultdict[int, set[int]] = defaultdict(set)
        for number, lost in enumerate(self._lost):
            for one in lost:
                self._losses_of[one].add(number)
        self._plans = [self._packed(number) for number in range(len(problem.losses))]
        self._into: defaultdict[int, set[int]] = defaultdict(set)
        for number, plan in enumerate(self._plans):
            for one in plan.extra:
                self._into[one].add(number)
        self._hopeless = {number for number, plan in enumerate(self._plans) if plan.homeless}
        self._off: dict[_Key, int] = {}
        self._off.update(self._now(self._rules))
        self._off.update(self._now((_ITEM, item) for item in range(problem.n_items)))
        self._off.update(self._now((_BIN, one) for one in range(problem.n_bins)))
        self._off.update(self._now((_SHARED, number) for number in range(len(problem.shared))))
        self._off.update(self._now((_LOSS, number) for number in self._hopeless))
        self._tried: tuple[int, int, dict[int, _Plan]] | None = None

    @property
    def now(self) -> Then:
        """How it is."""
        return self._then(self._off)

    def after(self, item: int, end: int) -> Then:
        """How it would be with an item elsewhere, or nowhere."""
        start = int(self.at[item])
        plans = self._plans_after(item, start, end)
        self._tried = item, end, plans
        self._put(item, end)
        touched = self._touched(item, start, end)
        off = {key: value for key, value in self._off.items() if key not in touched}
        off.update(self._now(key for key in touched if key[0] != _LOSS))
        for number, plan in plans.items():
            off.pop((_LOSS, number), None)
            if plan.homeless:
                off[_LOSS, number] = plan.homeless
        self._put(item, start)
        return self._then(off)

    def go(self, item: int, end: int) -> None:
        """Put an item elsewhere, or nowhere."""
        start = int(self.at[item])
        tried = self._tried
        same = tried is not None and tried[:2] == (item, end)
        plans = tried[2] if tried is not None and same else self._plans_after(item, start, end)
        self._tried = None
        self._put(item, end)
        touched = self._touched(item, start, end)
        for key in touched:
            self._off.pop(key, None)
        self._off.update(self._now(touched))
        for number, plan in plans.items():
            for one in self._plans[number].extra:
                self._into[one].discard(number)
            for one in plan.extra:
                self._into[one].add(number)
            self._plans[number] = plan
            self._off.pop((_LOSS, number), None)
            self._hopeless.discard(number)
            if plan.homeless:
                self._off[_LOSS, number] = plan.homeless
                self._hopeless.add(number)

    # -- rules of company --------------------------------------------------------------------------

    def _index(self) -> None:
        problem = self.problem
        inside: dict[tuple[int, ...], frozenset[int]] = {}
        for number, apart in enumerate(problem.apart):
            self._note((_APART, number), apart.items, _Rule(apart.name, HARD, 1, partial(crowded, apart)))
            for item in set(apart.items):
                self._apart[item].append(apart)
        for number, together in enumerate(problem.together):
            rule = _Rule(together.name, HARD, 1, partial(parted, together))
            self._note((_TOGETHER, number), together.items, rule)
        for number, spread in enumerate(problem.spread):
            self._note((_SPREAD, number), spread.items, _Rule(spread.name, HARD, 1, partial(narrow, spread)))
        for number, near in enumerate(problem.near):
            rule = _Rule(near.name, near.level, near.weight, partial(far, near))
            self._note((_NEAR, number), (*near.items, *near.to), rule)
        for number, most in enumerate(problem.at_most):
            here = inside.setdefault(most.bins, frozenset(most.bins))
            rule = _Rule(most.name, most.level, most.weight, _over(most, here))
            self._note((_AT_MOST, number), most.items, rule)

    def _note(self, key: _Key, items: Iterable[int], rule: _Rule) -> None:
        self._rules[key] = rule
        for item in set(items):
            self._of[item].append(key)

    def _touched(self, item: int, start: int, end: int) -> set[_Key]:
        found = {*self._of[item], (_ITEM, item)}
        for one in (start, end):
            if one != NOWHERE:
                found.add((_BIN, one))
                found.update((_SHARED, number) for number in self._shared_of[one])
        return found

    def _now(self, keys: Iterable[_Key]) -> Iterator[tuple[_Key, int]]:
        """Those that are off, and by how much."""
        for key in keys:
            off = self._one(key)
            if off:
                yield key, off

    def _one(self, key: _Key) -> int:
        kind, number = key
        problem = self.problem
        if kind == _ITEM:
            at = int(self.at[number])
            return int(at == NOWHERE or (problem.allowed is not None and not problem.allowed[number, at]))
        if kind == _BIN:
            return int((self.use[number] > problem.capacity[number]).any())
        if kind == _SHARED:
            shared = problem.shared[number]
            return int(self.use[sorted(set(shared.bins)), shared.resource].sum() > shared.capacity)
        if kind == _LOSS:
            return self._plans[number].homeless
        return self._rules[key].off(self.at)

    def _then(self, off: dict[_Key, int]) -> Then:
        problem = self.problem
        cost = [0] * len(problem.levels)
        names: dict[str, None] = {}
        for key in sorted(off):
            kind, number = key
            if kind == _ITEM:
                names[problem.item_names[number]] = None
            elif kind == _BIN:
                names[problem.bin_names[number]] = None
            elif kind == _SHARED:
                names[problem.shared[number].name] = None
            else:
                rule: _Rule | Loss = problem.losses[number] if kind == _LOSS else self._rules[key]
                if rule.level == HARD:
                    names[rule.name] = None
                else:
                    cost[rule.level] += rule.weight * off[key]
        return Then(tuple(names), tuple(cost))

    def _put(self, item: int, end: int) -> None:
        start = int(self.at[item])
        size = self.problem.size[item]
        for one, sign in ((start, -1), (end, 1)):
            if one != NOWHERE:
                self.use[one] += sign * size
                if not self._sheds[item]:
                    self._calm[one] += sign * size
        self.at[item] = end

    # -- losses ------------------------------------------------------------------------------------

    def _packed(self, number: int) -> _Plan:
        packed = restarted(self.problem, self.at, self.problem.losses[number].bins)
        extra: dict[int, Ints] = {}
        for item, one in packed.bin_of.items():
            extra[one] = extra.get(one, 0) + self.problem.size[item]
        return _Plan(dict(packed.bin_of), extra, len(packed.homeless))

    def _plans_after(self, item: int, start: int, end: int) -> dict[int, _Plan]:
        """The plans that a move changes."""
        if self._sheds[item]:
            return {}
        found: dict[int, _Plan] = {}
        for number in self._losses_of[start] | self._losses_of[end] | self._into[end] | self._hopeless:
            plan = None if number in self._hopeless else self._kept(number, item, start, end)
            if plan is None:
                self._put(item, end)
                plan = self._packed(number)
                self._put(item, start)
            if plan is not self._plans[number]:
                found[number] = plan
        # What the item keeps apart from may have been planned next to where it is now.
        for number in self._beside(item, end):
            self._put(item, end)
            found[number] = self._packed(number)
            self._put(item, start)
        return found

    def _beside(self, item: int, end: int) -> set[int]:
        """Losses in which somebody that the item is kept apart from would come into its new domain."""
        found: set[int] = set()
        if end == NOWHERE:
            return found
        for rule in self._apart[item]:
            here = rule.domain[end]
            for other in set(rule.items) - {item} if here != NOWHERE else ():
                for number in self._losses_of[int(self.at[other])]:
                    to = self._plans[number].bin_of.get(other, NOWHERE)
                    if to != NOWHERE and rule.domain[to] == here and end not in self._lost[number]:
                        found.add(number)
        return found

    def _kept(self, number: int, item: int, start: int, end: int) -> _Plan | None:
        """The plan with the item in it or out of it; None where it has to be made anew."""
        plan, lost = self._plans[number], self._lost[number]
        was, comes = start in lost, end in lost
        if (was and comes) or not (was or comes or end in plan.extra):
            return plan
        size = self.problem.size[item]
        bin_of, extra = plan.bin_of, plan.extra
        if was and item in bin_of:
            bin_of, extra = dict(bin_of), dict(extra)
            at = bin_of.pop(item)
            extra[at] = extra[at] - size
        if comes:
            if not self._restarts[item]:
                return plan
            at = self._hole(item, number, plan)
            if at == NOWHERE:
                return None
            bin_of, extra = {**bin_of, item: at}, {**extra, at: extra.get(at, 0) + size}
        elif (
            end != NOWHERE and (self._calm[end] + size + extra.get(end, 0) > self.problem.capacity[end]).any()
        ):
            return None
        return plan if bin_of is plan.bin_of else _Plan(bin_of, extra, 0)

    def _hole(self, item: int, number: int, plan: _Plan) -> int:
        """The first bin that takes an item when others are lost; NOWHERE if none does as it is."""
        problem, lost = self.problem, self._lost[number]
        left = problem.capacity - self._calm - problem.size[item]
        start = int(self.at[item])
        if start != NOWHERE:
            left[start] += problem.size[item]
        for one, takes in plan.extra.items():
            left[one] -= takes
        fits = (left >= 0).all(axis=1)
        fits[list(lost)] = False
        if problem.allowed is not None:
            fits &= problem.allowed[item]
        held = [(rule.domain, self._held(rule, item, plan, lost)) for rule in self._apart[item]]
        for one in np.flatnonzero(fits).tolist():
            if all(domain[one] == NOWHERE or domain[one] not in taken for domain, taken in held):
                return int(one)
        return NOWHERE

    def _held(self, rule: Apart, item: int, plan: _Plan, lost: frozenset[int]) -> set[int]:
        """The domains that the others of a rule are in after a loss."""
        found: set[int] = set()
        for other in set(rule.items) - {item}:
            at = int(self.at[other])
            if at in lost:
                at = plan.bin_of.get(other, NOWHERE)
            if at != NOWHERE and not self._sheds[other]:
                found.add(rule.domain[at])
        return found


def _over(rule: AtMost, here: frozenset[int]) -> Callable[[Ints], int]:
    """As `cost.over`; there are many such rules over few sets of bins, and each set is made once."""
    items = tuple(set(rule.items))
    return lambda at: int(sum(1 for item in items if int(at[item]) in here) > rule.most)
