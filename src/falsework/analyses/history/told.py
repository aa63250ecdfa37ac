"""What does each past run look like beside the lab as it is now?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from falsework.analyses.comparing import Comparison, compare
from falsework.errors import QuestionError
from falsework.record.observed import Observed
from falsework.support.standing import Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Past:
    """One run.

    Attributes:
        observed: what was seen.
        comparison: beside what the lab file foretells now; None if it can't be laid beside it.
        why_not: why it can't; empty where it can.
    """

    observed: Observed
    comparison: Comparison | None
    why_not: str = ""


def past(standing: Standing, runs: Sequence[Observed]) -> tuple[Past, ...]:
    """Runs with what the lab file foretells of them, in the order given.

    A run that took out what the lab has no more can't be judged; it is kept, and says so.
    """
    return tuple(_past(standing, each) for each in runs)


def _past(standing: Standing, observed: Observed) -> Past:
    try:
        found = compare(standing, observed)
    except QuestionError as error:
        return Past(observed=observed, comparison=None, why_not=f"{error.what}, so nothing is foretold of it")
    if found.why_not:
        return Past(observed=observed, comparison=None, why_not=found.why_not)
    return Past(observed=observed, comparison=found)
