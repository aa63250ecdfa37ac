"""Where on a sheet is each thing drawn?"""

from __future__ import annotations

from dataclasses import dataclass, field

from falsework.support.graph import SupportGraph

TALL = 28.0
"""What is taller than this bears its name in its middle."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """The box that a thing fills, px."""

    x: float
    y: float
    width: float
    height: float

    def near(self, x: float, *, edge: float = 6.0) -> tuple[float, float]:
        """The point within it that lies nearest under or over `x`: in its middle, of what is tall at the top, off its name."""
        edge = min(edge, self.width / 2)
        down = self.height / 2 if self.height <= TALL else 3.0
        return min(max(x, self.x + edge), self.x + self.width - edge), self.y + down


@dataclass(slots=True)
class Spots:
    """What is gathered while a sheet is drawn.

    Attributes:
        found: the boxes by thing; of one drawn more than once the first counts.
        groups: what each group of the sheet stands for, once where it is drawn more than once.
    """

    found: dict[str, Spot] = field(default_factory=dict)
    groups: dict[tuple[str, ...], None] = field(default_factory=dict)

    def of(self, name: str, support: SupportGraph) -> Spot | None:
        """The box of a thing; of one that has none of its own (a card, a share) that of the machine it is in."""
        if name in self.found:
            return self.found[name]
        thing = support.things.get(name)
        leans = [each for lean in thing.leans for each in lean.on] if thing is not None else []
        within = [*(thing.places if thing is not None else ()), *leans]
        return next((self.found[each] for each in within if each in self.found), None)
