"""With what is out now, how many more failures until each service falls?"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from falsework.analyses.pairs import all_pairs
from falsework.analyses.verdicts import Verdict, data_of, single_verdicts
from falsework.support.standing import Standing

MOST_PARTS = 5_000
"""In a lab with more parts, pairs are not looked at if nobody says: that takes minutes."""
GROUND = frozenset(("outside", "room", "rack"))
"""What all stand on: a house that burns and mains that fail are counted apart, or no service would have a margin."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """What one service can still lose.

    Attributes:
        service: its id.
        least: the fewest further parts whose loss brings it down, or loses its data: 0 if it is down now, 1, 2, or
            None if more than were looked at.
        looked_at: how many parts at once were looked at, at the most.
        by: one smallest set of parts that does.
        ways: how many smallest sets do; 0 if none was found.
        ground: rooms, racks and what comes from outside that bring it down alone; they are not counted above.
        least_built: the same as `least` with nothing out; equal to it where nothing is.
    """

    service: str
    least: int | None
    looked_at: int
    by: tuple[str, ...]
    ways: int
    ground: tuple[str, ...]
    least_built: int | None

    @property
    def less(self) -> bool:
        """Whether what is out now has taken some of it."""
        return self.least is not None and (self.least_built is None or self.least < self.least_built)


def lefts(
    standing: Standing, *, pairs: bool | None = None, progress: Callable[[int, int], None] | None = None
) -> tuple[Left, ...]:
    """For every service, in lab order.

    Args:
        standing: the lab, with what is out now.
        pairs: whether two parts at once are looked at; if nobody says, in a lab of up to `MOST_PARTS`.
        progress: called with how much of how much is done.
    """
    if pairs is None:
        pairs = len(standing.parts) <= MOST_PARTS
    now = _lefts(standing, pairs, progress)
    if not standing.out:
        return now
    built = {each.service: each.least for each in _lefts(Standing(standing.lab), pairs, progress)}
    return tuple(replace(each, least_built=built[each.service]) for each in now)


def _lefts(standing: Standing, pairs: bool, progress: Callable[[int, int], None] | None) -> tuple[Left, ...]:
    parts = standing.parts
    things = standing.support.things
    is_ground = np.array([things[part].word in GROUND for part in parts], dtype=np.bool_)
    falls = single_verdicts(standing, parts) >= Verdict.FALLS
    single = falls & ~is_ground
    services = standing.support.services
    down = [not standing.baseline.back(service) for service in services]
    asked = pairs and any(not down[row] and not single[row].any() for row in range(len(services)))
    both = _both(standing, progress) if asked else {}
    found = []
    for row, service in enumerate(services):
        least: int | None = None
        by: tuple[str, ...] = ()
        ways = 0
        if down[row]:
            least, ways = 0, 1
        elif single[row].any():
            least, by, ways = 1, (parts[int(single[row].argmax())],), int(single[row].sum())
        elif service in both:
            least, (by, ways) = 2, both[service]
        ground = () if down[row] else tuple(parts[at] for at in np.flatnonzero(falls[row] & is_ground))
        found.append(
            Left(
                service=service,
                least=least,
                looked_at=2 if pairs else 1,
                by=by,
                ways=ways,
                ground=ground,
                least_built=least,
            )
        )
    return tuple(found)


def _both(
    standing: Standing, progress: Callable[[int, int], None] | None
) -> dict[str, tuple[tuple[str, ...], int]]:
    """For each service one pair that only together brings it down or loses its data, and how many pairs do."""
    together = all_pairs(standing, progress=progress)
    known = together.found.classes
    things = standing.support.things
    # Parts that nobody can tell apart are one class; what is ground in it does not count.
    counts = np.zeros(len(known), dtype=np.int64)
    first = np.full(len(known), -1, dtype=np.int64)
    for leaf, number in enumerate(known.of_leaf.tolist()):
        if things[together.parts[leaf]].word not in GROUND:
            counts[number] += 1
            first[number] = leaf if first[number] < 0 else first[number]
    kept = [
        name
        for name in standing.support.keepings
        if name.startswith("kept:") and standing.baseline.kept(name)
    ]
    rows = {name: len(together.services) + at for at, name in enumerate(kept)}
    owned = data_of(standing)
    found: dict[str, tuple[tuple[str, ...], int]] = {}
    for number, service in enumerate(together.services):
        watched = [number, *(rows[name] for name in owned.get(service, ()) if name in rows)]
        does = np.flatnonzero(np.logical_or.reduce(together.found.effects[:, watched], axis=1))
        chosen = np.flatnonzero(np.isin(together.found.effect, does))
        a, b = together.found.class_a[chosen], together.found.class_b[chosen]
        ways = counts[a] * counts[b]
        if ways.any():
            at = int(np.flatnonzero(ways)[0])
            by = (together.parts[int(first[a[at]])], together.parts[int(first[b[at]])])
            found[service] = (by, int(ways.sum()))
    return found
