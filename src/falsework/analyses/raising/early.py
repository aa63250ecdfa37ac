"""What is made, and can't stand before something that can only come after it?

Of two things that need each other every moment one is made first; what does without for a while, its hold, may be
made before what can only come after it. Neither is a fault of the order.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from falsework.analyses.raising.result import Moment
from falsework.engines.ways import shortest_way
from falsework.model.parts import ThingId
from falsework.model.services import Copy
from falsework.support.graph import Phase
from falsework.support.standing import Standing


def early(standing: Standing, moment: Moment, lacks: Collection[str]) -> frozenset[str]:
    """Of things that are made and do not stand, those that could not stand yet.

    Args:
        standing: the finished lab.
        moment: of its build.
        lacks: what is made by then, stands in the finished lab and does not stand.
    """
    found: set[str] = set()
    more = True
    while more:
        fresh = {name for name in lacks if name not in found and _waits(standing, moment, lacks, name, found)}
        more = bool(fresh)
        found |= fresh
    return frozenset(found)


def _waits(
    standing: Standing, moment: Moment, lacks: Collection[str], name: str, found: Collection[str]
) -> bool:
    """Whether some need of every moment lacks just what comes later, or what waits for such."""
    thing = standing.support.things.get(name)
    for lean in thing.leans if thing is not None else ():
        if Phase.RUN not in lean.phases or "later" not in lean.times:
            continue
        there = [each for each in lean.on if _is_there(moment, each) and each not in lacks]
        later = [
            each
            for each in lean.on
            if each in found or (not _is_there(moment, each) and _comes_after(standing, each, name))
        ]
        if len(there) < lean.enough <= len(there) + len(later):
            return True
    return False


def _is_there(moment: Moment, name: str) -> bool:
    return name in moment.built or moment.serving.get(name, name) in moment.lent


def _comes_after(standing: Standing, name: str, other: str) -> bool:
    """Whether a thing needs another, over whatever way, to be made, to start or to serve."""

    def steps(at: str) -> Iterator[str]:
        thing = standing.support.things.get(at)
        for lean in thing.leans if thing is not None else ():
            if "later" in lean.times:
                yield from lean.on
        own = standing.lab.things.get(ThingId(at))
        maker = standing.lab.things[ThingId(own.service)] if isinstance(own, Copy) else own
        for need in maker.needs.to_build if maker is not None and maker.needs is not None else ():
            yield from need.of.ids

    return bool(shortest_way(name, steps, lambda each: each == other))
