"""What does the answer on a cold start look like to a program?"""

from __future__ import annotations

from typing import Any

from falsework.analyses.cold_start import Blocked, ColdStart
from falsework.faces.head import head
from falsework.support.standing import Standing

Plain = dict[str, Any]


def cold_start_answer(
    standing: Standing, found: ColdStart, blocked: Blocked, *, hands: bool, outside: bool, status: int
) -> Plain:
    """What comes up when the power is back, and what does not."""
    names = {str(name) for name in standing.lab.things}
    return {
        **head("cold-start", standing, status),
        "hands": hands,
        "outside": outside,
        "off_s": found.off_s,
        "whole": found.whole,
        "up": [
            {"thing": name, "at_s": at}
            for name, at in sorted(found.up_s.items(), key=lambda each: (each[1], each[0]))
            if name in names
        ],
        "stuck": list(found.stuck),
        "circles": [list(circle) for circle in found.circles],
        "by_hand": list(found.by_hand),
        "too_early": list(found.too_early),
        "expired": list(found.expired),
        "doubtful": list(found.doubtful),
        "roots": [
            {
                "why": root.why.value,
                "things": list(root.things),
                "says": root.says,
                "mend": None
                if root.mend is None
                else {
                    "how": root.mend.how.value,
                    "things": list(root.mend.things),
                    "on": root.mend.on,
                    "says": root.mend.says,
                    "by_hand": root.mend.by_hand,
                    "where": None if root.mend.where is None else str(root.mend.where),
                },
                "hangs": list(root.hangs),
            }
            for root in blocked.roots
        ],
        "because": [
            {
                "thing": each.thing,
                "root": each.root,
                "unsticks": list(each.unsticks),
                "chain": [
                    {
                        "thing": step.thing,
                        "says": step.says,
                        "on": step.on,
                        "where": None if step.where is None else str(step.where),
                    }
                    for step in each.because
                ],
            }
            for each in blocked.stuck
        ],
        "up_once_mended": [
            {"thing": name, "at_s": at}
            for name, at in sorted(blocked.up_s.items(), key=lambda each: (each[1], each[0]))
            if name in names
        ],
        "left": list(blocked.left),
    }
