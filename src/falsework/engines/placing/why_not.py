"""Which few demands contradict each other, so that nothing can be placed, and which cheapest changes would help?

Source:
    The smallest sets: U. Junker (2004), QUICKXPLAIN: preferred explanations and relaxations for over-constrained
    problems, Proceedings of AAAI, 167-172. "Smallest" means that nothing can be left out, not that no other
    contradiction is shorter.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import combinations

import numpy as np

from falsework.engines.placing.exact import whole
from falsework.engines.placing.model import variables
from falsework.engines.placing.problem import (
    HARD,
    Apart,
    AtMost,
    Impossible,
    Loss,
    Near,
    Problem,
    Shared,
    Spread,
    Together,
)

Rule = Apart | Together | Spread | Near | AtMost | Shared | Loss

MOST_CHANGES = 3
"""Changes that are tried together."""
MOST_VARIABLES = 1_500_000
"""A model that is larger is not made: it would take more memory and time than a reason is worth."""


class Kind(StrEnum):
    """What a reason is; the order is the one in which reasons are preferred."""

    BINS = "bins"
    APART = "apart"
    TOGETHER = "together"
    SPREAD = "spread"
    NEAR = "near"
    AT_MOST = "at most"
    ALLOWED = "allowed"
    SHARED = "shared"
    RESOURCE = "resource"
    SIZE = "size"
    LOSS = "loss"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """One demand of a problem.

    Attributes:
        kind: BINS: that there is no bin at all; ALLOWED: in which bins an item may lie; RESOURCE: how much of it each
            bin has; SIZE: what an item takes; otherwise a hard rule.
        name: of the rule, the item or the resource.
        numbers: where the problem lists it: rules of one kind and name are one reason.
    """

    kind: Kind
    name: str
    numbers: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Contradiction:
    """Reasons that no placement meets together.

    Attributes:
        reasons: in the order of their kinds.
        smallest: whether it was proven that without any one of them the others can be met.
    """

    reasons: tuple[Reason, ...]
    smallest: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Change:
    """What somebody could do.

    Attributes:
        name: what it is called.
        price: what it costs, at least 0.
        made: the problem with it done.
    """

    name: str
    price: float
    made: Callable[[Problem], Problem]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Loosened:
    """The cheapest changes that make a placement possible.

    Attributes:
        changes: in the order given; empty if it is possible already; None if none of what was tried does.
        price: of them together.
        tried: how many sets of changes were looked at.
        complete: whether every cheaper set, or every set if there is none, was shown not to do. Otherwise time ran out.
    """

    changes: tuple[Change, ...] | None
    price: float
    tried: int
    complete: bool


def why_not(problem: Problem, *, seconds: float = 30.0) -> Impossible | None:
    """Names of demands that contradict each other, as `contradiction` finds them.

    Returns:
        None if there is a placement, or nothing was proved in time.
    """
    found = contradiction(problem, seconds=seconds)
    if found is None:
        return None
    return Impossible(
        because=tuple(dict.fromkeys(each.name for each in found.reasons)), smallest=found.smallest
    )


def contradiction(problem: Problem, *, seconds: float = 30.0) -> Contradiction | None:
    """A smallest set of demands that no placement meets.

    Args:
        problem: only what is hard in it is looked at.
        seconds: about how long it may take; the set may be larger than it need be when time runs out.

    Returns:
        None if there is a placement, or nothing was proved in time.

    Cost:
        For k reasons of n about 2 k (1 + log2(n / k)) questions whether something is possible.
    """
    if problem.n_items and not problem.n_bins:
        return Contradiction(reasons=(Reason(kind=Kind.BINS, name="no bins", numbers=()),), smallest=True)
    return _Shrinking(problem, time.monotonic() + seconds).run()


def loosened(
    problem: Problem, changes: Sequence[Change], *, most: int = MOST_CHANGES, seconds: float = 30.0
) -> Loosened:
    """The cheapest set of changes after which there is a placement.

    Args:
        problem: what is asked.
        changes: what could be done; several are made one after another, in this order.
        most: so many at most.
        seconds: about how long it may take.

    Cost:
        Every set of so many changes at worst, the cheapest first, and of equal price the fewest first.
    """
    until = time.monotonic() + seconds
    sets = [each for count in range(most + 1) for each in combinations(changes, count)]
    sets.sort(key=lambda some: (sum(each.price for each in some), len(some)))
    complete = True
    for tried, some in enumerate(sets, start=1):
        if time.monotonic() > until:
            return Loosened(changes=None, price=0.0, tried=tried - 1, complete=False)
        changed = problem
        for each in some:
            changed = each.made(changed)
        answer = is_possible(changed, seconds=until - time.monotonic())
        if answer:
            price = sum(each.price for each in some)
            return Loosened(changes=some, price=price, tried=tried, complete=complete)
        complete = complete and answer is not None
    return Loosened(changes=None, price=0.0, tried=len(sets), complete=complete)


def is_possible(problem: Problem, *, seconds: float) -> bool | None:
    """Whether some placement keeps every hard rule; None if that was not settled in time."""
    if not problem.n_items:
        return True
    if not problem.n_bins:
        return False
    if variables(problem, losses=False) > MOST_VARIABLES:
        return None
    found = whole(demanding(problem, reasons(problem)), seconds=max(seconds, 0.05))
    if found.bin_of is not None:
        return True
    return False if found.impossible else None


def reasons(problem: Problem) -> tuple[Reason, ...]:
    """Everything that a placement must meet, what is preferred to be told first; of sizes the largest first."""
    rules: dict[Kind, tuple[Rule, ...]] = {
        Kind.APART: problem.apart,
        Kind.TOGETHER: problem.together,
        Kind.SPREAD: problem.spread,
        Kind.NEAR: problem.near,
        Kind.AT_MOST: problem.at_most,
        Kind.SHARED: problem.shared,
        Kind.LOSS: problem.losses,
    }
    found: list[Reason] = []
    for kind in Kind:
        if kind in rules:
            named: dict[str, list[int]] = {}
            for number, rule in enumerate(rules[kind]):
                if getattr(rule, "level", HARD) == HARD:
                    named.setdefault(rule.name, []).append(number)
            found.extend(Reason(kind=kind, name=name, numbers=tuple(some)) for name, some in named.items())
        elif kind == Kind.ALLOWED and problem.allowed is not None:
            found.extend(_item(problem, kind, np.flatnonzero(~problem.allowed.all(axis=1)).tolist()))
        elif kind == Kind.RESOURCE:
            some = np.flatnonzero(problem.size.any(axis=0)).tolist()
            found.extend(Reason(kind=kind, name=problem.resource_names[r], numbers=(r,)) for r in some)
        elif kind == Kind.SIZE:
            share = (problem.size / np.maximum(problem.size.max(axis=0, initial=1), 1)).max(
                axis=1, initial=0.0
            )
            some = [item for item in np.argsort(-share, kind="stable").tolist() if share[item] > 0]
            found.extend(_item(problem, kind, some))
    return tuple(found)


def _item(problem: Problem, kind: Kind, items: Iterable[int]) -> list[Reason]:
    return [Reason(kind=kind, name=problem.item_names[item], numbers=(item,)) for item in items]


def demanding(problem: Problem, some: Collection[Reason]) -> Problem:
    """The problem with these demands and no others; nothing costs."""
    numbers: dict[Kind, list[int]] = {kind: [] for kind in Kind}
    for each in some:
        numbers[each.kind].extend(each.numbers)
    size = np.zeros_like(problem.size)
    kept = np.ix_(sorted(numbers[Kind.SIZE]), sorted(numbers[Kind.RESOURCE]))
    size[kept] = problem.size[kept]
    allowed = problem.allowed
    if allowed is not None:
        bound = np.zeros(problem.n_items, dtype=bool)
        bound[numbers[Kind.ALLOWED]] = True
        allowed = allowed | ~bound[:, None]
    return replace(
        problem,
        size=size,
        allowed=allowed,
        apart=tuple(problem.apart[number] for number in numbers[Kind.APART]),
        together=tuple(problem.together[number] for number in numbers[Kind.TOGETHER]),
        spread=tuple(problem.spread[number] for number in numbers[Kind.SPREAD]),
        near=tuple(problem.near[number] for number in numbers[Kind.NEAR]),
        at_most=tuple(problem.at_most[number] for number in numbers[Kind.AT_MOST]),
        shared=tuple(problem.shared[number] for number in numbers[Kind.SHARED]),
        losses=tuple(problem.losses[number] for number in numbers[Kind.LOSS]),
        comfort=(),
        balance=(),
        moves=(),
    )


class _Shrinking:
    def __init__(self, problem: Problem, until: float) -> None:
        self.problem = problem
        self.until = until
        self.settled = True
        self.known: dict[frozenset[Reason], bool | None] = {}

    def run(self) -> Contradiction | None:
        all_ = reasons(self.problem)
        start = self._start(all_)
        if start is None:
            return None
        self.settled = True
        found = set(self._least((), False, start))
        return Contradiction(reasons=tuple(each for each in all_ if each in found), smallest=self.settled)

    def _start(self, all_: Sequence[Reason]) -> Sequence[Reason] | None:
        """Reasons that contradict each other: without any loss if that does, else with one loss, else with all."""
        losses = [each for each in all_ if each.kind == Kind.LOSS]
        others = [each for each in all_ if each.kind != Kind.LOSS]
        if self._contradict(others):
            return others
        if len(losses) > 1:
            for loss in losses:
                if time.monotonic() > self.until:
                    return None
                if self._contradict([*others, loss]):
                    return [*others, loss]
        return all_ if losses and self._contradict(all_) else None

    def _contradict(self, some: Iterable[Reason]) -> bool:
        """Whether it is shown that these can't be met together."""
        asked = frozenset(some)
        if asked not in self.known:
            left = self.until - time.monotonic()
            self.known[asked] = (
                is_possible(demanding(self.problem, asked), seconds=left) if left > 0 else None
            )
        if self.known[asked] is None:
            self.settled = False
        return self.known[asked] is False

    def _least(self, given: Sequence[Reason], new: bool, some: Sequence[Reason]) -> Sequence[Reason]:
        """Of some reasons those that are needed beside the given ones; `new`: whether that was not asked before."""
        if new and self._contradict(given):
            return ()
        if len(some) <= 1:
            return some
        half = len(some) // 2
        later = self._least([*given, *some[:half]], True, some[half:])
        earlier = self._least([*given, *later], bool(later), some[:half])
        return [*earlier, *later]
