"""Which figures does noise hang on, and what is taken where the lab file gives none?"""

from __future__ import annotations

from collections.abc import Mapping
from math import inf

from falsework.model.defaults import ASSUMED
from falsework.support.figure import Figure


def _level(value: float, low: float, high: float, source: str = ASSUMED) -> Figure:
    """What one machine adds at one metre."""
    says = f"{value:.0f} dB at one metre"
    return Figure(key="noise", value=value, low=low, high=high, says=says, source=source)


FIGURES: Mapping[str, Figure] = {
    "enclosure": _level(55.0, 45.0, 65.0),
    "node": _level(40.0, 25.0, 55.0),
    "switch": _level(40.0, 0.0, 50.0, "assumed; one without fans makes none"),
    "ups": _level(40.0, 30.0, 50.0),
    "stands at": Figure(key="stands at", value=30.0, low=20.0, high=40.0, says="30 dB", source=ASSUMED),
    "heard from": Figure(key="heard from", value=2.0, low=4.0, high=1.0, says="2 m", source=ASSUMED),
    "absorbs": Figure(
        key="absorbs",
        value=inf,
        low=inf,
        high=5.0,
        says="no echo",
        source="assumed, on the quiet side; a small bare room swallows as much as 5 m2 of open window",
    ),
    "stayed in": Figure(
        key="stayed in",
        value=8.0,
        low=1.0,
        high=16.0,
        says="8 h a day",
        source="assumed; the day's work that both limits are told for",
    ),
}
"""By our own name for it: the word of a machine, else its key. Low is the end at which it is quieter, or shorter."""

ALL = tuple(FIGURES.values())

Figures = Mapping[str, float]
"""By the same names, what is taken where the lab file says nothing."""

TAKEN: Figures = {name: each.value for name, each in FIGURES.items()}
