"""What does an answer on placing look like to a program?"""

from __future__ import annotations

from typing import Any

from falsework.analyses.placing import Placing
from falsework.faces.errors import place
from falsework.faces.head import head
from falsework.lab.save import Changes
from falsework.support.standing import Standing

Plain = dict[str, Any]


def place_answer(standing: Standing, found: Placing, changes: Changes | None, status: int) -> Plain:
    """Where each copy should run, what that costs and moves, and what it changes in the lab file."""
    return {
        **head("place", standing, status),
        "possible": found.possible,
        "copies": [{"copy": copy, "host": host} for copy, host in found.host_of.items()],
        "levels": [
            {"name": each.name, "today": each.today, "placed": each.found, "bound": each.bound}
            for each in found.levels
        ],
        "moves": [
            {
                "copy": each.copy,
                "service": each.service,
                "from": each.start or None,
                "to": each.end or None,
                "was": each.was or None,
                "last": each.last,
                "bytes": each.size,
                "seconds": each.seconds,
                "breaks": list(each.breaks),
                "worse": each.worse,
            }
            for each in found.moves
        ],
        "hosts": [
            {
                "host": each.host,
                "copies": list(each.copies),
                "before": list(each.before),
                "used": dict(each.used),
                "has": dict(each.has),
            }
            for each in found.filled
        ],
        "aims": [
            {"name": after.name, "before": before.met, "after": after.met, "says": after.says}
            for before, after in zip(found.before, found.after, strict=True)
        ],
        "why_not": [
            {"says": each.says, "where": None if each.where is None else place(each.where)}
            for each in found.why_not
        ],
        "smallest": found.smallest,
        "would_do": list(found.would_do),
        "all_tried": found.all_tried,
        "worst": None
        if found.worst is None
        else {
            "says": found.worst.says,
            "hosts": list(found.worst.hosts),
            "restarts": [{"copy": copy, "host": host} for copy, host in found.worst.homes.items()],
            "homeless": list(found.worst.homeless),
            "left_out": list(found.worst.left_out),
        },
        "judged": found.rounds,
        "difference": None if changes is None else changes.difference,
        "by_hand": []
        if changes is None
        else [{"service": name, "says": says} for name, says in changes.left],
    }
