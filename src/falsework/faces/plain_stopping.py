"""What does the answer on a stop on battery look like to a program?"""

from __future__ import annotations

import math
from typing import Any

from falsework.analyses.shutdown.result import Machine, Shutdown, Stop, Way
from falsework.faces.head import head
from falsework.support.standing import Standing

Plain = dict[str, Any]


def shutdown_answer(standing: Standing, found: Stop, status: int) -> Plain:
    """A stop on all batteries together."""
    return {
        **head("shutdown", standing, status),
        "cut": list(found.cut),
        "batteries": [_battery(each) for each in found.batteries],
        "silent": [{"ups": name, "empty_s": _or_null(at)} for name, at in found.silent.items()],
        "machines": [_machine(each) for each in found.machines],
        "circles": [list(circle) for circle in found.circles],
    }


def _battery(each: Shutdown) -> Plain:
    back = each.returns
    return {
        "ups": each.ups,
        "runtime_s": _or_null(each.runtime_s),
        "load_w": each.load_w,
        "trips": each.trips,
        "falling_s": _or_null(each.falling_s),
        "signal_s": each.signal_s,
        "cuts_s": each.cuts_s,
        "spare_s": _or_null(each.spare_s),
        "latest_signal_s": _or_null(each.latest_signal_s),
        "done": [
            {"thing": name, "starts_s": each.starts_s[name], "at_s": at}
            for name, at in sorted(each.done_s.items(), key=lambda one: (one[1], one[0]))
        ],
        "path": list(each.path),
        "cut_hard": list(each.cut_hard),
        "cut_falling": list(each.cut_falling),
        "cut_off": list(each.cut_off),
        "unreached": list(each.unreached),
        "slow": list(each.slow),
        "left_on": list(each.left_on),
        "dark": list(each.dark),
        "needless": list(each.needless),
        "uncounted": list(each.uncounted),
        "ways": [_way(way) for way in each.ways],
        "returns": None
        if back is None
        else {
            "window": _between(back.window_s),
            "worst_s": back.worst_s,
            "off": list(back.off),
            "elsewhere": list(back.elsewhere),
            "set_off": list(back.set_off),
        },
    }


def _way(way: Way) -> Plain:
    return {
        "to": way.to,
        "sender": way.sender,
        "hops": [{"name": hop.name, "until_s": _or_null(hop.until_s)} for hop in way.hops],
        "until_s": _or_null(way.until_s),
        "arrives": way.arrives,
        "lasts": way.lasts,
    }


def _machine(each: Machine) -> Plain:
    return {
        "name": each.name,
        "told_by": each.told_by,
        "told_s": each.told_s,
        "starts_s": each.starts_s,
        "done_s": each.done_s,
        "power_s": _or_null(each.power_s),
        "falling_s": _or_null(each.falling_s),
        "batteries": list(each.batteries),
        "elsewhere": list(each.elsewhere),
        "after": each.after.value,
        "stays_off": _between(each.stays_off),
        "from_afar": each.from_afar,
    }


def _between(window: tuple[float, float] | None) -> Plain | None:
    return None if window is None else {"from_s": window[0], "to_s": _or_null(window[1])}


def _or_null(seconds: float) -> float | None:
    return seconds if math.isfinite(seconds) else None
