"""Odds made by hand: the sets that stop each service are true, the figures are round, so that a test can tell them."""

from __future__ import annotations

import math

from falsework.analyses.odds.result import (
    MINUTES,
    CutSet,
    CutSets,
    DataOdds,
    Hangs,
    Odds,
    Out,
    ServiceOdds,
    Weight,
    Within,
)
from falsework.analyses.verdicts import Singles, Verdict


def cut(*names: str, minutes: float, per_year: float = 0.25, age_s: float = 0.0) -> CutSet:
    """A cut set; an age, where there is one, is that of its first member."""
    return CutSet(
        out=tuple(Out(name=name, age_s=0.0 if number else age_s) for number, name in enumerate(names)),
        chance=minutes / MINUTES,
        per_year=per_year,
        minutes=minutes,
    )


def weight(name: str, minutes_off: float, of: float) -> Weight:
    """A part's weight, of a service that is out for so many minutes."""
    share = min(minutes_off / of, 1.0) if of else 0.0
    return Weight(
        name=name,
        birnbaum=0.5,
        criticality=share,
        fussell_vesely=share,
        achievement=12.0,
        reduction=math.inf if share == 1.0 else 1.0 / (1.0 - share),
        minutes_off=minutes_off,
    )


def service(
    name: str,
    cuts: tuple[CutSet, ...],
    *,
    blink: float = 0.0,
    stumble: float = 0.0,
    rise: float = 0.0,
    upkeep: float = 0.0,
    spread: float = 1.0,
    slack: float = 0.0,
    hangs: tuple[Hangs, ...] = (),
) -> ServiceOdds:
    """A service that some sets stop; `spread` times makes its range, `slack` the share by which bounds part."""
    out = sum(each.minutes for each in cuts)
    often = sum(each.per_year for each in cuts)
    whole = out + blink + stumble + rise
    orders = max((len(each.out) for each in cuts), default=0)
    counts = tuple(sum(1 for each in cuts if len(each.out) == order) for order in range(1, orders + 1))
    off: dict[str, float] = {}
    for each in cuts:
        for member in each.out:
            off[member.name] = off.get(member.name, 0.0) + each.minutes
    return ServiceOdds(
        service=name,
        minutes=Within(best=whole, low=whole / spread, high=whole * spread),
        out=Within(best=out, low=out / spread, high=out * spread),
        out_lower=out * (1 - slack),
        out_upper=out * (1 + slack),
        per_year=often,
        lasts_s=out * 60 / often if often else 0.0,
        rise_minutes=rise,
        blinks_per_year=blink / 2,
        blink_minutes=blink,
        stumble_minutes=stumble,
        upkeep_minutes=upkeep,
        cut_sets=CutSets(
            listed=tuple(sorted(cuts, key=lambda each: -each.minutes)),
            total=None if slack else len(cuts),
            by_order=() if slack else counts,
            rest=slack * out / MINUTES,
        ),
        weights=tuple(
            weight(part, minutes, whole) for part, minutes in sorted(off.items(), key=lambda pair: -pair[1])
        ),
        hangs=hangs,
    )


def odds(
    *services: ServiceOdds, data: tuple[DataOdds, ...] = (), draws: int = 0, assumed: tuple[str, ...] = ()
) -> Odds:
    """Odds of services, worst first."""
    off: dict[str, float] = {}
    for each in services:
        for one in each.weights:
            off[one.name] = off.get(one.name, 0.0) + one.minutes_off
    whole = sum(each.minutes.best for each in services)
    return Odds(
        services=tuple(sorted(services, key=lambda each: -each.minutes.best)),
        data=data,
        weights=tuple(
            weight(part, minutes, whole) for part, minutes in sorted(off.items(), key=lambda pair: -pair[1])
        ),
        draws=draws,
        assumed=assumed,
    )


def of_singles(singles: Singles, *, draws: int = 0) -> Odds:
    """Odds of a lab from what its single losses do: part number p stops for 60 / (1 + p mod 7) minutes a year."""
    found = []
    for row, name in enumerate(singles.services):
        cuts = [
            cut(part, minutes=60.0 / (1 + column % 7), per_year=0.05 * (1 + column % 3))
            for column, part in enumerate(singles.parts)
            if singles.verdicts[row, column] >= Verdict.FALLS
        ]
        first, second = singles.parts[row % len(singles.parts)], singles.parts[-1 - row % len(singles.parts)]
        if first != second:
            cuts.append(cut(first, second, minutes=0.5, per_year=0.001, age_s=8 * 3600.0))
        found.append(
            service(
                name,
                tuple(cuts),
                blink=2.0 * (row % 3),
                stumble=1.5 * (row % 4),
                rise=float(row % 5),
                upkeep=120.0 * (row % 2),
                spread=2.5 if draws else 1.0,
                slack=0.1 if row % 6 == 5 else 0.0,
                hangs=(
                    Hangs(of="how often a drive fails", names=("d1",), key="fails", said=False, share=0.62),
                    Hangs(of="how soon someone comes", names=(), key="comes in", said=True, share=0.2),
                )
                if draws
                else (),
            )
        )
    return odds(
        *found,
        data=(
            DataOdds(data="photos", lost_per_year=0.0003, restored_per_year=0.08, work_lost_s=43200.0),
            DataOdds(data="scratch", lost_per_year=0.12, restored_per_year=0.0, work_lost_s=None),
        ),
        draws=draws,
        assumed=("a repair begins as soon as something fails",),
    )
