"""What comes up when the power is back, and when?"""

from __future__ import annotations

from falsework.analyses.cold_start.circles import circles
from falsework.analyses.cold_start.expiry import doubtful, expired, renewed
from falsework.analyses.cold_start.result import ColdStart
from falsework.analyses.cold_start.scene import Scene, hands_s
from falsework.engines.uncollected import uncollected
from falsework.support.standing import Standing

SHOWN = ("service", "node", "alarm", "switch")
"""Words of what is told to be stuck; the rest hangs on it."""


def cold_start(
    standing: Standing, *, hands: bool = False, outside: bool = True, off_s: float | None = None
) -> ColdStart:
    """What comes up when the power is back, when, and what does not.

    Args:
        standing: the lab; parts out beforehand stay out.
        hands: whether people are there, who also switch on what stays off.
        outside: whether what is outside can be counted on, besides what power comes from.
        off_s: how long the power was out, seconds: what lasts no longer has expired, counted from fresh, the
            most that can have been left. Nothing has expired where it is not given.

    Cost:
        The graph compiled anew, with clocks; once for each way of asking a lab.
    """
    key = ("cold start", hands, outside, off_s)
    known = standing.asked.get(key)
    if not isinstance(known, ColdStart):
        scene = first_scene(standing, hands=hands, outside=outside, off_s=off_s)
        known = standing.asked[key] = _cold_start(standing, scene, off_s)
    return known


def first_scene(standing: Standing, *, hands: bool, outside: bool, off_s: float | None) -> Scene:
    """The lab as the power comes back."""
    gone = expired(standing.lab, off_s)
    return Scene(
        support=renewed(standing.support, gone),
        out=standing.out,
        hands=hands,
        outside=outside,
        hands_s=hands_s(standing.lab),
        spent=frozenset(key.id for key in gone if key.renewed_by is None),
    )


@uncollected()
def _cold_start(standing: Standing, scene: Scene, off_s: float | None) -> ColdStart:
    reached = scene.reached()
    things = scene.support.things
    return ColdStart(
        up_s=reached.up_s,
        stuck=tuple(
            name
            for name, thing in things.items()
            if name not in reached.back
            and thing.word in SHOWN
            and name not in standing.out
            and standing.baseline.back(name)
        ),
        circles=circles(scene.support, reached.back),
        by_hand=tuple(name for name, thing in things.items() if thing.stays_off),
        too_early=tuple(name for name in things if name in reached.early),
        off_s=off_s,
        expired=tuple(key.id for key in expired(standing.lab, off_s)),
        doubtful=tuple(key.id for key in doubtful(standing.lab, off_s)),
    )
