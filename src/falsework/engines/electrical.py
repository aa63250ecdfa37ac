"""How do volts, amperes, watts and volt-amperes hang together, and what does a supply lose on the way?"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from types import MappingProxyType

CONTINUOUS_SHARE = 0.8
"""Of a breaker's rating, for a load of three hours or more: it must be rated for 125 % of such a load.

Source: NEC 210.20(A), as quoted in public notes. Codes elsewhere differ.
"""

BTU_H_PER_W = 3.412142
"""1 W in British thermal units an hour."""

TON_BTU_H = 12_000.0
"""A ton of cooling, BTU/h; 3.517 kW. Source: from memory of the definition."""

COUPLER_A: Mapping[str, float] = MappingProxyType({"C13": 10.0, "C14": 10.0, "C19": 16.0, "C20": 16.0})
"""What mains couplers are rated for at 250 V, A; C13 and C19 are on the cord, the others on the machine. Source: IEC 60320-1, as quoted in public notes; marks in North
America differ (15 A and 20 A)."""

HOURS_A_YEAR = 8_760.0
"""365 days; what meters and tariffs reckon with."""

Curve = tuple[tuple[float, float], ...]
"""Share of the rated load and efficiency there, by rising load."""

LEVELS: Mapping[str, Curve] = MappingProxyType(
    {
        "plain": ((0.2, 0.80), (0.5, 0.80), (1.0, 0.80)),
        "bronze": ((0.2, 0.82), (0.5, 0.85), (1.0, 0.82)),
        "silver": ((0.2, 0.85), (0.5, 0.88), (1.0, 0.85)),
        "gold": ((0.2, 0.87), (0.5, 0.90), (1.0, 0.87)),
        "platinum": ((0.2, 0.90), (0.5, 0.92), (1.0, 0.89)),
        "titanium": ((0.1, 0.90), (0.2, 0.92), (0.5, 0.94), (1.0, 0.90)),
    }
)
"""The least efficiency that a certified supply has at 20, 50 and 100 % of its load (the highest level at 10 % too).

Source: the published certification levels at 115 V, internal supplies, as quoted in a public encyclopaedia's table.
At 230 V the levels ask for a little more; that is not counted.
"""


def apparent_va(watts: float, power_factor: float) -> float:
    """The apparent power of a load, VA: S = P / PF."""
    return watts / power_factor


def amperes(volt_amperes: float, volts: float) -> float:
    """The current of a load on one phase, A: I = S / U."""
    return volt_amperes / volts


def lasting_limit(rating: float) -> float:
    """The most that a load of three hours or more may take of a breaker: in A of its rating, or in W of that at its voltage.

    Source:
        NEC 210.20(A), as quoted in public notes: rated for no less than 125 % of the continuous load.
    """
    return rating * CONTINUOUS_SHARE


def btu_per_hour(watts: float) -> float:
    """Heat in BTU/h: 3.412142 for each watt."""
    return watts * BTU_H_PER_W


def kwh_a_year(watts: float) -> float:
    """The energy of a load that never changes, kWh a year of 8,760 hours: 100 W are 876 kWh."""
    return watts * HOURS_A_YEAR / 1000.0


def efficiency_at(curve: Curve, share: float) -> float:
    """The efficiency at a share of the rated load, 0 to 1.

    Linear between the points of the curve and level outside them. Below 10 or 20 % of its load a real supply does
    worse than that: levels say nothing there.
    """
    (x0, y0), *rest = curve
    if share <= x0:
        return y0
    for x1, y1 in rest:
        if share <= x1:
            return y0 + (y1 - y0) * (share - x0) / (x1 - x0)
        x0, y0 = x1, y1
    return y0


def output_w(taken: float, rated: float, curve: Curve) -> float:
    """What a supply gives when it takes so much at its plug, W; the difference becomes heat in it.

    The solution of x = taken * efficiency(x / rated). Since an efficiency changes slower than the load itself,
    there is one, and halving finds it.

    Args:
        taken: at the plug, W.
        rated: what it is built to give, W.
        curve: of its efficiency.
    """
    low, high = 0.0, taken
    for _ in range(60):
        middle = (low + high) / 2
        if middle < taken * efficiency_at(curve, middle / rated):
            low = middle
        else:
            high = middle
    return (low + high) / 2


def rating_at(ratings: Sequence[tuple[float | None, float]], volts: float | None) -> float | None:
    """What a supply may give at a voltage, W: by the nearest voltage at or below, for which it is told.

    Args:
        ratings: pairs of volts and watts; volts are None where it is the same at all of them.
        volts: at its plug; where that is not known, the least that is told counts.

    Returns:
        None where nothing is told for so low a voltage, or nothing at all.
    """
    if volts is None:
        return min((watts for _, watts in ratings), default=None)
    # 220, 230 and 240 V are one system, and so are 110, 115 and 120 V: a tenth less is the same rating.
    fits = [(at or 0.0, watts) for at, watts in ratings if at is None or at <= volts * 1.1]
    return max(fits)[1] if fits else None


def same_system(one: float, other: float) -> bool:
    """Whether two voltages are one system, such as 220, 230 and 240 V: no more than a tenth apart."""
    return math.isclose(one, other, rel_tol=0.1)


def takes(volts: float, low: float, high: float) -> bool:
    """Whether a supply for a range of voltages takes this one: inside, or of one system with an end of the range."""
    return low <= volts <= high or same_system(volts, low) or same_system(volts, high)
