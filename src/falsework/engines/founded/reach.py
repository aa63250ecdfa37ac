"""What begins and serves once these offers are taken, in rounds, and does each round rest on earlier ones only?"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from falsework.engines.founded.growing import Growing
from falsework.engines.founded.system import Clause, Reach, System


def allowed(system: System, chosen: Collection[int]) -> Growing:
    """The system grown as far as it goes with these offers; items that are no offers begin by themselves."""
    return Growing(
        system, free=[at for at in range(len(system.names)) if at not in system.costs or at in chosen]
    )


def reach(system: System, chosen: Collection[int]) -> Reach:
    """The rounds in which items begin, and from which they serve.

    Args:
        system: the items.
        chosen: offers that are taken.

    Cost:
        As of `Growing`.
    """
    begun = [-1] * len(system.names)
    serves = [-1] * len(system.names)
    for number, growth in enumerate(allowed(system, chosen).grown):
        for item in growth.begun:
            begun[item] = number
        for item in growth.serves:
            serves[item] = number
    return Reach(begun=tuple(begun), serves=tuple(serves))


def certified(system: System, chosen: Collection[int], found: Reach) -> bool:
    """Whether rounds prove themselves.

    Each item must begin by what serves or has begun in an earlier round, and what serves must be held by what
    serves in the same round or before. It looks once at each clause, and shares nothing with how the rounds were found. It proves that everything that
    has a round gets there; not that nothing else does.
    """
    return all(_rests(system, chosen, found, item) for item in range(len(system.names)))


def _rests(system: System, chosen: Collection[int], found: Reach, item: int) -> bool:
    begun, serves = found.begun[item], found.serves[item]
    if begun < 0:
        return serves < 0
    if item in system.costs and item not in chosen:
        return False
    if not all(sum(each) >= clause.enough for clause, each in _before(system.begin[item], found, begun)):
        return False
    if serves < 0:
        return True
    return serves >= begun and all(
        sum(each) >= clause.enough for clause, each in _before(system.serve[item], found, serves + 1)
    )


def _before(
    clauses: tuple[Clause, ...], found: Reach, number: int
) -> Iterator[tuple[Clause, tuple[bool, ...]]]:
    for clause in clauses:
        rounds = found.begun if clause.begun else found.serves
        yield clause, tuple(0 <= rounds[each] < number for each in set(clause.of))
