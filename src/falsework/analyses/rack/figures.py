"""Which figures of racks and of what is in them are taken where the owner gives none?"""

from __future__ import annotations

from collections.abc import Mapping
from copy import copy
from typing import Literal

from falsework import units
from falsework.model.defaults import ASSUMED, PRACTICE
from falsework.model.lab import Lab
from falsework.model.parts import Enclosure, Part, Rack, Strip, ThingId
from falsework.support.figure import Figure
from falsework.units import Dimension

End = Literal["low", "value", "high"]


_MASS, _RACK, _LENGTH = Dimension.MASS, Dimension.RACK, Dimension.LENGTH
FIGURES: Mapping[tuple[str, str], Figure] = {
    (word, key): Figure(
        key=key, value=value, low=low, high=high, says=units.format(value, dimension), source=source
    )
    for (word, key), (low, value, high, dimension, source) in {
        ("node", "weighs"): (5.0, 12.0, 20.0, _MASS, ASSUMED),
        ("enclosure", "weighs"): (12.0, 22.0, 40.0, _MASS, ASSUMED),
        ("switch", "weighs"): (1.5, 4.0, 7.0, _MASS, ASSUMED),
        ("ups", "weighs"): (12.0, 25.0, 45.0, _MASS, ASSUMED),
        ("strip", "weighs"): (0.5, 1.5, 4.0, _MASS, ASSUMED),
        ("circuit", "weighs"): (1.0, 3.0, 8.0, _MASS, ASSUMED),
        ("node", "height"): (1.0, 1.0, 4.0, _RACK, ASSUMED),
        ("enclosure", "height"): (1.0, 2.0, 4.0, _RACK, ASSUMED),
        ("switch", "height"): (1.0, 1.0, 1.0, _RACK, PRACTICE),
        ("ups", "height"): (2.0, 2.0, 3.0, _RACK, ASSUMED),
        ("circuit", "height"): (1.0, 1.0, 2.0, _RACK, ASSUMED),
        ("node", "depth"): (0.4, 0.65, 0.8, _LENGTH, ASSUMED),
        ("enclosure", "depth"): (0.5, 0.7, 0.85, _LENGTH, ASSUMED),
        ("switch", "depth"): (0.2, 0.3, 0.5, _LENGTH, ASSUMED),
        ("ups", "depth"): (0.45, 0.6, 0.75, _LENGTH, ASSUMED),
        ("strip", "depth"): (0.05, 0.06, 0.1, _LENGTH, ASSUMED),
        ("circuit", "depth"): (0.1, 0.2, 0.4, _LENGTH, ASSUMED),
        ("rack", "units"): (42.0, 42.0, 42.0, _RACK, PRACTICE),
        ("rack", "weighs"): (30.0, 70.0, 130.0, _MASS, ASSUMED),
        ("rack", "width"): (0.55, 0.6, 0.8, _LENGTH, PRACTICE),
        ("rack", "depth"): (0.6, 0.8, 1.2, _LENGTH, PRACTICE),
        ("rack", "foot"): (0.05, 0.1, 0.15, _LENGTH, ASSUMED),
    }.items()
}
"""By word and key. The height of an empty rack's centre is reckoned: the middle between floor and top."""


class Said:
    """What the owner says, or what is taken for it.

    Args:
        lab: the lab.

    Attributes:
        missing: by word and key the things for which a figure was taken, filled as they are asked for.
    """

    def __init__(self, lab: Lab) -> None:
        self.lab = lab
        self.moved: tuple[str, str] | None = None
        self.end: End = "value"
        self.missing: dict[tuple[str, str], dict[str, None]] = {}
        self._inside: dict[str, list[Part]] = {}
        for part in lab.of(Part):
            if part.in_ is not None and part.in_.ids:
                self._inside.setdefault(part.in_.ids[0], []).append(part)

    def anew(self) -> Said:
        """The same, with nothing asked for yet."""
        other = copy(self)
        other.missing = {}
        return other

    def moving(self, moved: tuple[str, str], end: End) -> Said:
        """The same lab with the figure of a word and key taken at one end of what is usual."""
        other = copy(self)
        other.moved, other.end, other.missing = moved, end, {}
        return other

    def of(self, part: Part, key: str) -> float:
        """A figure of a part in base units: `weighs`, `height`, `depth`, and of a rack also `units`, `width`, `foot`."""
        value = getattr(part, key)
        if value is not None:
            return float(value)
        if key == "height" and isinstance(part, Strip):
            return 0.0
        return self._taken(part, key)

    def mass(self, part: Part) -> float:
        """Its weight with all that is in it.

        What an enclosure or node weighs is the whole box; where it says nothing, what is in it and says its weight
        counts on top of what such a box is taken to weigh.
        """
        if part.weighs is not None:
            return part.weighs
        inside = sum(each.weighs or 0.0 for each in self._inside.get(part.id, ()))
        if isinstance(part, Enclosure) and inside:
            return inside
        return self._taken(part, "weighs") + inside

    def _taken(self, part: Part, key: str) -> float:
        figure = FIGURES[part.IS, key]
        self.missing.setdefault((part.IS, key), {})[part.id] = None
        return float(getattr(figure, self.end if self.moved == (part.IS, key) else "value"))

    def centre(self, rack: Rack, top_m: float) -> float:
        """The height of an empty rack's centre of gravity."""
        return rack.centre if rack.centre is not None else top_m / 2

    def inside(self, name: ThingId) -> tuple[Part, ...]:
        """What says that it is in this, in lab order."""
        return tuple(self._inside.get(name, ()))
