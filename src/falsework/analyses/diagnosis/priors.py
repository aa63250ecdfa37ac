"""How likely is it, before anything is asked, that a part failed and nobody knows of it yet?

What is known to be out is out for sure. Anything else that failed did so within the time that a fault stays unseen:
a part with so many failures a year has failed in it with the chance 1 - exp(-rate x time), each part by itself.
What others mend, without anybody here doing anything, is out no longer than that takes.
What parts share (a batch, a firmware) takes all of them at once, with the share of their failures that they have in
common (`falsework.support.lives.SharedCause`, the beta factor model).
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from falsework.support.lives import SEEN_S, Lives, lives
from falsework.support.standing import Standing
from falsework.units import YEAR_S

OWN_FAULTS = 0.1
"""Assumed failures a year of a service, and of each of its copies, for a reason of its own of which no part of the
lab knows: a program that hangs, a setting, a full disk."""
ALONE_LEAST = 1e-9
"""The share of failures that a part has by itself never quite vanishes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Priors:
    """What may have happened, each by itself.

    Attributes:
        alone: of each part the chance that it failed by itself; services and their copies, if they may, last.
        shared: of each shared cause its name, its parts and its chance.
        unseen_s: how long ago something may have failed that nobody knows of, seconds.
        assumed: sentences on what was assumed.
    """

    alone: Mapping[str, float]
    shared: tuple[tuple[str, tuple[str, ...], float], ...]
    unseen_s: float
    assumed: tuple[str, ...]


def priors(standing: Standing, *, unseen_s: float | None = None, at_least_s: float = 0.0) -> Priors:
    """The chances before anything is asked.

    Args:
        standing: the lab; what is out beforehand is known to be.
        unseen_s: how long a fault stays unseen at the most, seconds; where not said, as long as until the first of
            the lab's people sees it, or a day.
        at_least_s: a fault that is being looked for has been there for so long, seconds.
    """
    known = standing.asked.get(("lives",))
    all_lives = known if isinstance(known, Lives) else lives(standing)
    standing.asked[("lives",)] = all_lives
    assumed: list[str] = []
    if unseen_s is None:
        unseen_s = min((each.sees_s for each in all_lives.hands), default=0.0)
        if not unseen_s:
            unseen_s = SEEN_S
            assumed.append("something that failed unseen did so within a day")
    unseen_s = max(unseen_s, at_least_s)
    years = unseen_s / YEAR_S
    share: defaultdict[str, float] = defaultdict(float)
    for cause in all_lives.causes:
        for part in cause.parts:
            share[part] = min(share[part] + (cause.share.low + cause.share.high) / 2, 1.0)
        if not cause.said:
            assumed.append(f"the parts of {cause.name} have 2 to 10 % of their failures in common")
    alone = {
        name: -math.expm1(
            -life.fails.mean
            * max(1.0 - share[name], ALONE_LEAST)
            * (min(years, life.down_s / YEAR_S) if life.outside else years)
        )
        for name, life in all_lives.of.items()
    }
    shared = []
    for cause in all_lives.causes:
        mean = sum(all_lives.of[part].fails.mean for part in cause.parts) / len(cause.parts)
        rate = mean * (cause.share.low + cause.share.high) / 2
        shared.append((cause.name, cause.parts, -math.expm1(-rate * years)))
    return Priors(alone=alone, shared=tuple(shared), unseen_s=unseen_s, assumed=tuple(assumed))


def with_programs(parts: Priors, programs: Iterable[str]) -> Priors:
    """The same with services and copies that may fail by themselves."""
    own = -math.expm1(-OWN_FAULTS * parts.unseen_s / YEAR_S)
    return replace(parts, alone={**parts.alone, **dict.fromkeys(programs, own)})
