"""How is a figure said in JSON, which knows no number without end and no guess?"""

from __future__ import annotations

import math

from falsework.units import ThreePoint


def finite(value: float | None) -> float | None:
    """A number, or null where there is none, it has no end or is not one."""
    return float(value) if value is not None and math.isfinite(value) else None


def guess(three: ThreePoint) -> dict[str, float]:
    """A guess, in seconds."""
    return {"low_s": three.low, "likely_s": three.likely, "high_s": three.high}
