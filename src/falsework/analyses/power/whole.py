"""What do machines draw, who carries it, and for how long, at what surge, cost and heat?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from falsework.analyses.power.result import Feeds
from falsework.analyses.power.sheet import feeds
from falsework.support.standing import Standing
from falsework.support.taken import Taken


@dataclass(frozen=True, slots=True, kw_only=True)
class Power:
    """The power of a whole lab.

    Attributes:
        sheet: who carries how much.
    """

    sheet: Feeds

    @property
    def bad(self) -> bool:
        """Whether anything is asked for too much."""
        return self.sheet.bad

    @property
    def taken(self) -> tuple[Taken, ...]:
        """Every figure that was taken where the owner gave none."""
        return self.sheet.taken


def power(standing: Standing, *, lose: Sequence[str] = ()) -> Power:
    """The power of a whole lab.

    Args:
        standing: the lab; parts out beforehand stay out.
        lose: parts, or words such as `strip` for all parts that are one; each is lost alone. Where none is said,
            all that power comes through.

    Raises:
        QuestionError: a name is no part and no word.
    """
    return Power(sheet=feeds(standing, lose=lose))
