"""Random small systems of things that begin once others serve, and a slow way to see how far they get."""

from __future__ import annotations

from collections.abc import Collection
from itertools import combinations

from hypothesis import strategies as st

from falsework.engines.founded.system import Clause, System


@st.composite
def systems(draw: st.DrawFn, *, most: int = 12, most_offers: int = 6) -> System:
    """A system of 2 to `most` items, some of which are offers."""
    count = draw(st.integers(2, most))
    offers = draw(st.lists(st.integers(0, count - 1), max_size=most_offers, unique=True))

    def clauses() -> tuple[Clause, ...]:
        found = []
        for _ in range(draw(st.sampled_from((0, 1, 1, 2)))):
            of = draw(st.lists(st.integers(0, count - 1), min_size=1, max_size=3))
            found.append(
                Clause(of=tuple(of), enough=draw(st.integers(0, min(len(of), 2))), begun=draw(st.booleans()))
            )
        return tuple(found)

    return System(
        names=tuple(f"item {number}" for number in range(count)),
        begin=tuple(clauses() for _ in range(count)),
        serve=tuple(clauses() if draw(st.booleans()) else () for _ in range(count)),
        costs={item: draw(st.integers(0, 5)) for item in offers},
    )


def slowly(system: System, chosen: Collection[int]) -> tuple[set[int], set[int]]:
    """What begins and what serves, by the definition: B = F(S(B)), from nothing, all items again and again."""
    begun: set[int] = set()
    while True:
        serves = served(system, begun)
        more = {
            item
            for item in range(len(system.names))
            if item not in begun
            and (item not in system.costs or item in chosen)
            and all(holds(clause, begun, serves) for clause in system.begin[item])
        }
        if not more:
            return begun, serves
        begun |= more


def served(system: System, begun: Collection[int]) -> set[int]:
    """The greatest set within what has begun whose serve clauses hold."""
    serves = set(begun)
    while out := {
        item for item in serves if not all(holds(clause, begun, serves) for clause in system.serve[item])
    }:
        serves -= out
    return serves


def holds(clause: Clause, begun: Collection[int], serves: Collection[int]) -> bool:
    """Whether enough of a clause's items have begun, or serve."""
    return sum(each in (begun if clause.begun else serves) for each in set(clause.of)) >= clause.enough


def cheapest_by_trying(system: System, goals: Collection[int]) -> int | None:
    """What the cheapest offers cost with which every goal serves, by trying every set; None if none does it."""
    costs = [
        sum(system.costs[item] for item in chosen)
        for size in range(len(system.costs) + 1)
        for chosen in combinations(system.costs, size)
        if slowly(system, chosen)[1].issuperset(goals)
    ]
    return min(costs, default=None)
