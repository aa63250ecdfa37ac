"""Does a figure lie within what it can be, and how long may a chain of things be?"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from falsework import units
from falsework.model.entries import Tell
from falsework.model.parts import Thing
from falsework.units import Dimension

DEEPEST = 100
"""Things inside each other, or feeding each other: far more than any room has."""
ABOVE_0 = math.ulp(0.0)
"""The least of a figure that may be small but not nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """What a figure may be: beyond is a slip, or no machine.

    Attributes:
        says: what is wrong with one that is beyond, `{}` where its value goes.
        dimension: of the figure.
        least, most: in base units, both allowed.
        mend: what to do about it.
    """

    says: str
    dimension: Dimension
    least: float = ABOVE_0
    most: float = math.inf
    mend: str


def bounded(thing: Thing, bounds: Mapping[str, Bound], tell: Tell) -> None:
    """Note which figures of a thing are beyond their bounds; what it has not, or tells as a word, has none.

    Args:
        thing: whose figures they are.
        bounds: by attribute.
        tell: notes faults.
    """
    for attribute, bound in bounds.items():
        value = getattr(thing, attribute, None)
        if isinstance(value, int | float) and not bound.least <= value <= bound.most:
            says = bound.says.format(units.format(value, bound.dimension))
            tell.fault(thing, attribute, says, bound.mend)
