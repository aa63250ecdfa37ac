"""Which losses do more together than each alone, so that an aim on several at once promises something more?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import comb

from falsework.analyses.drilling.scene import Lost, Scene

MOST_SETS = 3_000
"""Sets of several parts that one aim may promise about and that are looked at."""

MOST_NAMES = 3_000
"""Things that one aim about several at once may name for its sets to be looked at."""


def together(
    scene: Scene, names: Sequence[str], about: Sequence[str], at_once: int
) -> tuple[list[Lost], int]:
    """Sets of several candidates that meet where the aim looks, and how many more there are than are looked at.

    Two losses meet where both take something from the same lean, pool, network or source of power (there a spare that
    bears both is tried), and where the engine can't say that they do no more together than each alone
    (`Standing.company`). A set is looked at if each of it meets another of it. Of more than `MOST_NAMES` candidates
    none is looked at.
    """
    if len(names) > MOST_NAMES:
        return [], comb(len(names), at_once)
    cone = scene.cone(about)
    meets: dict[object, list[str]] = {}
    for tried in scene.tried([(name,) for name in names]):
        for place in {(way.thing, way.number) for way in tried.ways if way.thing in cone}:
            meets.setdefault(place, []).append(tried.lost[0])
    beside: dict[str, dict[str, None]] = {}
    for some in meets.values():
        for one in some:
            beside.setdefault(one, {}).update(dict.fromkeys(some))
    shared = {name: frozenset(near) for name, near in beside.items()}
    order = {name: number for number, name in enumerate(names)}
    for name in names:
        also = (each for each in scene.standing.company((name,)) if each in order)
        beside.setdefault(name, {}).update(dict.fromkeys(also))
    found: dict[Lost, None] = {}
    left = 0
    grown: list[Lost] = [(name,) for name in names]
    for _ in range(at_once - 1):
        more: dict[Lost, None] = {}
        for lost in grown:
            near = {each: None for name in lost for each in beside.get(name, ())}
            if len(lost) > 1:
                near.update((each, None) for each in scene.standing.company(lost) if each in order)
            for part in near:
                each = tuple(sorted((*lost, part), key=order.__getitem__))
                if part in lost or each in found or each in more:
                    continue
                if len(found) + len(more) < MOST_SETS:
                    more[each] = None
                else:
                    left += 1
        found.update(more)
        grown = list(more)
    scene.tried(list(found))
    return [lost for lost in found if _meet(shared, lost) or _more(scene, lost, about)], left


def _meet(shared: Mapping[str, frozenset[str]], lost: Lost) -> bool:
    """Whether each takes something from where another does."""
    return all(any(other in shared.get(one, ()) for other in lost if other != one) for one in lost)


def _more(scene: Scene, lost: Lost, about: Sequence[str]) -> bool:
    """Whether all together do something to what the aim is about that none does alone."""
    both, *alone = scene.tried([lost, *((name,) for name in lost)])
    return any(
        all(both.effects.get(name) != one.effects.get(name) for one in alone) for name in about
    ) or bool(both.gone.difference(*(one.gone for one in alone)))
