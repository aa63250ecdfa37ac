"""Which outages do the changes of a probe tell of, and how sure is it when each began and ended?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from falsework.record.observed import NEVER, Outage
from falsework.record.seen import Gap, Told

_BAD = (Told.NO, Told.SILENT)


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """The first answer that was told otherwise than those before it; seconds since the run began.

    Attributes:
        asked_s: when it was asked.
        told_s: when it was there, or was given up.
        told: how it was answered.
        says: a few words on it.
        last_s: when the last question was asked that was answered as before; None of the first of all.
        last_told_s: when its answer was there, or was given up.
    """

    asked_s: float
    told_s: float
    told: Told
    says: str
    last_s: float | None
    last_told_s: float | None


def outages(
    changes: Sequence[Change], gaps: Sequence[Gap], *, last_s: float, every_s: float, usual_s: float
) -> tuple[Outage, ...]:
    """The outages of one probe.

    One bad answer is an outage, of the length that its bounds allow.
    Unknown ones and gaps are none by themselves: they widen the bounds of an outage that they touch.

    A good answer that took more than twice as long as usual proves no more than that it served when it came, less the
    usual time: while something is frozen, questions wait in its queue, and are all answered well as soon as it goes on.
    If the first good answer waited so, the bad ones before it waited in the same queue until they were given up.

    Args:
        changes: in the order of asking.
        gaps: when the stopwatch did not run.
        last_s: when the last question was asked whose answer is known.
        every_s: how often it asks, seconds.
        usual_s: how long a good answer usually takes, seconds; NaN if nobody knows.
    """
    quick_s = 0.0 if math.isnan(usual_s) else usual_s
    found: list[Outage] = []
    good_s, unknown = -NEVER, False  # the last good question; whether nobody knows what came after it
    first: Change | None = None  # the first bad answer of the outage that lasts
    began_unsure, last_bad_s, last_given_up_s = False, 0.0, 0.0
    for number, each in enumerate(changes):
        previous = changes[number - 1].told if number else None
        if previous in _BAD and each.last_s is not None:
            last_bad_s = max(last_bad_s, each.last_s)
            last_given_up_s = each.last_told_s or each.last_s
        if previous is Told.YES and each.last_s is not None:
            good_s, unknown = each.last_s, False
        if each.told in _BAD and first is None:
            first, began_unsure, last_bad_s = each, unknown, each.asked_s
            last_given_up_s = each.told_s
            unknown = False
        elif each.told is Told.UNKNOWN:
            unknown = True
        elif each.told is Told.YES:
            if first is not None:
                waited = each.told_s - each.asked_s > 2 * quick_s
                serves_s = max(each.asked_s, each.told_s - quick_s) if waited else each.asked_s
                if serves_s - each.asked_s > every_s:
                    # One that was given up only later was not answered before that moment either.
                    in_vain_s = last_given_up_s if last_given_up_s < serves_s else serves_s - every_s
                    last_bad_s = max(last_bad_s, in_vain_s)
                found.append(
                    _outage(first, good_s, last_bad_s, serves_s, gaps, unsure=began_unsure or unknown)
                )
                first = None
            unknown = False
    if first is not None:
        if changes[-1].told in _BAD:
            last_bad_s = max(last_bad_s, changes[-1].asked_s, last_s)
        found.append(_outage(first, good_s, last_bad_s, NEVER, gaps, unsure=began_unsure or unknown))
    return tuple(found)


def _outage(
    first: Change,
    good_s: float,
    last_bad_s: float,
    good_again_s: float,
    gaps: Sequence[Gap],
    *,
    unsure: bool,
) -> Outage:
    ends = ((good_s, first.asked_s), (last_bad_s, good_again_s))
    return Outage(
        good_s=good_s,
        bad_s=first.asked_s,
        last_bad_s=last_bad_s,
        good_again_s=good_again_s,
        told=first.told,
        says=first.says,
        unsure=unsure or any(gap.from_s < end and gap.until_s > begin for gap in gaps for begin, end in ends),
    )
