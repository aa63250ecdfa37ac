"""What does an answer on how often and how long look like to a program?

What is without end (a risk reduction worth where a part is behind every outage) is null.
"""

from __future__ import annotations

from typing import Any

from falsework.analyses.odds.result import CutSets, DataOdds, Hangs, Odds, ServiceOdds, Weight, Within
from falsework.faces.head import head
from falsework.faces.limits import limits
from falsework.faces.values import finite
from falsework.support.standing import Standing

Plain = dict[str, Any]


def odds_answer(standing: Standing, found: Odds, status: int) -> Plain:
    """Everything that is known of how often and how long."""
    limit = limits(standing)
    return {
        **head("odds", standing, status),
        "draws": found.draws,
        "services": [_service(each, limit.get(each.service)) for each in found.services],
        "data": [_data(each) for each in found.data],
        "weights": [weight(each) for each in found.weights],
        "assumed": list(found.assumed),
    }


def _service(each: ServiceOdds, limit: float | None) -> Plain:
    return {
        "id": each.service,
        "minutes": within(each.minutes),
        "limit_minutes": limit,
        "out": {
            **within(each.out),
            "lower": finite(each.out_lower),
            "upper": finite(each.out_upper),
            "exact": each.exact,
            "per_year": finite(each.per_year),
            "lasts_s": finite(each.lasts_s),
        },
        "coming_up_minutes": finite(each.rise_minutes),
        "interrupted": {"minutes": finite(each.blink_minutes), "per_year": finite(each.blinks_per_year)},
        "stumbled_minutes": finite(each.stumble_minutes),
        "planned_minutes": finite(each.upkeep_minutes),
        "cut_sets": cut_sets(each.cut_sets),
        "weights": [weight(one) for one in each.weights],
        "hangs": [_hangs(one) for one in each.hangs],
    }


def within(figure: Within) -> Plain:
    """A figure with its range."""
    return {"best": finite(figure.best), "low": finite(figure.low), "high": finite(figure.high)}


def cut_sets(cuts: CutSets) -> Plain:
    """The smallest sets of parts that stop a service."""
    return {
        "total": cuts.total,
        "by_order": list(cuts.by_order),
        "rest": finite(cuts.rest),
        "listed": [
            {
                "parts": [{"id": part.name, "age_s": finite(part.age_s)} for part in cut.out],
                "chance": finite(cut.chance),
                "per_year": finite(cut.per_year),
                "minutes": finite(cut.minutes),
            }
            for cut in cuts.listed
        ],
    }


def weight(of: Weight) -> Plain:
    """How much a part weighs."""
    return {
        "id": of.name,
        "minutes_off": finite(of.minutes_off),
        "birnbaum": finite(of.birnbaum),
        "criticality": finite(of.criticality),
        "fussell_vesely": finite(of.fussell_vesely),
        "risk_achievement_worth": finite(of.achievement),
        "risk_reduction_worth": finite(of.reduction),
    }


def _hangs(of: Hangs) -> Plain:
    return {
        "about": of.of,
        "things": list(of.names),
        "key": of.key,
        "said": of.said,
        "share": finite(of.share),
    }


def _data(of: DataOdds) -> Plain:
    return {
        "id": of.data,
        "lost_per_year": finite(of.lost_per_year),
        "restored_per_year": finite(of.restored_per_year),
        "work_lost_s": None if of.work_lost_s is None else finite(of.work_lost_s),
    }
