"""How is a drill said in few words: what it does, why it waits, whether it may be done?"""

from __future__ import annotations

import datetime
import math

from falsework.analyses.drilling import Foretold, Plan
from falsework.analyses.verdicts import Verdict
from falsework.record.observed import Run
from falsework.units import format_time


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
    if falls:
        said.append(f"{len(falls)} {'falls' if len(falls) == 1 else 'fall'}")
    if blinks:
        longest = max(each.blinks_s for each in blinks)
        said.append(
            f"{blinks[0].service} blinks for {format_time(longest)}"
            if len(blinks) == 1
            else f"{len(blinks)} blink, {format_time(longest)} at the longest"
        )
    return ", ".join(said) or "nothing is interrupted"


def proved(date: datetime.date | None, today: datetime.date | None) -> str:
    """When something was last proved: `never proved`, `proved 2026-03-14, 23 days ago`; how long ago if it is told when."""
    if date is None:
        return "never proved"
    if today is None or today < date:
        return f"proved {date.isoformat()}"
    days = (today - date).days
    return f"proved {date.isoformat()}, {f'{days} days ago' if days > 1 else 'yesterday' if days == 1 else 'today'}"
