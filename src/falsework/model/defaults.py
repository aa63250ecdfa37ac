"""Which figures are assumed where the owner says nothing, and who says so?

Every figure here is a starting point, not knowledge of the owner's parts: each is listed as an assumption
wherever it was used, with the source named here. 'Common practice' means that the trade works with such
figures and no table was found; 'assumed' means that nobody but us says so.
"""

from __future__ import annotations

from dataclasses import dataclass

from falsework.units import Quantity

HOUR = 3600.0
DAY = 24 * HOUR


@dataclass(frozen=True, slots=True)
class Default:
    """One assumed figure: key, value in base units (or a word), and its source."""

    key: str
    value: Quantity | float | str | int
    source: str


FIELD_STUDY = (
    "Schroeder and Gibson (2007), FAST, abstract: yearly replacement of 2 to 4 % is common for drives"
)
PRACTICE = "common practice"
ASSUMED = "assumed"


def _rate(low: float, high: float) -> Quantity:
    """A yearly rate from percent."""
    return Quantity(low=low / 100, high=high / 100)


DEFAULTS: dict[str, tuple[Default, ...]] = {
    "outside": (
        Default("fails", Quantity(low=1.0, high=4.0), ASSUMED),
        Default("mends in", Quantity(low=HOUR / 2, high=4 * HOUR), ASSUMED),
    ),
    "room": (
        Default("fails", _rate(0.1, 1.0), ASSUMED),
        Default("mends in", Quantity(low=7 * DAY, high=30 * DAY), ASSUMED),
    ),
    "rack": (
        Default("fails", _rate(0.1, 0.5), ASSUMED),
        Default("mends in", Quantity(low=DAY, high=3 * DAY), ASSUMED),
    ),
    "circuit": (
        Default("fails", _rate(5, 20), PRACTICE),
        Default("mends in", Quantity(low=HOUR / 2, high=4 * HOUR), PRACTICE),
        Default(
            "volts", 230.0, "IEC 60038: 230 V is the standard low voltage; change it where yours differs"
        ),
    ),
    "ups": (
        Default("fails", _rate(5, 15), PRACTICE),
        Default("mends in", Quantity(low=2 * HOUR, high=3 * DAY), PRACTICE),
    ),
    "strip": (
        Default("fails", _rate(0.5, 2), PRACTICE),
        Default("mends in", Quantity(low=HOUR, high=2 * DAY), PRACTICE),
    ),
    "enclosure": (
        Default("fails", _rate(1, 4), ASSUMED),
        Default("mends in", Quantity(low=4 * HOUR, high=7 * DAY), ASSUMED),
    ),
    "node": (
        Default("fails", _rate(3, 10), PRACTICE),
        Default("mends in", Quantity(low=4 * HOUR, high=3 * DAY), PRACTICE),
        Default("power back", "as it was", PRACTICE),
        Default("wakes in", 180.0, ASSUMED),
        Default("stops in", 120.0, ASSUMED),
    ),
    "switch": (
        Default("fails", _rate(1, 4), PRACTICE),
        Default("mends in", Quantity(low=2 * HOUR, high=2 * DAY), PRACTICE),
        Default("power back", "on", PRACTICE),
        Default("wakes in", 90.0, ASSUMED),
    ),
    "supply": (
        Default("fails", _rate(1, 4), PRACTICE),
        Default("mends in", Quantity(low=HOUR, high=3 * DAY), PRACTICE),
    ),
    "card": (
        Default("fails", _rate(0.5, 2), PRACTICE),
        Default("mends in", Quantity(low=2 * HOUR, high=3 * DAY), PRACTICE),
    ),
    "controller": (
        Default("fails", _rate(1, 3), ASSUMED),
        Default("mends in", Quantity(low=4 * HOUR, high=7 * DAY), ASSUMED),
    ),
    "cable": (
        Default("fails", _rate(0.2, 1), PRACTICE),
        Default("mends in", Quantity(low=HOUR / 2, high=DAY), PRACTICE),
    ),
    "drive": (
        Default("fails", _rate(2, 4), FIELD_STUDY),
        Default("mends in", Quantity(low=2 * HOUR, high=2 * DAY), PRACTICE),
    ),
    "service": (
        Default("restarts in", 60.0, ASSUMED),
        Default("stops in", 60.0, ASSUMED),
        Default("stumbles", _rate(1, 5), ASSUMED),
        Default("breaks unseen", _rate(2, 20), ASSUMED),
        Default("drilled every", 365.25 * DAY, ASSUMED),
    ),
    "pool": (Default("restarts in", 180.0, ASSUMED),),
}
"""Assumed figures by the word of the thing."""
