"""What is the lab like with an edit made: what do its aims say, and which losses hurt more than before?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from falsework.analyses.aims import AimResult, judge_aims, timed
from falsework.analyses.odds.odds import odds as odds_of
from falsework.analyses.order import replay
from falsework.analyses.pairs import all_pairs, singles
from falsework.analyses.verdicts import Singles, Verdict
from falsework.errors import FalseworkError
from falsework.findings.edits.cases import told_besides
from falsework.findings.edits.writing import Texts
from falsework.lab.read import read_texts
from falsework.model.build import build
from falsework.support.standing import Standing

DRAWS = 50
"""Draws behind the range of a time out in a year; whether an aim is met hangs on the middle alone."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Judged:
    """A lab and what it is worth.

    Attributes:
        aims: by name, those that could be judged cheaply enough.
        alone: what losing each part does.
        down: services that do not stand although nothing is lost.
        told: what the quick rules tell, by kind and first thing.
    """

    aims: tuple[AimResult, ...]
    alone: Singles
    down: frozenset[str]
    told: Mapping[object, str]


def tried(standing: Standing, texts: Texts) -> Standing | None:
    """The lab with other texts, with the same parts out; None where these are no lab any more."""
    try:
        lab = build(read_texts(texts))
        out = [name for name in standing.out if name in lab.things]
        return Standing(lab, out=out)
    except FalseworkError:
        return None


def judged(standing: Standing, *, years: bool) -> Judged:
    """The aims and single losses of a lab.

    Args:
        standing: the lab.
        years: whether to work out times out in a year where an aim asks for them: they cost as much as all the rest.
    """
    alone = singles(standing, all_pairs(standing))
    asked = timed(standing) if years else ()
    likely = odds_of(standing, asked, draws=DRAWS, listed=0, data=False) if asked else None
    services = standing.support.services
    return Judged(
        aims=judge_aims(standing, alone, replay(standing.lab, standing=standing), likely),
        alone=alone,
        down=frozenset(name for name in services if not standing.baseline.up(name)),
        told=told_besides(standing),
    )


def hurt(alone: Singles) -> NDArray[np.bool_]:
    """Whether each service falls with each part."""
    found: NDArray[np.bool_] = alone.verdicts >= Verdict.FALLS
    return found


def compared(before: Singles, after: Singles) -> tuple[dict[str, tuple[str, ...]], int]:
    """Parts whose loss now brings services down that it did not, with those services; and how many falls are gone.

    Only of parts and services that are in both.
    """
    rows = _both(before.services, after.services)
    columns = _both(before.parts, after.parts)
    was = hurt(before)[np.ix_([a for a, _ in rows], [a for a, _ in columns])]
    now = hurt(after)[np.ix_([b for _, b in rows], [b for _, b in columns])]
    worse: dict[str, tuple[str, ...]] = {}
    for column in np.flatnonzero((now & ~was).any(axis=0)).tolist():
        part = before.parts[columns[column][0]]
        worse[part] = tuple(
            before.services[rows[row][0]] for row in np.flatnonzero(now[:, column] & ~was[:, column])
        )
    return worse, int((was & ~now).sum())


def _both(one: Sequence[str], other: Sequence[str]) -> list[tuple[int, int]]:
    at = {name: number for number, name in enumerate(other)}
    return [(number, at[name]) for number, name in enumerate(one) if name in at]
