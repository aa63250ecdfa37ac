"""Which units are there, and what does each measure?

A month is 30.4375 days and a year 365.25 days, so that twelve months are a year.
"""

import enum
from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

HOUR_S = 3_600.0
DAY_S = 86_400.0
WEEK_S = 7 * DAY_S
MONTH_S = 30.4375 * DAY_S
YEAR_S = 365.25 * DAY_S


class Dimension(enum.Enum):
    """What a value measures; the text is how messages call it."""

    DATA = "an amount of data"
    SPEED = "a speed of data"
    TIME = "a time"
    POWER = "a power"
    APPARENT = "an apparent power"
    VOLTAGE = "a voltage"
    CURRENT = "a current"
    ENERGY = "an energy"
    CHARGE = "a battery charge"
    MASS = "a weight"
    LENGTH = "a length"
    AREA = "an area"
    LEVEL = "a sound level"
    RATE = "a rate of happening"
    SHARE = "a share"
    BIT_ERRORS = "a rate of read errors"
    RACK = "a height in rack units"
    GROWTH = "a growth of data"
    TEMPERATURE = "a temperature"
    NUMBER = "a plain number"


class Scale(NamedTuple):
    """What a unit measures, and how many base units it is."""

    dimension: Dimension
    factor: float


EXAMPLES: Mapping[Dimension, str] = MappingProxyType(
    {
        Dimension.DATA: "24 GiB",
        Dimension.SPEED: "1 Gb/s",
        Dimension.TIME: "18 min",
        Dimension.POWER: "65 W",
        Dimension.APPARENT: "1500 VA",
        Dimension.VOLTAGE: "230 V",
        Dimension.CURRENT: "16 A",
        Dimension.ENERGY: "1.2 kWh",
        Dimension.CHARGE: "9 Ah",
        Dimension.MASS: "24 kg",
        Dimension.LENGTH: "45 cm",
        Dimension.AREA: "12 m2",
        Dimension.LEVEL: "58 dB",
        Dimension.RATE: "4 %/year",
        Dimension.SHARE: "80 %",
        Dimension.BIT_ERRORS: "1e-14 /bit",
        Dimension.RACK: "2 U",
        Dimension.GROWTH: "1 GiB/day",
        Dimension.TEMPERATURE: "25 °C",
        Dimension.NUMBER: "12",
    }
)

TIMES: Mapping[str, float] = MappingProxyType(
    {
        "s": 1.0,
        "ms": 1e-3,
        "min": 60.0,
        "h": HOUR_S,
        "day": DAY_S,
        "days": DAY_S,
        "week": 7 * DAY_S,
        "weeks": 7 * DAY_S,
        "month": MONTH_S,
        "months": MONTH_S,
        "year": YEAR_S,
        "years": YEAR_S,
        "us": 1e-6,
        "second": 1.0,
        "seconds": 1.0,
        "sec": 1.0,
        "minute": 60.0,
        "minutes": 60.0,
        "hour": HOUR_S,
        "hours": HOUR_S,
        "d": DAY_S,
        "y": YEAR_S,
    }
)
_SPANS = ("year", "month", "week", "day", "h", "hour", "min", "s", "d", "y")
DECIMAL = (("k", 1e3), ("M", 1e6), ("G", 1e9), ("T", 1e12), ("P", 1e15), ("E", 1e18))
BINARY = (
    ("Ki", 2.0**10),
    ("Mi", 2.0**20),
    ("Gi", 2.0**30),
    ("Ti", 2.0**40),
    ("Pi", 2.0**50),
    ("Ei", 2.0**60),
)
ALSO: set[str] = {"us", "second", "seconds", "sec", "minute", "minutes", "hour", "hours", "d", "y"}


def _table() -> dict[str, Scale]:
    table: dict[str, Scale] = {}

    def add(dimension: Dimension, **units: float) -> None:
        table.update({name: Scale(dimension, factor) for name, factor in units.items()})

    prefixes = (("", 1.0), *DECIMAL, *BINARY)
    data = {f"{prefix}B": factor for prefix, factor in prefixes}
    add(Dimension.DATA, **data, byte=1.0, bytes=1.0)
    for prefix, factor in prefixes:
        table[f"{prefix}b/s"] = Scale(Dimension.SPEED, factor)
    for prefix, factor in prefixes:
        table[f"{prefix}B/s"] = Scale(Dimension.SPEED, factor * 8)
        for other in (f"{prefix}bit/s", f"{prefix}bps"):
            table[other] = Scale(Dimension.SPEED, factor)
            ALSO.add(other)
    add(Dimension.TIME, **TIMES)
    add(Dimension.POWER, W=1.0, kW=1e3, MW=1e6)
    # The international table unit: 1055.05585262 J (ISO 31-4), over an hour.
    table["BTU/h"] = Scale(Dimension.POWER, 1055.05585262 / HOUR_S)
    add(Dimension.APPARENT, VA=1.0, kVA=1e3)
    add(Dimension.VOLTAGE, V=1.0, mV=1e-3, kV=1e3)
    add(Dimension.CURRENT, A=1.0, mA=1e-3)
    add(Dimension.ENERGY, Wh=1.0, kWh=1e3, MWh=1e6, J=1 / HOUR_S, kJ=1e3 / HOUR_S, MJ=1e6 / HOUR_S)
    add(Dimension.CHARGE, Ah=1.0, mAh=1e-3)
    # Pound, inch and foot are exact by the international agreement of 1959.
    add(Dimension.MASS, kg=1.0, g=1e-3, t=1e3, lb=0.45359237)
    add(Dimension.LENGTH, m=1.0, cm=1e-2, mm=1e-3, km=1e3, inch=0.0254, ft=0.3048)
    add(Dimension.AREA, m2=1.0, ft2=0.3048**2)
    table["m²"] = table["m2"]
    ALSO.add("m²")
    add(Dimension.LEVEL, dB=1.0, dBA=1.0)
    table["dB(A)"] = Scale(Dimension.LEVEL, 1.0)
    for span in _SPANS:
        per_year = YEAR_S / TIMES[span]
        for share, factor in (("% ", 0.01), ("", 1.0)):
            for by in ("/", "per "):
                name = f"{share}{by}{span}".replace("% /", "%/")
                table[name] = Scale(Dimension.RATE, factor * per_year)
                if by == "per " or span in ("hour", "d", "y"):
                    ALSO.add(name)
    add(Dimension.SHARE, **{"%": 0.01})
    for unit, factor in (("bit", 1.0), ("byte", 1 / 8)):
        table[f"/{unit}"] = Scale(Dimension.BIT_ERRORS, factor)
        table[f"per {unit}"] = Scale(Dimension.BIT_ERRORS, factor)
        ALSO.add(f"per {unit}")
    add(Dimension.RACK, U=1.0)
    for name, factor in data.items():
        for span in _SPANS:
            # Data in a second is a speed; everything slower is growth.
            if span != "s":
                table[f"{name}/{span}"] = Scale(Dimension.GROWTH, factor / TIMES[span])
                if span in ("hour", "d", "y"):
                    ALSO.add(f"{name}/{span}")
    table["°C"] = table["degC"] = Scale(Dimension.TEMPERATURE, 1.0)
    ALSO.update({"degC", "byte", "bytes", "dBA", "dB(A)"})
    return table


UNITS: Mapping[str, Scale] = MappingProxyType(_table())
"""Every unit, by the text it is written with."""

STRANGE: Mapping[str, str] = MappingProxyType(
    {
        "KB": "Write kB (1000 bytes) or KiB (1024 bytes).",
        "K": "Write kB (1000 bytes) or KiB (1024 bytes).",
        "M": "Write MB (decimal) or MiB (binary); for a speed Mb/s.",
        "G": "Write GB (decimal) or GiB (binary); for a speed Gb/s.",
        "T": "Write TB (decimal) or TiB (binary).",
        "m": "Write min for minutes or months for months.",
        "in": "Write inch.",
    }
)
"""Units that are often written and could mean two things."""
