"""What do heat and energy look like to a program?"""

from __future__ import annotations

from typing import Any

from falsework.analyses.power.energy_result import Energy, Money
from falsework.analyses.power.energy_telling import energy_notes, energy_says
from falsework.analyses.power.heat_result import Heat, Heated, Warm
from falsework.analyses.power.heat_telling import heat_notes, heat_says
from falsework.faces.errors import place
from falsework.findings.finding import HEAT_CAUTION

Plain = dict[str, Any]


def heat_plain(found: Heat) -> Plain:
    """Heat by room and rack."""
    return {
        "says": heat_says(found),
        "too_much": found.bad,
        "rooms": [_heated(each) for each in found.rooms],
        "racks": [_heated(each) for each in found.racks],
        "in_no_room": list(found.unplaced),
        "in_no_room_w": found.unplaced_w,
        "inlet_c": list(found.inlet_c),
        "notes": list(heat_notes(found)),
        "caution": HEAT_CAUTION,
    }


def _heated(each: Heated) -> Plain:
    return {
        "place": each.place,
        "is": each.word,
        "room": each.room or None,
        "machines": list(each.machines),
        "air_rises_k": each.rise_k,
        "air_rises_said": each.rise_said,
        "idle": _warm(each.idle),
        "usual": _warm(each.usual),
        "busy": _warm(each.busy),
        "cools_w": each.cools,
        "too_much": each.over,
        "where": place(each.where),
    }


def _warm(each: Warm) -> Plain:
    return {
        "w": each.watts,
        "btu_h": each.btu_h,
        "tons": each.tons,
        "air_m3_h": each.air_m3_h,
        "air_cfm": each.air_cfm,
    }


def energy_plain(found: Energy) -> Plain:
    """Energy in a year, by machine."""
    return {
        "says": energy_says(found),
        "kwh": found.kwh,
        "idle_kwh": found.low_kwh,
        "busy_kwh": found.high_kwh,
        "costs": [_money(each) for each in found.costs],
        "used": [
            {
                "name": each.name,
                "loss": each.loss,
                "usual_w": each.watts,
                "kwh": each.kwh,
                "idle_kwh": each.low_kwh,
                "busy_kwh": each.high_kwh,
                "costs": [_money(one) for one in each.costs],
            }
            for each in found.used
        ],
        "no_price": list(found.unpriced),
        "no_price_kwh": found.unpriced_kwh,
        "notes": list(energy_notes(found)),
    }


def _money(each: Money) -> Plain:
    return {
        "currency": each.currency,
        "amount": each.amount,
        "idle_amount": each.low,
        "busy_amount": each.high,
    }
