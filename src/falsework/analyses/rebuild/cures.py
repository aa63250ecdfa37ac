"""What would have to be different for things that never come back to come back?"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from falsework.analyses.rebuild.choosing import grown_with
from falsework.analyses.rebuild.destroyed import Ruin
from falsework.analyses.rebuild.knowing import readable
from falsework.analyses.rebuild.regrowing import Regrowing, Regrowth
from falsework.engines.founded.why_stuck import would_do
from falsework.model.parts import ThingId
from falsework.model.services import Data, Secret, Service

MOST_TRIED = 40
"""Services of which one more stand-in is tried, and data and keys of which a copy is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cure:
    """What would bring one thing back; any one of each does it.

    Attributes:
        stand_ins: services for which one more stand-in would do it.
        copies: data and keys of which a copy kept out of the lab would do it.
    """

    stand_ins: tuple[str, ...]
    copies: tuple[str, ...]


def cures(
    regrowing: Regrowing, ruin: Ruin, growth: Regrowth, stuck: Collection[int], saved: Collection[str]
) -> Mapping[int, Cure]:
    """For each item that never serves, even with all accepted stand-ins, what would help it.

    Args:
        regrowing: the lab.
        ruin: the loss.
        growth: what is down.
        stuck: the items.
        saved: what was saved beforehand.
    """
    if not stuck:
        return {}
    lab, names = regrowing.lab, growth.system.names
    services = [at for at in sorted(stuck) if isinstance(lab.things.get(ThingId(names[at])), Service)]
    services = services[:MOST_TRIED]
    for_all = would_do(growth.system, stuck, services)
    freed = _freed(regrowing, ruin, growth, saved)
    found = {}
    for at in stuck:
        helps = for_all or would_do(growth.system, (at,), services)
        found[at] = Cure(
            stand_ins=tuple(names[each] for each in helps),
            copies=tuple(name for name, there in freed.items() if names[at] in there),
        )
    return found


def _freed(
    regrowing: Regrowing, ruin: Ruin, growth: Regrowth, saved: Collection[str]
) -> Mapping[str, Collection[str]]:
    """By data set and key that is itself out of reach: what would serve if a copy of it had been kept."""
    there = grown_with(growth, growth.offers).serves
    kept = [
        thing.id
        for thing in (*regrowing.lab.of(Secret), *regrowing.lab.of(Data))
        if thing.id in growth.item and growth.item[thing.id] not in there and thing.id not in saved
    ]
    found: dict[str, Collection[str]] = {}
    for name in kept[:MOST_TRIED]:
        more = (*saved, name)
        wants = regrowing.knowing.wants(ruin, more)
        other = regrowing.regrowth(ruin, wants, readable(wants), saved=more)
        serves = grown_with(other, other.offers).serves
        found[name] = {each for each, at in other.item.items() if at in serves}
    return found
