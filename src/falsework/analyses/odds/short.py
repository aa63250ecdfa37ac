"""How often is a service interrupted for a while, and how often does it not come back as it should?

Counted over single failures: each source of failure that makes a service blink while all else stands. What
blinks only because something else is out already is left out; it is rarer by that something's chance to be out.
What falls, and comes up by itself once the failed source is mended, needs its time for that too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from falsework.analyses.odds.sources import Floats, Source, Sources
from falsework.analyses.verdicts import Effect, Loss, Verdict, losses, verdict_rows
from falsework.support.lives import Lives
from falsework.support.standing import Standing
from falsework.units import YEAR_S

BY_HAND_S = 1800.0
"""Assumed to put a take-over or restart right by hand, once someone is there: half an hour."""
AT_ONCE = 512
"""Losses whose times are worked out together."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Short:
    """Interruptions of one service.

    Attributes:
        per_year: (n_sources, n_columns) how often each source interrupts it.
        blink_s: (n_sources,) for how long.
        stumble_s: (n_sources,) how long it is out where it does not come back by itself.
        stumbles: (n_columns,) how often that is, of all interruptions.
        falls_per_year: (n_sources, n_columns) how often each source by itself stops it until it is mended.
        rise_s: (n_sources,) how long it takes to come up again once that is mended.
    """

    per_year: Floats
    blink_s: Floats
    stumble_s: Floats
    stumbles: Floats
    falls_per_year: Floats
    rise_s: Floats

    @property
    def rise_minutes(self) -> Floats:
        """(n_sources, n_columns) minutes a year of coming up again."""
        return self.falls_per_year * self.rise_s[:, None] / 60.0

    @property
    def blink_minutes(self) -> Floats:
        """(n_sources, n_columns) minutes a year interrupted."""
        return self.per_year * (1.0 - self.stumbles) * self.blink_s[:, None] / 60.0

    @property
    def stumble_minutes(self) -> Floats:
        """(n_sources, n_columns) minutes a year stumbled."""
        return self.per_year * self.stumbles * self.stumble_s[:, None] / 60.0


def interruptions(
    standing: Standing, lives: Lives, sources: Sources, services: Sequence[str]
) -> dict[str, Short]:
    """The interruptions of some services."""
    each = sources.sources
    columns = len(each[0].per_year) if each else 1
    rows = standing.service_rows([source.parts for source in each])
    verdicts = verdict_rows(standing, rows)
    number = {name: row for row, name in enumerate(standing.support.services)}
    wanted = [number[service] for service in services]
    asked = np.flatnonzero((verdicts[wanted] >= Verdict.BLINKS).any(axis=0)).tolist()
    found = {
        service: Short(
            per_year=np.zeros((len(each), columns)),
            blink_s=np.zeros(len(each)),
            stumble_s=np.zeros(len(each)),
            stumbles=sources.stumbles.get(service, np.zeros(columns)),
            falls_per_year=np.zeros((len(each), columns)),
            rise_s=np.zeros(len(each)),
        )
        for service in services
    }
    for first in range(0, len(asked), AT_ONCE):
        some = asked[first : first + AT_ONCE]
        effects = losses(standing, [each[column].parts for column in some])
        rises = _rises(standing, lives, services, effects)
        for place, (column, loss) in enumerate(zip(some, effects, strict=True)):
            by_name = {effect.service: effect for effect in loss.effects}
            for service in services:
                _add(
                    found[service],
                    column,
                    each[column],
                    by_name[service],
                    stumble_s=_mended_s(lives, each[column]),
                    rise_s=float(rises[standing.row[service], place]),
                )
    return found


def _rises(standing: Standing, lives: Lives, services: Sequence[str], effects: Sequence[Loss]) -> Floats:
    """How long each thing takes to come up again after each loss, (n_things, n_losses).

    Asked only for losses that stop one of these services: the graph of returns is read anew for it. 0 for others.
    """
    wanted = set(services)
    found = np.zeros((len(standing.row), len(effects)))
    stops = [
        place
        for place, loss in enumerate(effects)
        if any(effect.verdict >= Verdict.FALLS for effect in loss.effects if effect.service in wanted)
    ]
    if stops:
        views = [effects[place].view for place in stops]
        found[:, stops] = standing.rises(views, hands_s=_hands_s(lives))
    return found


def _add(
    short: Short, column: int, source: Source, effect: Effect, *, stumble_s: float, rise_s: float
) -> None:
    if effect.verdict is Verdict.BLINKS:
        short.per_year[column] = _reaches(source, effect.falls_s)
        short.blink_s[column] = effect.blinks_s
        short.stumble_s[column] = stumble_s
        return
    if effect.before is not None:
        short.per_year[column] = _reaches(source, effect.before.falls_s)
        short.blink_s[column] = effect.before.back_s
        short.stumble_s[column] = stumble_s
    if effect.verdict >= Verdict.FALLS and np.isfinite(effect.falls_s):
        short.falls_per_year[column] = _reaches(source, effect.falls_s)
        short.rise_s[column] = rise_s if np.isfinite(rise_s) else 0.0


def _reaches(source: Source, age_s: float) -> Floats:
    """How often a year the source is out for so long."""
    cycle = YEAR_S / source.per_year + source.outages.whole
    return source.outages.longer(age_s) * YEAR_S / cycle


def _hands_s(lives: Lives) -> float:
    """From a fault that an alarm tells to hands on site."""
    return min((life.notices_s + life.comes_s for life in lives.of.values() if life.hands), default=0.0)


def _mended_s(lives: Lives, source: Source) -> float:
    """Until someone has put right what did not come back by itself, or the part is mended, if that is sooner."""
    life = lives.of[source.parts[0]]
    by_hand = max(life.notices_s + life.comes_s, _hands_s(lives)) + BY_HAND_S
    return by_hand if life.outside else min(by_hand, life.down_s)
