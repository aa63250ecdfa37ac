"""What of a drawing is worth keeping until the next one of the same lab?"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar, cast

from falsework.support.standing import Standing

Made = TypeVar("Made")


def kept(standing: Standing, what: str, of: object, make: Callable[[], Made]) -> Made:
    """What was made last time, if it was of the same; else made now, and only that is kept.

    Args:
        standing: the lab; it holds what is kept.
        what: one word for each thing kept.
        of: what it hangs on besides the lab.
        make: makes it.
    """
    key = ("drawing", what)
    before = standing.asked.get(key)
    if isinstance(before, tuple) and before[0] == of:
        return cast("Made", before[1])
    made = make()
    standing.asked[key] = (of, made)
    return made
