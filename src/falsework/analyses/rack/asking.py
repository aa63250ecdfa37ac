"""What way is asked about, and is it one that something can be rolled on?"""

from __future__ import annotations

from falsework.analyses.rack.result import Way
from falsework.errors import QuestionError, shortened
from falsework.units import Dimension, asked

STEEPEST_DEG = 45.0
HIGHEST_M = 0.3


def way_of(ramp_deg: float | None, sill: str | None) -> Way | None:
    """The way that is asked about; None where nothing is.

    Args:
        ramp_deg: the angle of a ramp.
        sill: the height of a sill, with its unit.

    Raises:
        QuestionError: no ramp that anybody rolls a rack on, no sill, or no height.
    """
    if ramp_deg is None and sill is None:
        return None
    if ramp_deg is not None and not 0 <= ramp_deg <= STEEPEST_DEG:
        raise QuestionError(
            f"--ramp {ramp_deg:g} is no ramp", f"Give an angle from 0 to {STEEPEST_DEG:g} degrees, such as 6."
        )
    return Way(ramp_deg=ramp_deg or 0.0, sill_m=0.0 if sill is None else _height(sill))


def _height(sill: str) -> float:
    height = asked(sill, Dimension.LENGTH, by="--sill")
    if not 0 <= height <= HIGHEST_M:
        raise QuestionError(
            f"--sill {shortened(sill)!r} is no sill",
            f"Give a height from 0 to {HIGHEST_M * 1000:g} mm, such as '20 mm'.",
        )
    return height
