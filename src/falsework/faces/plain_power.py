"""What does an answer on power look like to a program?"""

from __future__ import annotations

from typing import Any

from falsework.analyses.power.result import Carried, Feed, Give, Lost, Supplied
from falsework.analyses.power.telling import loss_says, over_says, small_says, worst_says
from falsework.analyses.power.whole import Power
from falsework.analyses.power.whole_telling import short_answer
from falsework.faces.errors import place
from falsework.faces.head import head
from falsework.faces.plain_batteries import battery_plain, inrush_plain
from falsework.faces.plain_heat import energy_plain, heat_plain
from falsework.faces.taken import taken_plain
from falsework.findings.finding import POWER_CAUTION
from falsework.support.standing import Standing

Plain = dict[str, Any]


def power_answer(standing: Standing, found: Power, status: int) -> Plain:
    """What each source carries, each loss, and the supplies."""
    sheet = found.sheet
    return {
        **head("power", standing, status),
        "too_much": found.bad,
        "says": short_answer(found),
        "sources": [_feed(each) for each in sheet.feeds],
        "losses": [_lost(each) for each in sheet.lost],
        "losses_named": sheet.asked,
        "supplies": [_supplied(each) for each in sheet.supplied],
        "batteries": [battery_plain(each) for each in found.batteries.batteries],
        "return_of_power": inrush_plain(found.inrush),
        "heat": heat_plain(found.heat),
        "energy": energy_plain(found.energy),
        "cords": [
            {"machine": each.machine, "source": each.source, "volts": each.volts, "a": each.amperes}
            for each in sheet.cords
        ],
        "silent": list(sheet.silent),
        "taken": [taken_plain(each) for each in found.taken],
        "caution": POWER_CAUTION if sheet.feeds or sheet.supplied else "",
    }


def _feed(feed: Feed) -> Plain:
    limits = feed.limits
    worst = feed.worst
    return {
        "source": feed.id,
        "is": feed.word,
        "fed_by": feed.fed_by or None,
        "machines": list(feed.machines),
        "volts": feed.volts,
        "volts_said": feed.volts_said,
        "limit_w": limits.watts,
        "limit_va": limits.volt_amperes,
        "limit_a": limits.amperes,
        "lasting_share": limits.lasting,
        "idle": _carried(feed.idle),
        "usual": _carried(feed.usual),
        "busy": _carried(feed.busy),
        "worst": None
        if worst is None
        else {
            "lost": worst.lost,
            "carried": _carried(worst.carried),
            "trips": worst.trips,
            "after_others": worst.last,
        },
        "too_much": feed.over,
        "too_many_va": feed.over_va,
        "too_much_for_hours": feed.over_lasting,
        "power": not feed.dark,
        "says": over_says(feed) if feed.over else worst_says(feed),
        "where": place(feed.where),
    }


def _carried(carried: Carried) -> Plain:
    return {
        "w": carried.watts,
        "va": carried.volt_amperes,
        "a": carried.amperes,
        "share": carried.share,
    }


def _lost(loss: Lost) -> Plain:
    return {
        "lost": loss.lost,
        "says": loss_says(loss),
        "trips": list(loss.trips),
        "carries": [{"source": source, "w": watts} for source, watts in loss.carries],
        "without_power": list(loss.dark),
    }


def _supplied(each: Supplied) -> Plain:
    return {
        "machine": each.machine,
        "enough": each.enough,
        "draws_w": each.draws,
        "supplies": [_give(give) for give in each.gives],
        "efficiency": each.efficiency,
        "level": each.level or None,
        "efficiency_said": each.efficiency_said,
        "loss_w": each.loss,
        "too_small": each.too_small,
        "says": small_says(each) if each.too_small else "",
        "where": place(each.where),
    }


def _give(give: Give) -> Plain:
    return {
        "supplies": list(give.supplies),
        "source": give.source,
        "volts": give.volts,
        "rated_w": give.gives,
        "gives_w": give.now,
        "alone_w": give.alone,
        "alone_share": give.share,
    }
