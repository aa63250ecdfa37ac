"""What does an answer on the wire look like to a program?"""

from __future__ import annotations

from typing import Any

from falsework.analyses.wire.passing import (
    AfterLoss,
    Between,
    Copying,
    Filled,
    Gets,
    Moment,
    Passed,
    Subscribed,
)
from falsework.analyses.wire.result import Group, Layout, Limit, Loop, Managed, Pause, Run, Unreached, Wire
from falsework.analyses.wire.telling import (
    between_says,
    group_says,
    headline,
    limit_mend,
    limit_says,
    loop_says,
    moment_says,
    never_says,
    pause_says,
    start_says,
    unreached_says,
    wanted_says,
)
from falsework.faces.errors import place
from falsework.faces.head import head
from falsework.faces.taken import taken_plain
from falsework.faces.values import finite
from falsework.support.standing import Standing

Plain = dict[str, Any]


def wire_answer(standing: Standing, found: Wire, status: int) -> Plain:
    """Everything that is told of the wire, in base units: bit/s, seconds, metres."""
    return {
        **head("wire", standing, status),
        "says": headline(found),
        "holds": found.holds,
        "lost": list(found.lost),
        **_layout(found),
        "groups": [_group(each) for each in found.groups],
        "circles": [_loop(each) for each in found.loops],
        "pauses": [_pause(each) for each in found.pauses],
        "one_port": [_limit(each) for each in found.limits],
        "controllers": _managed(found.managed),
        "traffic": _traffic(found),
        "edges": [_subscribed(each) for each in found.subscribed],
        "between": _between(found.between) if found.between is not None else None,
        "taken": [taken_plain(each) for each in found.taken],
    }


def _layout(found: Wire) -> Plain:
    laid: Layout = found.layout
    return {
        "machines": [
            {
                "machine": box.machine,
                "word": box.word,
                "free": box.free,
                "ports": [
                    {
                        "port": port.name,
                        "bit_s": port.speed,
                        "cable": port.cable or None,
                        "label": port.label or None,
                        "to": port.far or None,
                        "controller": port.controller,
                    }
                    for port in box.ports
                ],
            }
            for box in laid.boxes
        ],
        "cables": [_run(run) for run in laid.runs],
        "budget": [
            {
                "switch": each.switch,
                "bit_s": each.speed,
                "ports": each.ports,
                "used": each.used,
                "free": each.free,
            }
            for each in laid.budget
        ],
        "wanted": {
            "machines": list(laid.wanted.machines),
            "ports": [{"bit_s": speed, "count": count} for speed, count in laid.wanted.ports.items()],
            "short": laid.wanted.short,
            "says": wanted_says(found),
        },
    }


def _run(run: Run) -> Plain:
    return {
        "id": run.id,
        "label": run.label,
        "ends": [
            {
                "machine": end.machine,
                "port": end.port,
                "room": end.room or None,
                "rack": end.rack or None,
                "unit": end.unit,
                "bit_s": end.speed,
            }
            for end in run.ends
        ],
        "bit_s": run.speed,
        "mismatched": run.mismatched,
        "length_m": run.length,
        "proposed": run.proposed,
        "colour": run.colour,
        "group": run.group,
        "where": place(run.where),
    }


def _group(each: Group) -> Plain:
    return {
        "group": each.group,
        "boxes": list(each.boxes),
        "cables": list(each.cables),
        "labels": list(each.labels),
        "cards": list(each.cards),
        "splits": each.splits,
        "bit_s": list(each.speeds),
        "down": list(each.down),
        "survives": list(each.survives),
        "fails": list(each.fails),
        "isolated": list(each.isolated),
        "says": group_says(each),
        "where": place(each.where),
    }


def _loop(each: Loop) -> Plain:
    return {
        "switches": list(each.switches),
        "cables": list(each.cables),
        "ring": list(each.ring),
        "cut_by": [{"switch": switch, "how": how} for switch, how in each.cut_by.items()],
        "uncut": list(each.uncut),
        "unsaid": list(each.unsaid),
        "says": loop_says(each),
        "where": place(each.where),
    }


def _pause(each: Pause) -> Plain:
    return {
        "lost": list(each.lost),
        "seconds": each.seconds,
        "how": each.how,
        "apart": [list(those) for those in each.apart],
        "services": [
            {"service": one.service, "seconds": one.seconds, "because": one.because, "hold_s": one.hold_s}
            for one in each.services
        ],
        "bear_it": each.bears,
        "says": pause_says(each),
    }


def _limit(each: Limit) -> Plain:
    return {
        "service": each.service,
        "copies": each.copies,
        "needed": each.needed,
        "one_port": [{"machine": host, "copies": count} for host, count in each.one_port.items()],
        "more_ports": list(each.more_ports),
        "switches": list(each.switches),
        "falls_by": list(each.falls_by),
        "possible": each.possible,
        "arrangement": [{"switch": switch, "copies": count} for switch, count in each.arrangement.items()],
        "left": each.left,
        "two_ports": each.two_ports,
        "more_switches": each.more_switches,
        "says": limit_says(each),
        "mend": limit_mend(each),
        "where": place(each.where),
    }


def _managed(found: Managed) -> Plain:
    return {
        "controllers": list(found.controllers),
        "unplugged": list(found.unplugged),
        "viewers": list(found.viewers),
        "viewed_from": list(found.viewed_from),
        "never": list(found.never),
        "never_says": never_says(found),
        "after": [_unreached(each, found) for each in found.after],
        "at_start": list(found.at_start),
        "start_says": start_says(found),
    }


def _unreached(each: Unreached, found: Managed) -> Plain:
    return {
        "lost": list(each.lost),
        "controllers": list(each.controllers),
        "all": each.all,
        "why": list(each.why),
        "says": unreached_says(each, found),
    }


def _traffic(found: Wire) -> Plain:
    told = found.traffic
    return {
        "now": _moment(told.now),
        "after": [_moment(each) for each in told.after],
        "fullest": _moment(told.fullest),
        "together": None
        if told.together is None
        else {"share": finite(told.together.share), "full": list(told.together.full)},
        "copying": [_copying(each) for each in told.copying],
        "tried": told.tried,
    }


def _moment(each: Moment) -> Plain:
    return {
        "lost": list(each.lost),
        "short_bit_s": each.short,
        "streams": [_passed(one) for one in each.passed],
        "links": [_filled(one) for one in each.filled],
        "root": each.root,
        "says": moment_says(each) if each.short > 0 or any(one.share > 1 for one in each.filled) else "",
    }


def _passed(each: Passed) -> Plain:
    return {
        "service": each.stream.service,
        "to": each.stream.to,
        "bit_s": each.stream.rate,
        "fate": str(each.fate),
        "gets_bit_s": each.gets,
        "short_bit_s": each.short,
        "cut_off_bit_s": each.cut_off,
        "tightest": each.tightest,
        "share": finite(each.share),
        "one_stream_bit_s": each.one_stream,
        "where": place(each.stream.where),
    }


def _filled(each: Filled) -> Plain:
    return {
        "link": each.link,
        "towards": each.towards,
        "cables": list(each.cables),
        "asked_bit_s": each.asked,
        "carries_bit_s": each.carries,
        "share": finite(each.share),
    }


def _copying(each: Copying) -> Plain:
    return {
        "what": each.what,
        "of": each.of,
        "to": each.to,
        "bytes": each.size,
        "bit_s": each.rate,
        "takes_s": finite(each.takes_s),
        "every_s": each.every_s,
        "limit": list(each.limit),
        "where": place(each.where),
    }


def _subscribed(each: Subscribed) -> Plain:
    return {
        "switch": each.switch,
        "edge_bit_s": each.edge,
        "free_bit_s": each.free,
        "uplinks_bit_s": each.uplinks,
        "all_uplinks_bit_s": each.all_uplinks,
        "forwards_bit_s": each.forwards,
        "ratio": each.ratio,
        "worst_bit_s": each.worst,
        "worst_lost": each.worst_lost,
        "worst_ratio": each.worst_ratio,
        "cut_off_by": each.cut_off_by,
        "inner_ratio": each.inner,
        "usual_bit_s": each.usual,
    }


def _between(found: Between) -> Plain:
    return {
        "from": found.one,
        "to": found.other,
        "network": found.network,
        "via": list(found.via),
        "now": _gets(found.now),
        "cable_ways": found.cable_ways,
        "switch_ways": found.switch_ways,
        "after": [_after(each) for each in found.after],
        "with_an_end": list(found.with_an_end),
        "harmless": found.harmless,
        "says": between_says(found),
    }


def _after(each: AfterLoss) -> Plain:
    return {"lost": list(each.lost), "gets": _gets(each.gets)}


def _gets(gets: Gets) -> Plain:
    return {
        "at_most_bit_s": gets.at_most,
        "forwarded_bit_s": gets.forwarded,
        "one_stream_bit_s": gets.one_stream,
        "full": list(gets.full),
        "way": list(gets.way),
    }
