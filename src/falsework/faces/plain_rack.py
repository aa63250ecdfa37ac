"""What does an answer on racks look like to a program?"""

from __future__ import annotations

import math
from typing import Any

from falsework.analyses.rack import Racks, RackSheet
from falsework.analyses.rack.telling import faults, headline
from falsework.engines.mechanics import Forced
from falsework.faces.errors import place
from falsework.faces.head import lab_head
from falsework.faces.taken import taken_plain
from falsework.findings.finding import WEIGHT_CAUTION
from falsework.model.lab import Lab

Plain = dict[str, Any]


def rack_answer(lab: Lab, found: Racks, status: int) -> Plain:
    """Every rack, and what stands beside them."""
    return {
        **lab_head("rack", lab, status),
        "bad": found.bad,
        "says": headline(found),
        "racks": [_rack(each) for each in found.racks],
        "loose": [
            {"thing": each.thing, "is": each.word, "room": each.room, "weighs_kg": each.mass_kg}
            for each in found.loose
        ],
        "caution": WEIGHT_CAUTION,
    }


def _rack(sheet: RackSheet) -> Plain:
    return {
        "rack": sheet.rack,
        "room": sheet.room or None,
        "where": place(sheet.where),
        "bad": list(faults(sheet)),
        "units": sheet.units,
        "free": [[first, last] for first, last in sheet.free],
        "mounted": [
            {
                "thing": each.thing,
                "is": each.word,
                "at": each.at if not each.upright else None,
                "height": each.height,
                "behind": each.back,
                "proposed": each.proposed,
                "depth_m": each.depth_m,
                "weighs_kg": each.mass_kg,
                "busy_w": each.busy_w,
                "noise_db": each.noise_db,
                "centre_m": each.place.height_m,
            }
            for each in sheet.mounted
        ],
        "no_room": list(sheet.left_over),
        "lowest": sheet.lowest,
        "weighs_kg": sheet.whole.mass_kg,
        "load_kg": sheet.load_kg,
        "bears_kg": sheet.bears_kg,
        "casters": None
        if sheet.rolling is None
        else {
            "count": sheet.rolling.casters,
            "each_kg": sheet.rolling.each_kg,
            "bears_kg": sheet.rolling.bears_kg,
        },
        "centre_m": sheet.whole.height_m,
        "forward_m": sheet.whole.forward_m,
        "empty_centre_m": sheet.empty.height_m,
        "tips_sideways_deg": sheet.sideways_deg,
        "tips_forwards_deg": sheet.forwards_deg,
        "could_lie_lower_m": sheet.sinks.by_m,
        "stands": sheet.stands,
        "push": _forced(sheet.pushed),
        "on_the_way": {
            "ramp_deg": None if sheet.leaning.way is None else sheet.leaning.way.ramp_deg,
            "sill_m": None if sheet.leaning.way is None else sheet.leaning.way.sill_m,
            "leans_sideways_deg": sheet.leaning.sideways_deg,
            "leans_forwards_deg": sheet.leaning.forwards_deg,
            "spare_deg": sheet.leaning.spare_deg,
            "tips": sheet.leaning.tips,
        },
        "pulled_out": [
            {"thing": each.thing, "tips_deg": each.tip_deg, "press": _forced(each.pressed)}
            for each in sheet.pulled
        ],
        "take_out_first": [
            {"thing": each.thing, "tips_deg": each.tip_deg, "spare_deg": each.spare_deg}
            for each in sheet.taken_out
        ],
        "lifts": [
            {
                "thing": each.thing,
                "weighs_kg": each.mass_kg,
                "hands_m": each.hands_m,
                "limit_kg": each.limit_kg,
                "index_alone": each.alone if math.isfinite(each.alone) else None,
                "index_of_two": each.together if math.isfinite(each.together) else None,
            }
            for each in sheet.lifts
        ],
        "taken": [taken_plain(each) for each in sheet.taken],
    }


def _forced(test: Forced) -> Plain:
    return {
        "force_n": test.force_n,
        "tips_nm": test.tips_nm,
        "holds_nm": test.holds_nm,
        "passes": test.passes,
    }
