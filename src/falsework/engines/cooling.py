"""How much air carries heat away, and what is heat in other people's units?"""

from __future__ import annotations

from falsework.engines.electrical import TON_BTU_H, btu_per_hour

AIR_KG_M3 = 1.2
"""Density of air at about 20 °C, kg/m3; a tenth less a thousand metres up."""
AIR_J_KG_K = 1005.0
"""Specific heat of air at constant pressure, J/(kg K)."""
INLET_C = (18.0, 27.0)
"""Recommended temperature of the air that goes into machines, °C. Source: ASHRAE TC 9.9, thermal guidelines, as quoted
in several public notes."""
RISE_K = 11.0
"""How much air may warm up on its way through, where nobody says: 20 °F. Source: common practice."""
CFM_M3_S = 0.3048**3 / 60
"""A cubic foot a minute in m3/s."""


def air_m3_s(watts: float, rise_k: float) -> float:
    """Air that carries so much heat away as it warms up by so much, m3/s: Q = P / (rho c dT).

    Source:
        Definition of specific heat. The trade's rule CFM = 3.16 W / dT(°F) is the same within 0.2 %.
    """
    return watts / (AIR_KG_M3 * AIR_J_KG_K * rise_k)


def cfm(m3_s: float) -> float:
    """Air in cubic feet a minute."""
    return m3_s / CFM_M3_S


def tons(watts: float) -> float:
    """Cooling in tons: 12,000 BTU/h each."""
    return btu_per_hour(watts) / TON_BTU_H
