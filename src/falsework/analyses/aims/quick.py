"""Which aims that are met now are broken once some parts more are out, as far as that is quickly said?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import comb

from falsework.analyses.aims.leaving import room_left, told_of
from falsework.analyses.aims.losing import lose
from falsework.analyses.aims.result import AimResult
from falsework.analyses.verdicts import Singles, single_verdicts
from falsework.model.people import Aim
from falsework.support.standing import Standing

MOST_SETS = 5_000
"""Sets of parts that an aim may ask about to be asked here: so many are a matter of a tenth of a second."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unasked:
    """An aim that was not asked, and why, in a clause."""

    name: str
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Quick:
    """What was found out.

    Attributes:
        asked: the aims that were asked.
        breaks: those of them that are met before and not after, as they are after.
        unasked: the others.
    """

    asked: tuple[str, ...]
    breaks: tuple[AimResult, ...]
    unasked: tuple[Unasked, ...]


def broken_by(before: Standing, after: Standing) -> Quick:
    """The aims that are met before and broken after, in the order of the file.

    Args:
        before: the lab with what is out beforehand.
        after: the same lab with more out.
    """
    asked, unasked = [], []
    for aim in before.lab.aims:
        why = _slow(aim)
        if why:
            unasked.append(Unasked(name=aim.name, says=why))
        else:
            asked.append(aim)
    broken = []
    if asked:
        then = _judged(asked, after)
        suspects = [aim for aim, result in zip(asked, then, strict=True) if result.met is False]
        now = _judged(suspects, before) if suspects else []
        fine = {aim.name for aim, result in zip(suspects, now, strict=True) if result.met is True}
        broken = [result for result in then if result.met is False and result.name in fine]
    return Quick(asked=tuple(aim.name for aim in asked), breaks=tuple(broken), unasked=tuple(unasked))


def _slow(aim: Aim) -> str:
    """Why an aim is not asked; empty where it is. One that says several things is asked only if all are quick."""
    if aim.out_under is not None:
        return "time out in a year takes longer to work out"
    if aim.cold_start:
        return "a cold start begins with everything switched on"
    if aim.during_build or aim.addresses_kept:
        return "it is about the build"
    if aim.lose is None and aim.room_without is None and not aim.told:
        return "it says nothing that can be judged"
    if aim.lose is not None and not aim.told:
        sets = comb(len(aim.lose.ids), aim.at_once)
        if sets > MOST_SETS:
            return f"it is about {sets:,} sets of parts"
        if aim.at_most == "stands" and aim.at_once == 1:
            return "what has nothing to spare takes longer to work out"
    return ""


def _judged(asked: Sequence[Aim], standing: Standing) -> list[AimResult]:
    singles = Singles(
        parts=standing.parts,
        services=standing.support.services,
        verdicts=single_verdicts(standing, standing.parts),
    )
    return [_one(aim, standing, singles) for aim in asked]


def _one(aim: Aim, standing: Standing, singles: Singles) -> AimResult:
    """One aim, as `judge_aims` judges it: the first of what it says that is not met, else the first that is open."""
    results = []
    if aim.room_without is not None:
        results.append(room_left(aim, standing))
    if aim.told:
        results.append(told_of(aim, standing))
    elif aim.lose is not None:
        results.append(lose(aim, standing, singles))
    return min(results, key=lambda result: {False: 0, None: 1, True: 2}[result.met])
