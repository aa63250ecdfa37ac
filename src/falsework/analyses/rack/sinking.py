"""How much lower would a rack's weight lie if the heaviest stood lowest?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.analyses.rack.result import Mounted, Sinks
from falsework.engines.mechanics import UNIT_M


def sinks(mounted: Sequence[Mounted], whole_kg: float) -> Sinks:
    """What is in a rack put in anew, without gaps from the bottom, the densest lowest.

    No order lies lower: of two neighbours, the one with more weight for its height is better below (swapping them
    changes the sum of mass x height by m1 h2 - m2 h1), and a gap only lifts. What shares units, from front and back
    or beside each other on a shelf, is kept together.

    Args:
        mounted: what is in it; what stands upright stays where it is.
        whole_kg: the weight of the rack with all that is in it.
    """
    groups = _together([each for each in mounted if not each.upright])
    groups.sort(key=lambda group: -sum(each.mass_kg for each in group) / _height(group))
    at, falls = 0.0, dict[str, float]()
    for group in groups:
        for each in group:
            falls[each.thing] = each.mass_kg * (_low(group) - at) * UNIT_M
        at += _height(group)
    down = sorted((name for name, moment in falls.items() if moment > 0), key=lambda name: -falls[name])
    return Sinks(by_m=max(sum(falls.values()) / whole_kg, 0.0), things=tuple(down))


def _together(mounted: Sequence[Mounted]) -> list[list[Mounted]]:
    """Groups of things that share units, from the bottom."""
    groups: list[list[Mounted]] = []
    for each in sorted(mounted, key=lambda each: each.at):
        if groups and each.at - 1 < _high(groups[-1]):
            groups[-1].append(each)
        else:
            groups.append([each])
    return groups


def _low(group: Sequence[Mounted]) -> float:
    return min(each.at for each in group) - 1


def _high(group: Sequence[Mounted]) -> float:
    return max(each.at - 1 + each.height for each in group)


def _height(group: Sequence[Mounted]) -> float:
    return _high(group) - _low(group)
