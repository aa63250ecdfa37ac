"""What does the newest run of the stopwatch say fails, and what is answered?"""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path

from falsework.model.lab import Lab
from falsework.record.observed import Observed
from falsework.support.probing import questions

SETTLED_S = 3_600.0
"""Trouble that began longer ago than this is taken to have settled."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """How the probes of a run stand.

    Attributes:
        run: its number.
        failing: probes that were not answered well when they were asked last.
        answered: probes that were.
        since_s: how long the oldest of the failing ones has failed, seconds; None where that is so long that all has
            settled, or nothing fails.
        unknown: probes of the run that the lab file does not have any more, or that were never asked.
    """

    run: int
    failing: tuple[str, ...]
    answered: tuple[str, ...]
    since_s: float | None
    unknown: tuple[str, ...]


def newest(record: Path, lab: Lab) -> Known | None:
    """How the probes of the newest run of a record stand; None where it has no run yet."""
    # Only here: who says what fails needs no record.
    from falsework.record.reading import observed, runs

    every = runs(record)
    if not every:
        return None
    names = {each.name for each in questions(lab) if each.sees}
    return recorded(observed(record, every[-1].number), names)


def recorded(observed: Observed, names: Collection[str]) -> Known:
    """How the probes of a run stand.

    Args:
        observed: the run.
        names: the probes of the lab of which it is known what they see.
    """
    failing: list[str] = []
    answered: list[str] = []
    unknown: list[str] = []
    began = math.inf
    for probe in observed.probes:
        if probe.probe not in names or not probe.asked:
            unknown.append(probe.probe)
        elif probe.outages and math.isinf(probe.outages[-1].good_again_s):
            failing.append(probe.probe)
            began = min(began, probe.outages[-1].from_s)
        elif probe.yes:
            answered.append(probe.probe)
        else:
            unknown.append(probe.probe)
    since = max(observed.run.until_s - began, 0.0) if failing else None
    return Known(
        run=observed.run.number,
        failing=tuple(failing),
        answered=tuple(answered),
        since_s=None if since is None or since > SETTLED_S else since,
        unknown=tuple(unknown),
    )
