"""What do batteries and the return of power look like to a program?"""

from __future__ import annotations

from typing import Any

from falsework.analyses.power.battery_result import Battery, Runtime
from falsework.analyses.power.battery_telling import battery_notes, battery_says, old
from falsework.analyses.power.inrush_result import Inrush, Moment, Rush, Start
from falsework.analyses.power.inrush_telling import inrush_says, start_says
from falsework.faces.errors import place

Plain = dict[str, Any]


def battery_plain(battery: Battery) -> Plain:
    """One battery."""
    return {
        "ups": battery.ups,
        "reckoned_from": battery.reckoned.name.lower(),
        "carries_w": battery.carries,
        "power_cut": [_runtime(each) for each in battery.cut],
        "own_feed_fails": [_runtime(each) for each in battery.alone],
        "losses": [_runtime(each) for each in battery.losses],
        "left": battery.left,
        "age": battery.age.name.lower(),
        "curve_aged_s": battery.aged_s,
        "old": old(battery.left),
        "says": battery_says(battery),
        "notes": list(battery_notes(battery)),
        "where": place(battery.where),
    }


def _runtime(each: Runtime) -> Plain:
    return {
        "when": each.when,
        "w": each.watts,
        "lasts_s": each.lasts_s,
        "new_lasts_s": each.new_s,
        "share": each.share,
        "too_much": each.over,
    }


def inrush_plain(found: Inrush) -> Plain:
    """The return of power."""
    return {
        "says": inrush_says(found),
        "too_much": found.bad,
        "sources": [_rush(each) for each in found.sources],
        "start": None if found.start is None else _start(found.start),
        "silent": list(found.silent),
    }


def _rush(each: Rush) -> Plain:
    return {
        "source": each.source,
        "is": each.word,
        "breaker_a": each.breaker_a,
        "bears_times": each.bears,
        "bears_said": each.bears_said,
        "bears_a": each.limit_a,
        "moments": [_moment(moment) for moment in each.moments],
        "may_trip": each.over,
        "trips": each.sure,
        "where": place(each.where),
    }


def _moment(each: Moment) -> Plain:
    return {
        "at_s": each.at_s,
        "machines": list(each.machines),
        "surge_a": each.surge_a,
        "said_a": each.said_a,
        "running_a": each.running_a,
    }


def _start(start: Start) -> Plain:
    return {
        "groups": start.groups,
        "gap_s": start.gap_s,
        "proved": start.proved,
        "fits": start.fits,
        "too_much_alone": list(start.alone),
        "machines": [
            {
                "machine": each.machine,
                "group": each.group,
                "at_s": each.at_s,
                "comes_on_after_s": each.after_s,
            }
            for each in start.later
        ],
        "notes": list(start_says(start)),
    }
