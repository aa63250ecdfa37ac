"""Which figures does noise hang on, and what is taken where the lab file gives none?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A figure that may be missing.

    Attributes:
        name: our own, of the figure.
        key: of the lab file that would say it.
        value, low, high: what is taken, and what is usual; None where nothing is counted.
        says: the value as people say it.
        source: who says so.
    """

    name: str
    key: str
    value: float | None
    low: float | None
    high: float | None
    says: str
    source: str


ALL: tuple[Figure, ...] = (
    Figure(
        name="enclosure",
        key="noise",
        value=55.0,
        low=45.0,
        high=65.0,
        says="55 dB at one metre",
        source="assumed",
    ),
    Figure(
        name="node", key="noise", value=40.0, low=25.0, high=55.0, says="40 dB at one metre", source="assumed"
    ),
    Figure(
        name="switch",
        key="noise",
        value=40.0,
        low=0.0,
        high=50.0,
        says="40 dB at one metre",
        source="assumed; one without fans makes none",
    ),
    Figure(
        name="ups", key="noise", value=40.0, low=30.0, high=50.0, says="40 dB at one metre", source="assumed"
    ),
    Figure(
        name="stands at", key="stands at", value=30.0, low=20.0, high=40.0, says="30 dB", source="assumed"
    ),
    Figure(name="heard from", key="heard from", value=2.0, low=4.0, high=1.0, says="2 m", source="assumed"),
    Figure(
        name="absorbs",
        key="absorbs",
        value=None,
        low=None,
        high=5.0,
        says="no echo",
        source="assumed, on the quiet side; a small bare room swallows as much as 5 m2 of open window",
    ),
    Figure(
        name="stayed in",
        key="stayed in",
        value=8.0,
        low=1.0,
        high=16.0,
        says="8 h a day",
        source="assumed; the day's work that both limits are told for",
    ),
)
"""Every figure; low is the end at which it is quieter, or shorter."""

TAKEN: Mapping[str, float | None] = {each.name: each.value for each in ALL}
