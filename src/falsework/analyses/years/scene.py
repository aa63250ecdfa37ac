"""How does a lab become a system of units that break and are mended?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from falsework.engines.reliability.spread import Lognormal, Spread, gamma_between
from falsework.engines.renewal.hours import Floats, Hours
from falsework.engines.renewal.plan import Plan, Server, Shock, Stock, plan
from falsework.model.people import Alarm
from falsework.support.lives import Lives
from falsework.support.standing import Standing
from falsework.units import YEAR_S

HANDS_ON_S = 8 * 3600.0
"""Assumed: one fault holds whoever mends it a working day at most; the rest of a repair is waiting."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Scene:
    """A lab as units.

    Attributes:
        parts: the part that each unit is.
        plan: how they break and are mended.
        seen_s: seconds until a fault that no alarm tells is seen.
        told_s: seconds until one that an alarm tells is known.
    """

    parts: tuple[str, ...]
    plan: Plan
    seen_s: float
    told_s: float

    def hands_at(self, moments: Floats) -> Floats:
        """When the first hands are there, asked for at each moment; at once where nobody is named."""
        servers = self.plan.servers
        if not servers:
            return moments
        return np.asarray(
            np.min([server.hours.opens(moments) + server.comes_s for server in servers], axis=0)
        )


def scene(standing: Standing, known: Lives) -> Scene:
    """The units of a lab: one for each part that is not out beforehand.

    Args:
        standing: the lab.
        known: how its parts fail and are mended.
    """
    lives = tuple(known.of.values())
    unit = {life.part: number for number, life in enumerate(lives)}
    rates = np.array([life.fails.mean / YEAR_S for life in lives])
    shared = []
    alone = rates.copy()
    for cause in known.causes:
        members = tuple(unit[part] for part in cause.parts)
        # The rarest failing of them bounds what all can have in common.
        rate = gamma_between(cause.share.low, cause.share.high).mean * float(rates[list(members)].min())
        shared.append(Shock(rate=rate, units=members))
        alone[list(members)] -= rate
    kinds = tuple(known.shelves)
    mended_by_hand = np.array([life.hands for life in lives], dtype=bool)
    alarmed = bool(standing.lab.of(Alarm))
    told_s = min((life.notices_s for life in lives if life.told and not life.outside), default=0.0)
    seen_s = min((hands.sees_s for hands in known.hands), default=0.0)
    outside = np.array([life.outside for life in lives], dtype=bool)
    unseen = np.where(outside, 0.0, seen_s)
    built = plan(
        np.maximum(alone, 0.0),
        np.array([life.mends.mean for life in lives]),
        shocks=tuple(shared),
        spread=np.array([_sigma(life.mends) for life in lives]),
        found_s=np.where(outside, 0.0, told_s) if alarmed else unseen,
        unseen_s=unseen,
        watches=_watches(standing, unit) if alarmed else (),
        servers=tuple(
            Server(hours=Hours(hands.hours or None), comes_s=hands.comes_s) for hands in known.hands
        ),
        can=np.repeat(mended_by_hand[:, None], len(known.hands), axis=1),
        held_s=HANDS_ON_S,
        stocks=tuple(
            Stock(shelf=known.shelves[kind].spares, lead_s=known.shelves[kind].comes_s) for kind in kinds
        ),
        stock=np.array(
            [
                kinds.index(life.spare) if life.spare in kinds and life.word != "supply" else -1
                for life in lives
            ],
            dtype=np.int64,
        ),
    )
    return Scene(parts=tuple(unit), plan=built, seen_s=seen_s, told_s=told_s if alarmed else seen_s)


def _sigma(mends: Spread) -> float:
    return mends.sigma if isinstance(mends, Lognormal) else 0.0


def _watches(standing: Standing, unit: dict[str, int]) -> tuple[tuple[int, ...], ...]:
    """For each alarm the parts without any one of which it does not leave."""
    services = standing.support.services
    parts = tuple(unit)
    rows = standing.service_rows([(part,) for part in parts])
    groups = []
    for alarm in standing.lab.of(Alarm):
        back = rows[len(services) + services.index(alarm.id)]
        groups.append(tuple(unit[part] for part, leaves in zip(parts, back, strict=True) if not leaves))
    return tuple(groups)
