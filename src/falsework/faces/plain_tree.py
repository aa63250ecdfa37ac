"""What does an answer on a fault tree look like to a program?

What has no value (a quotient by nothing) or no end is null.
"""

from __future__ import annotations

from typing import Any

from falsework.analyses.trees.result import EventWeight, TreeAnswer, TreeCut
from falsework.faces.errors import FORMAT
from falsework.faces.values import finite

Plain = dict[str, Any]


def tree_answer(found: TreeAnswer, time: float | None) -> Plain:
    """Everything that is known of a tree.

    Args:
        found: what was found out.
        time: mission time, as asked.
    """
    return {
        "format": FORMAT,
        "command": "tree",
        "tree": found.name,
        "status": 0,
        "top": found.top,
        "time": time,
        "events": found.events,
        "gates": found.gates,
        "coherent": found.coherent,
        "unreached": list(found.unreached),
        "lacking": list(found.lacking),
        "probability": _or_null(found.chance),
        "lower": _or_null(found.lower),
        "upper": _or_null(found.upper),
        "minimal_cut_sets": found.total,
        "by_order": list(found.by_order),
        "likeliest": [_cut(each) for each in found.likeliest],
        "events_weighed": [_weight(each) for each in found.weights],
        "left": found.left,
    }


def _or_null(value: float | None) -> float | None:
    return None if value is None else finite(value)


def _cut(cut: TreeCut) -> Plain:
    return {"events": list(cut.events), "probability": _or_null(cut.chance)}


def _weight(of: EventWeight) -> Plain:
    return {
        "id": of.event,
        "probability": finite(of.chance),
        "birnbaum": finite(of.birnbaum),
        "criticality": finite(of.criticality),
        "fussell_vesely": finite(of.diagnosis),
        "risk_achievement_worth": finite(of.achievement),
        "risk_reduction_worth": finite(of.reduction),
    }
