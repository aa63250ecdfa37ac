"""Which figures does the field dispute, and would another layout be recommended at either end?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from falsework.analyses.drives.comparing import Question, odds_of
from falsework.analyses.drives.enduring import Belief
from falsework.analyses.drives.recommending import best
from falsework.analyses.drives.result import Disputed, Layout
from falsework.units import Dimension, Quantity, format_range

_RATES = (
    "data sheets tell mean times of 1,000,000 h and more, which is 0.9 % a year; Schroeder and Gibson (2007), FAST, "
    "found 2 to 4 % common and up to 13 %; published reports on large fleets give 1.2 to 1.5 % for 2022 to 2024"
)
_READS = (
    "data sheets tell one in 1e14 or 1e15 bits at the most; many have read far more without one, and errors come in "
    "clusters, so that the chance of a rebuild without any is higher than the mean says"
)
_BATCHES = (
    "IEC 61508-6:2010, annex D works with 1 to 10 % of failures in common; reports on drives tell of batches that "
    "failed within weeks, and of many that did not"
)


def disputed(chosen: Layout, layouts: Sequence[Layout], asked: Question) -> tuple[Disputed, ...]:
    """Each disputed figure at both ends, alone, with the chance of loss of the chosen layout there.

    Args:
        chosen: the layout that is recommended.
        layouts: those among which another may be recommended.
        asked: what they are compared for.
    """
    return tuple(_each(chosen, layouts, asked))


def _each(chosen: Layout, layouts: Sequence[Layout], asked: Question) -> Iterator[Disputed]:
    sticks = chosen.plan.sticks
    rates = _all([each.rate for each in sticks])
    if rates.low != rates.high:
        yield _one(
            "how often drives fail",
            (f"the low end of {format_range(rates, Dimension.RATE)}", "the high end"),
            _RATES,
            (Belief(rate=0.0), Belief(rate=1.0)),
            chosen,
            layouts,
            asked,
        )
    if any(each.read_errors for each in sticks):
        yield _one(
            "read errors",
            ("none", "as often as data sheets say, as taken here"),
            _READS,
            (Belief(reads=False), Belief(reads=True)),
            chosen,
            layouts,
            asked,
        )
    if any(each.batch for each in sticks):
        common = _all([each.in_common for each in sticks if each.batch])
        yield _one(
            "what a batch has in common",
            ("nothing", f"{common.high:.0%}".replace("%", " %") + " of failures"),
            _BATCHES,
            (Belief(common=None), Belief(common=1.0)),
            chosen,
            layouts,
            asked,
        )


def _all(ranges: Sequence[Quantity]) -> Quantity:
    return Quantity(low=min(each.low for each in ranges), high=max(each.high for each in ranges))


def _one(
    what: str,
    says: tuple[str, str],
    source: str,
    beliefs: tuple[Belief, Belief],
    chosen: Layout,
    layouts: Sequence[Layout],
    asked: Question,
) -> Disputed:
    found: list[tuple[float, int | None]] = []
    for belief in beliefs:
        lost = [odds_of(each.plan, asked, belief, rough=True).lost for each in layouts]
        first = best(layouts, asked.wanted, lost)[0]
        exact = odds_of(chosen.plan, asked, belief).lost
        found.append((exact, None if first.number == chosen.number else first.number))
    (low, other_low), (high, other_high) = found
    return Disputed(
        what=what,
        low_says=says[0],
        high_says=says[1],
        source=source,
        low=low,
        high=high,
        other_low=other_low,
        other_high=other_high,
    )
