"""How are drills said in few words: what one does, when it was proved, how far the list of them gets?"""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from fractions import Fraction

from falsework.analyses.drilling import Claim, Drills, Foretold, Plan
from falsework.analyses.drilling.choosing import LONGEST_S
from falsework.analyses.drilling.reaching import Reach, Reaches
from falsework.analyses.verdicts import Verdict
from falsework.errors import counted, few, sentence
from falsework.record.observed import Run
from falsework.units import format_time

MOST_NAMED = 2
"""So many services are named where one clause tells of all."""


def does(drill: Plan | Run, effect: Foretold) -> str:
    """What is foretold of a service in a drill that is planned or was done, a clause without it: `blinks at once, is back after 40 s`."""
    if effect.verdict < Verdict.BLINKS or math.isinf(effect.falls_s):
        return "stands with nothing to spare" if effect.verdict is Verdict.THIN else "stands"
    when = "at once" if effect.falls_s <= 0 else f"after {format_time(effect.falls_s)}"
    if effect.verdict is Verdict.LOST:
        return f"loses its data {when}"
    if drill.tries == "cold start":
        back = (
            "stays down"
            if math.isinf(effect.back_s)
            else f"is up {format_time(effect.back_s)} after the power is back"
        )
        return f"stops with all else, and {back}"
    if math.isinf(effect.back_s):
        return f"falls {when}, until it is put back"
    return f"blinks {when}, and is back after {format_time(effect.back_s)}"


def short(plan: Plan) -> str:
    """All that a drill does to services, in one clause."""
    falls = [each for each in plan.effects if each.verdict >= Verdict.FALLS]
    blinks = [each for each in plan.effects if each.verdict is Verdict.BLINKS]
    if plan.tries == "cold start":
        last = max((each.back_s for each in blinks), default=0.0)
        return (
            f"all stops, and is back {format_time(last)} after the power"
            if not falls
            else f"{len(falls)} stay down"
        )
    said = []
    soon = [each.service for each in falls if each.falls_s <= LONGEST_S]
    if soon:
        said.append(f"{few(soon, MOST_NAMED)} {'falls' if len(soon) == 1 else 'fall'}")
    if blinks:
        longest = format_time(max(each.blinks_s for each in blinks))
        named = few([each.service for each in blinks], MOST_NAMED)
        said.append(
            f"{named} blinks for {longest}"
            if len(blinks) == 1
            else f"{named} blink, {longest} at the longest"
        )
    later = [each for each in falls if each.falls_s > LONGEST_S]
    if later:
        named = few([each.service for each in later], MOST_NAMED)
        only = "only " if said else ""
        first = format_time(min(each.falls_s for each in later))
        said.append(f"{named} {'falls' if len(later) == 1 else 'fall'} {only}after {first}")
    return ", ".join(said) or "nothing is interrupted"


def proved(date: datetime.date | None, today: datetime.date | None) -> str:
    """When something was last proved: `never proved`, `proved 2026-03-14, 23 days ago`; how long ago if it is told when."""
    if date is None:
        return "never proved"
    if today is None or today < date:
        return f"proved {date.isoformat()}"
    days = (today - date).days
    return f"proved {date.isoformat()}, {f'{days} days ago' if days > 1 else 'yesterday' if days == 1 else 'today'}"


def count_words(found: Drills, reached: Reaches, *, first: int, last: datetime.date | None) -> str:
    """The short answer: how many drills, what they prove, whether fewer would do, and when the last is; a clause.

    Args:
        found: the drills.
        reached: how much they prove.
        first: how many of them are told.
        last: the day of the last of those; None if it is not to be told.
    """
    if not found.plans:
        return "nothing that a drill could prove; give the lab aims, copies or backups"
    own = sum(1 for plan in found.plans[:first] if plan.own)
    mine = f", {own} of them your own," if own else ""
    claims = counted(len(found.claims), "claim")
    prove = "proves" if first == 1 else "prove"
    ends = f"; the last on {last:%Y-%m-%d}" if last else ""
    if first < len(found.plans):
        many = f"the first{f' {first}' if first > 1 else ''} of {len(found.plans)} drills"
        return f"{many}{mine} {prove} {reached.each[first - 1].claims - reached.fresh} of {claims}{ends}"
    fewest = "no fewer would do" if found.optimal else f"at least {found.fewest} are needed"
    return f"{counted(first, 'drill')}{mine} {prove} {claims}; {fewest}{ends}"


def far_words(reached: Reaches) -> str:
    """How far the first of the drills get, a sentence; empty where there are too few to stop before the last."""
    marks = (
        (reached.guards_data, f"all that guards data ({counted(reached.at_stake, 'claim')})"),
        (reached.until(Fraction(1, 2)), "half of all claims"),
        (reached.until(Fraction(4, 5)), "four fifths"),
    )
    said: list[str] = []
    told = 0
    for many, what in marks:
        if told < many < len(reached.each):
            told = many
            drills = "" if said else " drill proves" if many == 1 else " drills prove"
            said.append(f"the first{f' {many}' if many > 1 else ''}{drills} {what}")
    fresh = counted(reached.fresh, "claim")
    counts = f"; {fresh} proved within a year {'counts' if reached.fresh == 1 else 'count'} as proved"
    return sentence(f"{', '.join(said)}{counts if reached.fresh else ''}") if said else ""


def gain_words(reach: Reach, claims: int) -> str:
    """What a drill adds to those before it, a clause."""
    if not reach.new:
        return "proves nothing that was not proved by then"
    if len(reach.new) == reach.claims:
        many = f"{reach.claims} of {counted(claims, 'claim')}"
    else:
        many = f"{len(reach.new)} more, {reach.claims} of {claims} by then"
    return f"proves {many}: {reach.new[0].says}"


def left_words(left: Sequence[Claim]) -> str:
    """How much stays unproved, a clause; empty where nothing does."""
    if not left:
        return ""
    lost = sum(1 for claim in left if claim.worst is Verdict.LOST)
    many = f"{counted(len(left), 'claim')} {'stays' if len(left) == 1 else 'stay'} unproved"
    return f"{many}, {lost or 'none'} of {'them' if len(left) > 1 else 'it'} on data"


def worst_words(verdict: Verdict) -> str:
    """What happens at the worst if what is tried is wrong; empty where nothing does."""
    if verdict is Verdict.STANDS:
        return ""
    return {Verdict.LOST: "data is lost", Verdict.FALLS: "a service falls"}.get(verdict, "a service blinks")
