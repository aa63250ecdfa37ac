"""Does every measured time correct a figure that there is?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.model.entries import Tell
from falsework.model.parts import Thing
from falsework.model.timing import figure_of, timed_of, times_of

_SAY = {
    "takes_over": "say `takes over` too, where one copy serves and another takes over",
    "floats": "say which address `floats`, or time what it does instead",
}


def timing(firm: Sequence[Thing], tell: Tell) -> None:
    """Note measured times of what a thing does not do.

    Args:
        firm: things in which nothing was misread.
        tell: notes faults.
    """
    for thing in firm:
        timed = timed_of(thing)
        for attribute in times_of(timed) if timed is not None else ():
            if attribute == "floats" and getattr(thing, attribute) is not None:
                continue
            if figure_of(thing, attribute) is None:
                name = attribute.replace("_", " ")
                what = f"times of `{name}` were measured, and {thing.id} says nothing of it"
                tell.fault(thing, "timed", what, _SAY.get(attribute, f"say `{name}` too"))
