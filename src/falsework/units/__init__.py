"""What do "24 GiB" and "2..5 %/year" stand for, and how is a quantity said to people?

Base units: byte, bit/s, second, watt, volt-ampere, volt, ampere, watt-hour, ampere-hour, kilogram, metre,
decibel, per year, fraction (of one), per bit, rack unit, byte/s (growth), degree Celsius.
A plain table does it, because a general units library takes longer to load than the rest of a check
(decision 0002); that library is the judge in the tests.
"""

from falsework.units.asking import asked
from falsework.units.reading import (
    Quantity,
    ThreePoint,
    UnitError,
    example,
    parse,
    parse_range,
    parse_three,
    pattern,
    units_of,
)
from falsework.units.saying import format, format_range, format_time
from falsework.units.scales import DAY_S, HOUR_S, MONTH_S, WEEK_S, YEAR_S, Dimension

__all__ = [
    "DAY_S",
    "HOUR_S",
    "MONTH_S",
    "WEEK_S",
    "YEAR_S",
    "Dimension",
    "Quantity",
    "ThreePoint",
    "UnitError",
    "asked",
    "example",
    "format",
    "format_range",
    "format_time",
    "parse",
    "parse_range",
    "parse_three",
    "pattern",
    "units_of",
]
