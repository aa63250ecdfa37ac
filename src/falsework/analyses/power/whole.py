"""What do machines draw, who carries it, and for how long, at what surge, cost and heat?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from falsework.analyses.power.battery import batteries
from falsework.analyses.power.battery_result import Batteries
from falsework.analyses.power.energy import energy
from falsework.analyses.power.energy_result import Energy
from falsework.analyses.power.heat import heat
from falsework.analyses.power.heat_result import Heat
from falsework.analyses.power.inrush import inrush
from falsework.analyses.power.inrush_result import Inrush
from falsework.analyses.power.result import Feeds
from falsework.analyses.power.sheet import feeds
from falsework.support.standing import Standing
from falsework.support.taken import Taken


@dataclass(frozen=True, slots=True, kw_only=True)
class Power:
    """The power of a whole lab.

    Attributes:
        sheet: who carries how much.
        batteries: how long each lasts.
        inrush: what comes on together when power returns.
        heat: how much arises where.
        energy: how much is used in a year, and what it costs.
    """

    sheet: Feeds
    batteries: Batteries
    inrush: Inrush
    heat: Heat
    energy: Energy

    @property
    def bad(self) -> bool:
        """Whether anything is asked for too much."""
        return self.sheet.bad or self.batteries.bad or self.inrush.bad or self.heat.bad

    @property
    def taken(self) -> tuple[Taken, ...]:
        """Every figure that was taken where the owner gave none."""
        return (*self.sheet.taken, *self.batteries.taken, *self.inrush.taken, *self.heat.taken)


def power(standing: Standing, *, lose: Sequence[str] = ()) -> Power:
    """The power of a whole lab.

    Args:
        standing: the lab; parts out beforehand stay out.
        lose: parts, or words such as `strip` for all parts that are one; each is lost alone. Where none is said,
            all that power comes through.

    Raises:
        QuestionError: a name is no part and no word.
    """
    sheet = feeds(standing, lose=lose)
    return Power(
        sheet=sheet,
        batteries=batteries(standing, sheet),
        inrush=inrush(standing),
        heat=heat(standing),
        energy=energy(standing, sheet),
    )
