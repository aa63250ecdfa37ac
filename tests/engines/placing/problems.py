"""Random small placing problems, and the best placement of each by looking at all."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import numpy as np
from hypothesis import strategies as st

from falsework.engines.placing.cost import broken, costs
from falsework.engines.placing.exact import refused, whole
from falsework.engines.placing.problem import (
    HARD,
    NOWHERE,
    Apart,
    AtMost,
    Balance,
    Comfort,
    Impossible,
    Ints,
    Loss,
    Moves,
    Near,
    Placement,
    Problem,
    Shared,
    Spread,
    Together,
)

N_LEVELS = 3


def plain(size, capacity, **more) -> Problem:
    """A problem with named items and bins (i0, i1, ..., b0, b1, ...) and nothing else but what is given."""
    sizes = (
        np.array(size, dtype=np.int64).reshape(len(size), -1)
        if len(size)
        else np.zeros((0, 1), dtype=np.int64)
    )
    capacities = (
        np.array(capacity, dtype=np.int64).reshape(len(capacity), -1)
        if len(capacity)
        else np.zeros((0, sizes.shape[1]), dtype=np.int64)
    )
    n_resources = max(sizes.shape[1], capacities.shape[1], 1)
    given = {
        "levels": ("first", "second", "third")[:N_LEVELS],
        "item_names": tuple(f"i{item}" for item in range(len(size))),
        "bin_names": tuple(f"b{at}" for at in range(len(capacity))),
        "resource_names": tuple(f"r{number}" for number in range(n_resources)),
        "size": sizes.reshape(len(size), n_resources),
        "capacity": capacities.reshape(len(capacity), n_resources),
        "twice": np.zeros(n_resources, dtype=bool),
        "group": np.zeros(len(size), dtype=np.int64),
        "start": np.full(len(size), NOWHERE, dtype=np.int64),
    }
    return Problem(**(given | more))


@st.composite
def problems(
    draw, *, most_items: int = 5, most_bins: int = 4, losses: bool = True, tight: bool = False
) -> Problem:
    """Problems with some of every kind of rule, small enough to look at every placement.

    Args:
        draw: of hypothesis.
        most_items: at most so many.
        most_bins: at most so many.
        losses: whether there may be losses, which a search for size may not know.
        tight: more hard rules and less room, so that many have no placement at all.
    """
    n, m = draw(st.integers(1, most_items)), draw(st.integers(1, most_bins))
    r = draw(st.integers(1, 2))
    ints = st.integers

    def array(low: int, high: int, *shape: int) -> Ints:
        count = int(np.prod(shape))
        drawn = draw(st.lists(ints(low, high), min_size=count, max_size=count))
        return np.array(drawn, dtype=np.int64).reshape(shape)

    def bools(*shape: int) -> np.ndarray:
        return array(0, 3, *shape) > 0

    def some(of: int) -> tuple[int, ...]:
        return tuple(draw(st.lists(ints(0, of - 1), min_size=1, max_size=of, unique=True)))

    def domain() -> tuple[int, ...]:
        return tuple(draw(st.lists(ints(NOWHERE, min(m, 3) - 1), min_size=m, max_size=m)))

    def few(make, most: int) -> tuple:
        return tuple(make(number) for number in range(draw(ints(0, most))))

    def level() -> int:
        return draw(ints(0, N_LEVELS - 1))

    def any_level() -> int:
        return HARD if tight else draw(ints(HARD, N_LEVELS - 1))

    weight = ints(1, 3)
    more = 2 if tight else 1
    return Problem(
        levels=("first", "second", "third"),
        item_names=tuple(f"i{item}" for item in range(n)),
        bin_names=tuple(f"b{at}" for at in range(m)),
        resource_names=tuple(f"r{number}" for number in range(r)),
        size=array(0, 4, n, r),
        capacity=array(1 if tight else 2, 6 if tight else 9, m, r),
        twice=array(0, 1, r) > 0,
        group=array(0, 2, n),
        start=array(NOWHERE, m - 1, n),
        allowed=draw(st.sampled_from((None, True))) and bools(n, m),
        restarts=draw(st.sampled_from((None, True))) and bools(n),
        sheds=draw(st.sampled_from((None, True))) and array(0, 3, n) == 0,
        apart=few(lambda k: Apart(name=f"apart {k}", items=some(n), domain=domain()), more),
        together=few(lambda k: Together(name=f"together {k}", items=some(n), domain=domain()), 1),
        spread=few(
            lambda k: Spread(name=f"spread {k}", items=some(n), domain=domain(), at_least=draw(ints(1, 2))), 1
        ),
        near=few(
            lambda k: Near(
                name=f"near {k}",
                items=some(n),
                to=some(n),
                domain=domain(),
                level=any_level(),
                weight=draw(weight),
            ),
            2,
        ),
        at_most=few(
            lambda k: AtMost(
                name=f"at most {k}",
                items=some(n),
                bins=some(m),
                most=draw(ints(0, 2)),
                level=any_level(),
                weight=draw(weight),
            ),
            2,
        ),
        shared=few(
            lambda k: Shared(
                name=f"shared {k}", bins=some(m), resource=draw(ints(0, r - 1)), capacity=draw(ints(2, 12))
            ),
            1,
        ),
        losses=few(
            lambda k: Loss(name=f"loss {k}", bins=some(m), level=any_level(), weight=draw(weight)),
            2 if losses else 0,
        ),
        comfort=few(lambda _: Comfort(level=level(), upto=array(0, 6, m, r), weight=array(0, 2, r)), 1),
        balance=few(
            lambda _: Balance(
                resource=draw(ints(0, r - 1)),
                against=draw(ints(0, r - 1)),
                target=draw(ints(1, 3)),
                level=level(),
                weight=draw(weight),
            ),
            1,
        ),
        moves=few(
            lambda _: Moves(
                level=level(),
                each=array(0, 3, n),
                busiest=draw(ints(0, 2)),
                way=draw(st.sampled_from((None, True))) and array(0, 3, m, m),
                way_weight=draw(ints(0, 2)),
            ),
            2,
        ),
    )


def placements(problem: Problem) -> Iterator[Ints]:
    """Every way to put every item into some bin."""
    for bins in product(range(problem.n_bins), repeat=problem.n_items):
        yield np.array(bins, dtype=np.int64)


def by_looking_at_all(problem: Problem) -> tuple[int, ...] | None:
    """The cost of the best placement, or None if there is none."""
    return min(
        (costs(problem, each) for each in placements(problem) if not broken(problem, each)), default=None
    )


def left_out(problem: Problem, bin_of: Ints, lost: tuple[int, ...]) -> int:
    """How few items find no place after a loss, by trying every bin, and none, for each."""
    sheds = [] if problem.sheds is None else np.flatnonzero(problem.sheds).tolist()
    restarts = (
        range(problem.n_items) if problem.restarts is None else np.flatnonzero(problem.restarts).tolist()
    )
    looking = [item for item in restarts if bin_of[item] in lost and item not in sheds]
    stays = {
        item: int(at)
        for item, at in enumerate(bin_of)
        if at != NOWHERE and at not in lost and item not in sheds
    }
    bins = [NOWHERE, *(at for at in range(problem.n_bins) if at not in lost)]
    return min(
        where.count(NOWHERE)
        for where in product(bins, repeat=len(looking))
        if _holds(problem, stays, dict(zip(looking, where, strict=True)))
    )


def _holds(problem: Problem, stays: dict[int, int], goes: dict[int, int]) -> bool:
    goes = {item: at for item, at in goes.items() if at != NOWHERE}
    where = stays | goes
    for item, at in goes.items():
        if problem.allowed is not None and not problem.allowed[item, at]:
            return False
        total = sum(problem.size[other] for other, there in where.items() if there == at)
        if np.any(total > problem.capacity[at]):
            return False
        for rule in problem.apart:
            if item in rule.items and rule.domain[at] != NOWHERE:
                others = [other for other in set(rule.items) - {item} if other in where]
                if any(rule.domain[where[other]] == rule.domain[at] for other in others):
                    return False
    return True


def best(problem: Problem, *, seconds: float, **asked) -> Placement | Impossible:
    """What the solver finds by itself, or why there is nothing."""
    found = whole(problem, seconds=seconds, **asked)
    if found.bin_of is None:
        return refused(problem, found, seconds=seconds, left=seconds)
    return Placement(bin_of=found.bin_of, cost=found.cost, bound=found.bound, seconds=0.0)
