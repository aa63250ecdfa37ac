"""Which losses do more together than each alone, so that an aim on several at once promises something more?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.analyses.drilling.scene import Lost, Scene

MOST_SETS = 3_000
"""Sets of several parts that one aim may promise about and that are looked at."""


def together(
    scene: Scene, names: Sequence[str], about: Sequence[str], at_once: int
) -> tuple[list[Lost], int]:
    """Sets of several candidates that meet where the aim looks, and how many more there are than are looked at.

    Two losses meet where both take something from the same lean, pool, network or source of power: elsewhere they do
    together what each does alone. A set is looked at if each of it meets another of it.
    """
    cone = scene.cone(about)
    meets: dict[object, list[str]] = {}
    for tried in scene.tried([(name,) for name in names]):
        for place in {(way.thing, way.number) for way in tried.ways if way.thing in cone}:
            meets.setdefault(place, []).append(tried.lost[0])
    beside: dict[str, dict[str, None]] = {}
    for some in meets.values():
        for one in some:
            beside.setdefault(one, {}).update(dict.fromkeys(some))
    order = {name: number for number, name in enumerate(names)}
    found: dict[Lost, None] = {}
    left = 0
    grown: list[Lost] = [(name,) for name in names]
    for _ in range(at_once - 1):
        more: dict[Lost, None] = {}
        for lost in grown:
            for part in dict.fromkeys(each for name in lost for each in beside.get(name, ())):
                each = tuple(sorted((*lost, part), key=order.__getitem__))
                if part in lost or each in found or each in more:
                    continue
                if len(found) + len(more) < MOST_SETS:
                    more[each] = None
                else:
                    left += 1
        found.update(more)
        grown = list(more)
    return list(found), left
