"""Does what grows a few items at a time serve as the definition says?"""

import random

from falsework.engines.founded.growing import Growing
from falsework.engines.founded.system import Clause, System


def serving(system, begun):
    """The greatest set within what has begun whose serve clauses hold, by throwing out until nothing changes."""
    there = set(begun)
    while True:
        out = {
            item
            for item in there
            if not all(
                sum(each in (begun if clause.begun else there) for each in set(clause.of)) >= clause.enough
                for clause in system.serve[item]
            )
        }
        if not out:
            return there
        there -= out


def drawn(rng):
    """A random system of up to nine items, with circles in plenty."""
    count = rng.randint(1, 9)

    def clauses(most):
        return tuple(
            Clause(
                of=tuple(rng.randrange(count) for _ in range(rng.randint(1, 3))),
                enough=rng.randint(0, 2),
                begun=rng.random() < 0.3,
            )
            for _ in range(rng.randint(0, most))
        )

    return System(
        names=tuple(map(str, range(count))),
        begin=tuple(clauses(2) for _ in range(count)),
        serve=tuple(clauses(3) for _ in range(count)),
    )


def test_what_serves_is_the_greatest_set_after_every_batch():
    """Begun in any order, a few at a time and copied on the way, what serves is what the definition says."""
    rng = random.Random(5)
    asked = 0
    for _ in range(1500):
        system = drawn(rng)
        count = len(system.names)
        growing = Growing(system, free=[item for item in range(count) if rng.random() < 0.4])
        while True:
            assert growing.serves == serving(system, growing.begun)
            asked += 1
            left = [item for item in range(count) if item not in growing.begun]
            if not left:
                break
            if rng.random() < 0.2:
                growing = growing.copy()
            growing.begin(rng.sample(left, min(len(left), rng.randint(1, 2))))
    assert asked > 3000
