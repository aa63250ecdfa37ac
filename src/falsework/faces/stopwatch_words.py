"""How is said how a probe stands, and for how long?"""

from __future__ import annotations

import math

from falsework import units
from falsework.record.seen import Told
from falsework.units import Dimension

WORDS = {Told.YES: "well", Told.NO: "not well", Told.SILENT: "silent", Told.UNKNOWN: "unknown"}


def spell(seconds: float) -> str:
    """A time that goes on, without flicker in its last figures: `0.4 s`, `12 s`, `3 min 12 s`."""
    at_least_none = max(seconds, 0.0)
    if at_least_none < 10:
        return f"{at_least_none:.1f} s"
    return units.format(float(int(at_least_none)), Dimension.TIME)


def usual(seconds: float) -> str:
    """How long a good answer usually takes; empty where none came."""
    if math.isnan(seconds):
        return ""
    # Less than that is the machine's own noise, and would flicker.
    return units.format(float(f"{seconds:.1g}"), Dimension.TIME) if seconds >= 0.001 else "under 1 ms"
