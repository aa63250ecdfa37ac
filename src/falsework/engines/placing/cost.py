"""What does a placement cost by level, and which hard rules does it not keep?

The slow, obvious judge of every search. Where the rules leave something open, this is how they are read:

- An item counts in a set once, however often it is named.
- An item that is nowhere takes nothing and keeps nobody company; it is broken, under its own name.
- What counts `twice` counts so in `capacity` and in `Shared`; `Comfort` and `Balance` see an item where it lies.
- `Near`: a bin without a domain is not spoken of, so an item there costs nothing. An item that is itself one of
  `to` is near. `Spread` counts no bin without a domain.
- `Moves.busiest` counts moved items whatever `each` says of them.
- `Loss`: as `packing.restarted` has it. An item that finds no place in a loss costs `weight`; the packing that leaves
  out the fewest is what counts.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np

from falsework.engines.placing.packing import homeless
from falsework.engines.placing.problem import (
    HARD,
    NOWHERE,
    Apart,
    AtMost,
    Balance,
    Comfort,
    Ints,
    Moves,
    Near,
    Problem,
    Spread,
    Together,
)


def costs(problem: Problem, bin_of: Ints) -> tuple[int, ...]:
    """What a placement costs, by level; hard rules that it breaks cost nothing.

    Args:
        problem: the rules.
        bin_of: (n_items,) bin numbers, or NOWHERE.
    """
    cost = [0] * len(problem.levels)
    for near in problem.near:
        if near.level != HARD:
            cost[near.level] += near.weight * far(near, bin_of)
    for most in problem.at_most:
        if most.level != HARD and over(most, bin_of):
            cost[most.level] += most.weight
    for loss in problem.losses:
        if loss.level != HARD:
            cost[loss.level] += loss.weight * len(homeless(problem, bin_of, loss.bins))
    use = used(problem, bin_of)
    for comfort in problem.comfort:
        cost[comfort.level] += _comfort(comfort, use)
    for balance in problem.balance:
        cost[balance.level] += _balance(balance, problem.capacity - use)
    for moves in problem.moves:
        cost[moves.level] += _moves(moves, problem, bin_of)
    return tuple(cost)


def broken(problem: Problem, bin_of: Ints) -> tuple[str, ...]:
    """The names of what a placement does not keep: rules, bins that are too full, items where they may not be.

    Each name once, in the order: items, bins, limits that bins share, rules as the problem lists them.
    """
    return tuple(dict.fromkeys(_broken(problem, bin_of)))


def used(problem: Problem, bin_of: Ints) -> Ints:
    """(n_bins, n_resources): what the items take where they lie."""
    use = np.zeros(problem.capacity.shape, dtype=np.int64)
    placed = bin_of != NOWHERE
    np.add.at(use, bin_of[placed], problem.size[placed])
    return use


def held(problem: Problem, bin_of: Ints) -> Ints:
    """(n_bins, n_resources): the same, and what moved items hold in their old bins of what counts twice."""
    use = used(problem, bin_of)
    moved = has_moved(problem, bin_of)
    np.add.at(use, problem.start[moved], np.where(problem.twice, problem.size[moved], 0))
    return use


def has_moved(problem: Problem, bin_of: Ints) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """(n_items,): which lie elsewhere than at the start."""
    return np.asarray((problem.start != NOWHERE) & (bin_of != problem.start) & (bin_of != NOWHERE))


def far(near: Near, bin_of: Ints) -> int:
    """How many of a rule's items have none of those whom they should be near in their domain."""
    homes = set(_domains(near.to, near.domain, bin_of))
    return sum(1 for domain in _domains(near.items, near.domain, bin_of) if domain not in homes)


def crowded(rule: Apart, bin_of: Ints) -> bool:
    """Whether two of a rule's items lie in one domain."""
    domains = list(_domains(rule.items, rule.domain, bin_of))
    return len(set(domains)) < len(domains)


def parted(rule: Together, bin_of: Ints) -> bool:
    """Whether a rule's items lie in more than one domain, or one of them in none."""
    domains = list(_domains(rule.items, rule.domain, bin_of))
    placed = sum(1 for item in set(rule.items) if bin_of[item] != NOWHERE)
    return len(set(domains)) > 1 or len(domains) < placed


def narrow(rule: Spread, bin_of: Ints) -> bool:
    """Whether a rule's items lie in too few domains."""
    return len(set(_domains(rule.items, rule.domain, bin_of))) < rule.at_least


def over(rule: AtMost, bin_of: Ints) -> bool:
    """Whether more of a rule's items lie in its bins than may."""
    here = set(rule.bins)
    return sum(1 for item in set(rule.items) if int(bin_of[item]) in here) > rule.most


def _domains(items: Iterable[int], domain: tuple[int, ...], bin_of: Ints) -> Iterator[int]:
    """The domain of each item that is in one."""
    for item in sorted(set(items)):
        at = int(bin_of[item])
        if at != NOWHERE and domain[at] != NOWHERE:
            yield domain[at]


def _comfort(rule: Comfort, use: Ints) -> int:
    return int((np.maximum(use - rule.upto, 0) * rule.weight).sum())


def _balance(rule: Balance, free: Ints) -> int:
    short = rule.target * free[:, rule.resource] - free[:, rule.against]
    return rule.weight * int(np.maximum(short, 0).sum())


def _moves(rule: Moves, problem: Problem, bin_of: Ints) -> int:
    moved = np.flatnonzero(has_moved(problem, bin_of))
    total = int(rule.each[moved].sum())
    if rule.busiest and moved.size:
        total += rule.busiest * int(np.unique(problem.group[moved], return_counts=True)[1].max())
    if rule.way is not None:
        total += rule.way_weight * sum(
            int(rule.way[problem.start[item], bin_of[item]]) for item in moved.tolist()
        )
    return total


def _broken(problem: Problem, bin_of: Ints) -> Iterator[str]:
    for item in range(problem.n_items):
        at = int(bin_of[item])
        if at == NOWHERE or (problem.allowed is not None and not problem.allowed[item, at]):
            yield problem.item_names[item]
    full = held(problem, bin_of)
    for number in np.flatnonzero((full > problem.capacity).any(axis=1)):
        yield problem.bin_names[int(number)]
    for shared in problem.shared:
        if full[sorted(set(shared.bins)), shared.resource].sum() > shared.capacity:
            yield shared.name
    for apart in problem.apart:
        if crowded(apart, bin_of):
            yield apart.name
    for together in problem.together:
        if parted(together, bin_of):
            yield together.name
    for spread in problem.spread:
        if narrow(spread, bin_of):
            yield spread.name
    for near in problem.near:
        if near.level == HARD and far(near, bin_of):
            yield near.name
    for most in problem.at_most:
        if most.level == HARD and over(most, bin_of):
            yield most.name
    for loss in problem.losses:
        if loss.level == HARD and homeless(problem, bin_of, loss.bins):
            yield loss.name
