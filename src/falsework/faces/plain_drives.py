"""What does an answer on layouts of drives look like to a program?"""

from __future__ import annotations

from typing import Any

from falsework.analyses.drives.naming import plan_says
from falsework.analyses.drives.result import (
    Disputed,
    Drives,
    HeapLayouts,
    Layout,
    StoreOdds,
)
from falsework.analyses.drives.telling import disputed_says, headline, meets_wanted, remarks
from falsework.engines.durability.chain import Durability
from falsework.faces.errors import place
from falsework.faces.head import lab_head
from falsework.faces.taken import taken_plain
from falsework.faces.values import finite
from falsework.findings.finding import DATA_CAUTION
from falsework.model.lab import Lab

Plain = dict[str, Any]


def drives_answer(lab: Lab, found: Drives, status: int) -> Plain:
    """Every heap with its layouts, every store with its odds."""
    return {
        **lab_head("drives", lab, status),
        "met": found.met,
        "says": headline(found),
        "heaps": [_heap(each) for each in found.heaps],
        "stores": [_store(each) for each in found.stores],
        "taken": [taken_plain(each) for each in found.taken],
        "caution": DATA_CAUTION,
    }


def _heap(heap: HeapLayouts) -> Plain:
    return {
        "heap": heap.heap,
        "drives": [each.name for each in heap.sticks],
        "without_size": list(heap.unsized),
        "bays": [
            {"in": each.holder, "free": each.free, "served_by": list(each.nodes), "enclosure": each.enclosure}
            for each in heap.bays
        ],
        "wanted_bytes": heap.wanted.room_bytes,
        "most_lost": heap.wanted.most_lost,
        "ways": heap.tried,
        "complete": heap.complete,
        "recommended": heap.recommended,
        "why": heap.reason,
        "nearest": heap.nearest,
        "needed": list(heap.needed),
        "trades": list(heap.trades),
        "remarks": list(remarks(heap)),
        "disputed": [_disputed(each) for each in heap.disputed],
        "layouts": [_layout(heap, each) for each in heap.layouts],
        "taken": [taken_plain(each) for each in heap.taken],
        "where": place(heap.where),
    }


def _layout(heap: HeapLayouts, each: Layout) -> Plain:
    return {
        "number": each.number,
        "front": each.front,
        "gives_what_is_wanted": meets_wanted(heap, each),
        "scheme": each.plan.scheme,
        "apart_by": each.plan.apart.value,
        "spares": each.plan.spares,
        "groups": [
            {
                "drives": [{"drive": one.name, "in": one.bay} for one in group.sticks],
                "spares": [{"drive": one.name, "in": one.bay} for one in group.spares],
                "may_be_gone": group.check,
            }
            for group in each.plan.groups
        ],
        "left_over": list(each.plan.idle),
        "usable_bytes": each.usable_bytes,
        "survives": {
            "drives": each.survives.drives,
            "nodes": each.survives.nodes,
            "enclosures": each.survives.enclosures,
        },
        "usual": _odds(each.usual),
        "low": _odds(each.low),
        "high": _odds(each.high),
        "rebuild_s": finite(each.rebuild_s),
        "begins_after_s": each.begins_s,
        "read_errors_expected": each.read_errors,
        "read_error_chance": each.read_chance,
        "exposed_s_a_year": each.usual.exposed_s,
        "heals_up_to_bytes": {
            "drive": each.heals.drive_bytes,
            "node": each.heals.node_bytes,
            "enclosure": each.heals.enclosure_bytes,
        },
        "cut_off_a_year": each.cut_off,
        "draws_w": {"idle": each.watts.low, "busy": each.watts.high},
        "price": each.price,
        "says": plan_says(each.plan),
    }


def _odds(odds: Durability) -> Plain:
    return {
        "lost_in_a_year": odds.lost,
        "mean_s": finite(odds.mean_s),
        "alone": odds.alone,
        "reading": odds.reading,
        "together": odds.together,
    }


def _disputed(each: Disputed) -> Plain:
    return {
        "what": each.what,
        "low_end": each.low_says,
        "high_end": each.high_says,
        "lost_low": each.low,
        "lost_high": each.high,
        "instead_low": each.other_low,
        "instead_high": each.other_high,
        "source": each.source,
        "says": disputed_says(each),
    }


def _store(each: StoreOdds) -> Plain:
    return {
        "store": each.store,
        "layout": each.layout,
        "usable_bytes": each.usable_bytes,
        "survives_drives": each.survives,
        "usual": _odds(each.usual) if each.usual else None,
        "low": _odds(each.low) if each.low else None,
        "high": _odds(each.high) if each.high else None,
        "rebuild_s": finite(each.rebuild_s),
        "begins_after_s": each.begins_s,
        "read_errors_expected": each.read_errors,
        "read_error_chance": each.read_chance,
        "exposed_s_a_year": each.exposed_s,
        "heals_itself_when_full": each.heals,
        "where": place(each.where),
    }
