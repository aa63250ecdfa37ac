"""What does an answer on drawn years look like to a program?"""

from __future__ import annotations

from typing import Any

from falsework.analyses.years.result import PERCENTS, DataYears, ServiceYears, Years
from falsework.analyses.years.story import Hit, Lost, Mishap, Story
from falsework.faces.head import head
from falsework.faces.values import finite
from falsework.support.standing import Standing

Plain = dict[str, Any]


def years_answer(standing: Standing, found: Years, status: int) -> Plain:
    """Everything that was drawn."""
    return {
        **head("years", standing, status),
        "years": found.years,
        "asked": found.asked,
        "stopped": found.stopped,
        "seed": found.seed,
        "within": {
            "of": found.of or None,
            "wanted": found.wanted,
            "reached": found.reached,
            "off": None if found.off is None else finite(found.off),
        },
        "percents": list(PERCENTS),
        "services": [_service(each) for each in found.services],
        "data": [_data(each) for each in found.data],
        "parts": [{"id": each.part, "failures": finite(each.failures)} for each in found.parts],
        "story": _story(found.story) if found.story is not None else None,
        "assumed": list(found.assumed),
    }


def _service(each: ServiceYears) -> Plain:
    return {
        "id": each.service,
        "mean_minutes": finite(each.mean_min),
        "low_minutes": finite(each.low_min),
        "high_minutes": finite(each.high_min),
        "error_minutes": None if each.error_min is None else finite(each.error_min),
        "percentiles_minutes": [finite(minutes) for minutes in each.percentiles_min],
        "outages": finite(each.outages),
        "longest_minutes": finite(each.longest_min),
        "spotless": finite(each.spotless),
        "stumbled": finite(each.stumbled),
    }


def _data(each: DataYears) -> Plain:
    return {
        "id": each.data,
        "restores": finite(each.restores),
        "gone": finite(each.gone),
        "none_in_years": None if each.none_in is None else finite(each.none_in),
        "work_lost_h": None if each.work_lost_h is None else [finite(hours) for hours in each.work_lost_h],
    }


def _story(story: Story) -> Plain:
    return {
        "percent": finite(story.percent),
        "of": story.of or None,
        "down_minutes": finite(story.down_min),
        "mishaps": [_mishap(each) for each in story.mishaps],
        "unfelt": story.unfelt,
        "silenced": story.silenced,
    }


def _mishap(mishap: Mishap) -> Plain:
    return {
        "parts": list(mishap.parts),
        "at": mishap.at,
        "known_at": mishap.known_at,
        "begun_at": mishap.begun_at,
        "whole_at": mishap.whole_at,
        "hits": [_hit(each) for each in mishap.hits],
        "lost": [_lost(each) for each in mishap.lost],
    }


def _hit(hit: Hit) -> Plain:
    return {
        "service": hit.service,
        "at": hit.at,
        "for_s": finite(hit.for_s),
        "by_itself": hit.by_itself,
        "stumbled": hit.stumbled,
    }


def _lost(lost: Lost) -> Plain:
    return {
        "data": lost.data,
        "work_lost_s": None if lost.work_lost_s is None else finite(lost.work_lost_s),
        "restored_s": finite(lost.restored_s),
    }
