"""How long does a battery last at a load, and how much of it has age left?"""

from __future__ import annotations

import math

LIFE_S = 5 * 8760 * 3600.0
"""After so long a small sealed lead battery is taken to be at the end of its life, s. Source: common practice; makers
tell three to five years, and ten for the dearest."""

LEFT_AT_END = 0.8
"""Of its new capacity at the end of its life. Source: common practice for lead batteries (IEEE 1188, as quoted in
public notes): replace at 80 %."""

LEAST_LEFT = 0.2
"""No less is taken to be left, however old it is; assumed."""


def lasts_by_one_ampere_h(capacity_ah: float, amperes: float, exponent: float) -> float:
    """How long a battery lasts, hours, its capacity told for a discharge at 1 A: t = C / I^n.

    Source:
        Peukert's law as public tutorials give it. A capacity told for another rate must not be put in here: the
        two conventions differ by up to two in ordinary cases (see `lasts_by_rating_h`).
    """
    return capacity_ah / math.pow(amperes, exponent)


def lasts_by_rating_h(capacity_ah: float, rated_h: float, amperes: float, exponent: float) -> float:
    """How long a battery lasts, hours, its capacity told for a discharge over H hours: t = H (C / (I H))^n.

    Source:
        Peukert's law, the form of encyclopaedias. The same holds of watt-hours and watts, its voltage taken as
        constant.
    """
    return rated_h * math.pow(capacity_ah / (amperes * rated_h), exponent)


def exponent_from(first: tuple[float, float], second: tuple[float, float]) -> float:
    """The exponent of Peukert's law from two ratings, each an amount in Ah and the A at which it is got.

    With t = C / I at either: n = ln(t1 / t2) / ln(I2 / I1).

    Raises:
        ValueError: both are told for the same current.
    """
    (c1, i1), (c2, i2) = first, second
    if i1 == i2:
        raise ValueError("two ratings at one current tell nothing of the exponent")
    return math.log((c1 / i1) / (c2 / i2)) / math.log(i2 / i1)


def lasts_s(
    energy_wh: float,
    load_w: float,
    *,
    usable: float,
    inverter: float,
    left: float = 1.0,
    rated_h: float = 20.0,
    exponent: float = 1.0,
) -> float:
    """How long a battery carries a load behind its inverter, seconds.

    With P = load / inverter, what the battery gives, and E = left * energy: t = usable * H (E / (P H))^n, which is
    usable * E / P without a loss (n = 1). Slower than rated nothing is gained: the law would promise more than the
    label there, and the careful reading does not take it.

    Args:
        energy_wh: on its label, new, Wh.
        load_w: at the outlets, W, above 0.
        usable: how far it may be drained, 0 to 1.
        inverter: how much of what it gives arrives, 0 to 1.
        left: of its new capacity, 0 to 1.
        rated_h: the time of discharge for which its energy is told, h.
        exponent: of the discharge-rate law; 1 for no loss.

    Source:
        Common practice for the energy form; Peukert's law for the loss on top.
    """
    gives_w = load_w / inverter
    ideal_h = left * energy_wh / gives_w
    if ideal_h >= rated_h:  # slower than rated
        return usable * ideal_h * 3600.0
    return usable * lasts_by_rating_h(left * energy_wh, rated_h, gives_w, exponent) * 3600.0


def left_after(run_s: float) -> float:
    """How much of its new capacity a battery is taken to have left after so long, 0 to 1.

    A straight line from all of it to `LEFT_AT_END` at `LIFE_S`, and on; never below `LEAST_LEFT`. Real ones keep
    up for long and then drop fast, heat halves their life: only a test under load tells.
    """
    return max(1.0 - (1.0 - LEFT_AT_END) * run_s / LIFE_S, LEAST_LEFT)
