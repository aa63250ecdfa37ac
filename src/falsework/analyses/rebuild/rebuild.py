"""What can be made again from the rest, for every thing alone and for the whole lab?"""

from __future__ import annotations

from collections.abc import Callable, Collection, Hashable, Sequence
from dataclasses import replace

from falsework.analyses.rebuild.asking import Asking
from falsework.analyses.rebuild.destroyed import Ruin
from falsework.analyses.rebuild.result import Loss, Rebuild
from falsework.analyses.rebuild.teardown import teardown
from falsework.engines.uncollected import uncollected
from falsework.model.parts import Part, ThingId
from falsework.model.services import Copy, Data, Secret
from falsework.support.standing import Standing

_AT_ONCE = 256
"""Losses whose ruin is kept at the same time."""


@uncollected()
def rebuild(standing: Standing, *, progress: Callable[[int, int], None] | None = None) -> Rebuild:
    """Every thing alone, then the whole lab torn down.

    Args:
        standing: the lab; what is out beforehand stays out.
        progress: told how many things are done, of how many.

    Cost:
        One evaluation of the support graph for 64 things, then, for each class of things whose loss does the
        same, a growth of what is down.
    """
    asking = Asking(standing)
    names = asking.destroying.alone()
    found: dict[Hashable, Loss] = {}
    alike: dict[Hashable, list[str]] = {}
    for first in range(0, len(names), _AT_ONCE):
        some = names[first : first + _AT_ONCE]
        for name, ruin in zip(some, asking.destroying.ruins([(each,) for each in some]), strict=True):
            same = _shape(asking, name, ruin)
            if same in found:
                alike[same].append(name)
            else:
                found[same], alike[same] = asking.loss(ruin), []
        if progress is not None:
            progress(min(first + _AT_ONCE, len(names)), len(names))
    losses = [replace(loss, alike=tuple(alike[same])) for same, loss in found.items()]
    losses.sort(key=lambda loss: -loss.way.rank)
    return Rebuild(losses=tuple(losses), teardown=teardown(asking))


def _shape(asking: Asking, name: str, ruin: Ruin) -> Hashable:
    """What two losses that are the same but for names have in common.

    What is destroyed goes in by what it is, what falls besides and what is touched of data and keys by name:
    so two machines of one kind are alike where the same things fall with them, whatever feeds them.
    """
    lab, things = asking.lab, asking.standing.support.things
    own = {each for each in ruin.destroyed if isinstance(lab.things.get(ThingId(each)), Part | Copy)}
    if isinstance(lab.things[ThingId(name)], Data) or not own:
        return name
    kinds: dict[Hashable, int] = {}
    for each in own:
        thing = lab.things[ThingId(each)]
        part = thing if isinstance(thing, Part) else None
        kind = (
            thing.IS,
            thing.kind_name,
            thing.service if isinstance(thing, Copy) else "",
            thing.pool if isinstance(thing, Copy) else "",
            part.mends_in if part else None,
            (part.weighs or 0.0) if part else 0.0,
            asking.said(thing.needs),
            asking.said(thing.raising),
        )
        kinds[kind] = kinds.get(kind, 0) + 1
    fallen = frozenset(
        each for each in ruin.down if each not in own and (each in lab.things or things[each].word != "share")
    )
    touched = frozenset(
        (bit.id, _holds_less(bit, places, ruin, own))
        for bit, places in (asking.holders[each] for each in asking.knowing.touched(ruin))
        if any(not ruin.survives(place) for place in places)
    )
    stays = frozenset(each for each in ruin.destroyed if each not in own)
    return frozenset(kinds.items()), fallen, touched, stays


def _holds_less(
    bit: Data | Secret, places: Sequence[str], ruin: Ruin, own: Collection[str]
) -> tuple[tuple[int, str], ...]:
    """Which places of data or of a key are gone; those that hold the same at the same time are as good as each other."""
    same = len(places)
    if isinstance(bit, Data):
        same = 0 if bit.behind is not None or bit.in_ is None else len(bit.in_.ids)
    return tuple(
        sorted(
            (0 if at < same else at, "" if place in own else place)
            for at, place in enumerate(places)
            if not ruin.survives(place)
        )
    )
