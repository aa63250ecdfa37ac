"""Does every measured time correct a figure that there is?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.model.entries import Tell
from falsework.model.parts import Thing
from falsework.model.services import Service
from falsework.model.timing import WORKED_OUT, timed_of, times_of, unsaid


def timing(firm: Sequence[Thing], tell: Tell) -> None:
    """Note measured times of what a thing does not do, and what is said to take no time at all.

    Args:
        firm: things in which nothing was misread.
        tell: notes faults.
    """
    for thing in firm:
        timed = timed_of(thing)
        for attribute in times_of(timed) if timed is not None else ():
            mend = unsaid(thing, attribute)
            if mend:
                name = attribute.replace("_", " ")
                what = f"times of `{name}` were measured, and {thing.id} says nothing of it"
                tell.fault(thing, "timed", what, mend)
        if isinstance(thing, Service) and _can_not_be_counted(thing):
            what = f"take-overs of {thing.id} were counted, and nothing can be made of how often it stumbles"
            tell.fault(
                thing, "stumbles", what, "give more than 0 and less than 100 %, and no range as wide as all"
            )
        for attribute in WORKED_OUT:
            if getattr(thing, attribute, None) == 0:
                what = f"{thing.id} {attribute.replace('_', ' ')} no time, it says"
                tell.fault(
                    thing, attribute, what, "give the time that it takes, such as 9 h, or leave it out"
                )


def _can_not_be_counted(service: Service) -> bool:
    """Whether take-overs were counted, and the share that they are to correct allows no belief; what is none is told elsewhere."""
    share = service.stumbles
    if service.stumbled is None or service.stumbled.corrected is not None or share is None:
        return False
    return 0 < share.low <= share.high <= 1
