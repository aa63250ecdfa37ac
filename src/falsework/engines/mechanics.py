"""When does a stack of weights tip over, what does each caster carry, and what may one person lift?

Lengths are in metres, weights in kilograms, forces in newtons, angles in degrees.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

GRAVITY = 9.80665
"""Standard acceleration of free fall, m/s2 (ISO 80000-3)."""
UNIT_M = 0.04445
"""One rack unit, 1.75 inch. Source: EIA-310-D, as given in public summaries."""
PANEL_M = 0.4826
"""Width of a panel, 19 inch. Source: EIA-310-D, as given in public summaries."""
HOLES_M = (0.015875, 0.015875, 0.0127)
"""From hole to hole within one unit and on to the next. Source: EIA-310, from memory."""

TILT_DEG = 10.0
"""The angle at which a product must still stand, in any direction.
Source: IEC 62368-1 edition 3, the clause on stability, as quoted on a mailing list on product safety."""
PUSH_SHARE, PUSH_MOST_N, PUSH_HEIGHT_M = 0.13, 250.0, 1.5
"""The push that it must withstand: a share of its weight, a most, and the height up to which it is applied. Source: as above."""
PRESS_SHARE, PRESS_MOST_N = 0.5, 100.0
"""The same for a force downwards. Source: as above."""


@dataclass(frozen=True, slots=True)
class Body:
    """A weight and where its centre is: above the floor, and forward of the middle of the base."""

    mass_kg: float
    height_m: float
    forward_m: float = 0.0


def centre(bodies: Iterable[Body]) -> Body:
    """All bodies as one, at their centre of gravity: the mean of the places, weighted by the masses.

    Raises:
        ValueError: there is no weight at all.
    """
    all_ = tuple(bodies)
    mass = sum(each.mass_kg for each in all_)
    if mass <= 0:
        raise ValueError("nothing has a weight, so there is no centre of gravity")
    return Body(
        mass,
        sum(each.mass_kg * each.height_m for each in all_) / mass,
        sum(each.mass_kg * each.forward_m for each in all_) / mass,
    )


def tip_deg(half_base_m: float, body: Body) -> float:
    """The tilt, forwards, at which a body stands on its edge: atan((half base - forward) / height).

    Args:
        half_base_m: from the middle of the base to the edge over which it tips.
        body: its centre of gravity; one that is beyond the edge tips by itself, and the angle is negative.

    Source:
        Geometry: at that angle the centre of gravity is straight above the edge.
    """
    return math.degrees(math.atan2(half_base_m - body.forward_m, body.height_m))


@dataclass(frozen=True, slots=True, kw_only=True)
class Forced:
    """A force against a body that stands.

    Attributes:
        force_n: the force of the test.
        tips_nm: its moment about the edge.
        holds_nm: that of the weight against it.
    """

    force_n: float
    tips_nm: float
    holds_nm: float

    @property
    def passes(self) -> bool:
        """Whether the body stays where it is."""
        return self.tips_nm <= self.holds_nm


def pushed(half_base_m: float, body: Body, *, top_m: float) -> Forced:
    """A push sideways, as high as it is applied: 13 % of the weight, at most 250 N, at up to 1.5 m.

    Args:
        half_base_m: from the middle of the base to the edge over which it would tip.
        body: the whole, at its centre of gravity.
        top_m: the top of it; a lower one is pushed at its top.

    Source:
        As for `TILT_DEG`; the moments are geometry.
    """
    weight = body.mass_kg * GRAVITY
    force = min(PUSH_SHARE * weight, PUSH_MOST_N)
    return Forced(
        force_n=force,
        tips_nm=force * min(top_m, PUSH_HEIGHT_M),
        holds_nm=weight * (half_base_m - body.forward_m),
    )


def pressed(half_base_m: float, body: Body, *, beyond_m: float) -> Forced:
    """A force downwards on what stands out beyond the edge: half the weight, at most 100 N.

    Args:
        half_base_m: from the middle of the base to the edge.
        body: the whole with what is pulled out.
        beyond_m: how far the end of what is pulled out is beyond that edge.

    Source:
        As for `TILT_DEG`; the moments are geometry.
    """
    weight = body.mass_kg * GRAVITY
    force = min(PRESS_SHARE * weight, PRESS_MOST_N)
    return Forced(
        force_n=force, tips_nm=force * max(beyond_m, 0.0), holds_nm=weight * (half_base_m - body.forward_m)
    )


def lean_deg(ramp_deg: float, sill_m: float, base_m: float) -> float:
    """How far something on wheels leans on a ramp, with the wheels of one side on a sill: ramp + asin(sill / base).

    Source:
        Geometry, at rest: a jolt against the sill comes on top.
    """
    return ramp_deg + math.degrees(math.asin(min(sill_m / base_m, 1.0)))


def caster_kg(mass_kg: float, casters: int) -> float:
    """What one caster must be able to carry: a third, since on an uneven floor three carry all.

    Raises:
        ValueError: fewer than three casters carry nothing that stands.

    Source:
        Guidance of makers of casters, as commonly given.
    """
    if casters < 3:
        raise ValueError("fewer than three casters carry nothing that stands")
    return mass_kg / 3.0


# -- lifting ------------------------------------------------------------------------------------------------

LOAD_KG, LOAD_LB = 23.0, 51.0
"""What one may lift at best. Source: NIOSH 94-110, Applications Manual for the Revised NIOSH Lifting Equation (1994), p. 20."""
AT_RISK, MOST_AT_RISK = 1.0, 3.0
"""Lifting index above which some, and nearly all, are at a raised risk. Source: the same, p. 2."""


def horizontal(h_cm: float) -> float:
    """25 / H; 1 up to 25 cm, 0 beyond 63 cm. H: from between the ankles to the hands.

    Source:
        NIOSH 94-110 (1994), multipliers in metric units; so for the three below.
    """
    return 0.0 if h_cm > 63 else 1.0 if h_cm <= 25 else 25.0 / h_cm


def vertical(v_cm: float) -> float:
    """1 - 0.003 |V - 75|; 0 above 175 cm. V: height of the hands above the floor."""
    return 0.0 if not 0 <= v_cm <= 175 else 1.0 - 0.003 * abs(v_cm - 75.0)


def distance(d_cm: float) -> float:
    """0.82 + 4.5 / D; 1 up to 25 cm, 0 beyond 175 cm. D: how far it is lifted."""
    return 0.0 if d_cm > 175 else 1.0 if d_cm <= 25 else 0.82 + 4.5 / d_cm


def turned(a_deg: float) -> float:
    """1 - 0.0032 A; 0 beyond 135 degrees. A: how far the trunk is twisted."""
    return 0.0 if a_deg > 135 else 1.0 - 0.0032 * a_deg


def distance_in(d_in: float) -> float:
    """0.82 + 1.8 / D with D in inches, as the manual's American form has it."""
    return 0.0 if d_in > 70 else 1.0 if d_in <= 10 else 0.82 + 1.8 / d_in


def limit(load: float, *multipliers: float) -> float:
    """The recommended weight limit: LC x HM x VM x DM x AM x FM x CM, in the unit of `load`."""
    return load * math.prod(multipliers)


def index(load: float, limit_: float) -> float:
    """The lifting index, load over limit; without end where nothing may be lifted so."""
    return load / limit_ if limit_ > 0 else math.inf
