"""Does every measured time correct a figure that there is?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.model.entries import Tell
from falsework.model.parts import Thing
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
        for attribute in WORKED_OUT:
            if getattr(thing, attribute, None) == 0:
                what = f"{thing.id} {attribute.replace('_', ' ')} no time, it says"
                tell.fault(
                    thing, attribute, what, "give the time that it takes, such as 9 h, or leave it out"
                )
