"""How is a quantity in base units said to people?"""

import math

from falsework.units.reading import Quantity
from falsework.units.scales import BINARY, DAY_S, DECIMAL, HOUR_S, MONTH_S, YEAR_S, Dimension


def format(value: float, dimension: Dimension) -> str:
    """Return a value as people say it, to about three figures: "40 s", "1 h 30 min", "2.0 TB", "610 W".

    Data is said in binary units when it is a whole number of them, as memory is, else in decimal ones.
    What is without end is said as "never" for a time and "no limit" else.

    Args:
        value: in base units; not NaN.
        dimension: what it measures.

    Returns:
        Text that `parse` takes, unless the value is infinite.
    """
    if math.isnan(value):
        raise ValueError("NaN is not a quantity")
    if math.isinf(value):
        return "never" if dimension is Dimension.TIME else "no limit"
    if value < 0:
        return f"-{format(-value, dimension)}"
    if dimension is Dimension.TIME:
        return _time(value)
    if dimension is Dimension.DATA:
        return _data(value)
    if dimension is Dimension.GROWTH:
        return f"{_data(value * DAY_S)}/day"
    if dimension is Dimension.RATE:
        return f"{_figures(value * 100)} %/year" if value < 1 else f"{_figures(value)} /year"
    if dimension is Dimension.SHARE:
        return f"{_figures(value * 100)} %"
    if dimension is Dimension.NUMBER:
        return _figures(value, 12)
    if dimension in _STEPS:
        rounded = _rounded(value)
        steps = _STEPS[dimension]
        unit, factor, _ = next((step for step in steps if rounded >= step[2]), steps[-1])
        return f"{_figures(rounded / factor)} {unit}"
    return f"{_figures(value)} {_PLAIN[dimension]}"


def format_range(quantity: Quantity, dimension: Dimension) -> str:
    """Return a range as people write it, "2..5 %/year"; where the unit differs, "90 s to 2 min"."""
    low, high = format(quantity.low, dimension), format(quantity.high, dimension)
    if low == high:
        return low
    number, _, unit = low.partition(" ")
    other, _, same = high.partition(" ")
    if unit == same and " " not in unit.replace("per ", ""):
        return f"{number}..{other} {unit}".strip()
    return f"{low} to {high}"


# Unit, its factor, and the value from which it is used; the last serves for all that is smaller.
_STEPS: dict[Dimension, tuple[tuple[str, float, float], ...]] = {
    Dimension.SPEED: (
        *((f"{prefix}b/s", factor, factor) for prefix, factor in reversed(DECIMAL)),
        ("b/s", 1.0, 0),
    ),
    Dimension.POWER: (("MW", 1e6, 1e6), ("kW", 1e3, 1e4), ("W", 1.0, 0)),
    Dimension.APPARENT: (("kVA", 1e3, 1e4), ("VA", 1.0, 0)),
    Dimension.VOLTAGE: (("kV", 1e3, 1e4), ("V", 1.0, 0)),
    Dimension.ENERGY: (("MWh", 1e6, 1e6), ("kWh", 1e3, 1e3), ("Wh", 1.0, 0)),
    Dimension.MASS: (("kg", 1.0, 1.0), ("g", 1e-3, 0)),
    Dimension.LENGTH: (("m", 1.0, 1.0), ("mm", 1e-3, 0)),
}
_PLAIN = {
    Dimension.CURRENT: "A",
    Dimension.CHARGE: "Ah",
    Dimension.LEVEL: "dB",
    Dimension.AREA: "m2",
    Dimension.BIT_ERRORS: "/bit",
    Dimension.RACK: "U",
    Dimension.TEMPERATURE: "°C",
}
_LONG_TIMES = (("years", YEAR_S, 2.0), ("months", MONTH_S, 3.0))
_TIME_STEPS = (("days", "h", DAY_S, HOUR_S, 24), ("h", "min", HOUR_S, 60.0, 60), ("min", "s", 60.0, 1.0, 60))


def _rounded(value: float) -> float:
    return float(f"{value:.3g}")


def _figures(value: float, figures: int = 3) -> str:
    """Return a number to so many figures, whole ones in full, very small ones with an exponent."""
    rounded = float(f"{value:.{figures}g}")
    if rounded and not 1e-4 <= rounded < 1e15:
        return f"{rounded:.{figures}g}".replace("e+", "e")
    if rounded == int(rounded):
        return str(int(rounded))
    return f"{rounded:.{figures + 4}f}".rstrip("0") if rounded < 1 else f"{rounded:.{figures}g}"


def _data(size_bytes: float) -> str:
    for prefix, factor in reversed(BINARY[1:]):
        count = size_bytes / factor
        if count >= 1 and count == int(count) and count < 4096:
            return f"{int(count)} {prefix}B"
    rounded = _rounded(size_bytes)
    for prefix, factor in reversed(DECIMAL):
        if rounded >= factor:
            count = _rounded(rounded / factor)
            return f"{count:.1f} {prefix}B" if count < 10 and count * 10 % 1 == 0 else f"{count:g} {prefix}B"
    return f"{_figures(size_bytes)} B"


def _time(seconds: float) -> str:
    for unit, length, least in _LONG_TIMES:
        if _rounded(seconds / length) >= least:
            return f"{_figures(seconds / length)} {unit}"
    millis = _rounded(seconds * 1e3)
    if 0 < millis < 1e3:
        return f"{_figures(millis)} ms"
    if seconds < 10 and round(seconds, 1) < 10:
        return f"{round(seconds, 1):g} s"
    for large, small, size, step, most in _TIME_STEPS:
        steps = round(seconds / step)
        if steps >= most:
            whole, rest = divmod(steps, most)
            name = "day" if large == "days" and whole == 1 else large
            # Beyond ten of the larger unit nobody counts the smaller one.
            if whole >= 10:
                whole, rest = round(seconds / size), 0
                if whole >= most and size < DAY_S:
                    continue
            return f"{whole} {name} {rest} {small}" if rest else f"{whole} {name}"
    return f"{round(seconds)} s"


def format_time(seconds: float) -> str:
    """A time as people say it, such as `1 h 30 min`."""
    return format(seconds, Dimension.TIME)
