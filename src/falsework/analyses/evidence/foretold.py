"""What does the plan say falls after the moment, and when?"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator
from dataclasses import dataclass

from falsework.analyses.cold_start.aimed import start_of
from falsework.analyses.evidence.result import NEVER, Foretold
from falsework.analyses.verdicts import Verdict, losses
from falsework.support.standing import Standing
from falsework.support.stopped import stoppable

MACHINES = ("node", "switch", "ups")
"""What may write a log of its own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """What the plan says of an event.

    Attributes:
        falls: services that do not stand, and machines that fall, in order of time.
        down: everything that does not stand without interruption.
    """

    falls: tuple[Foretold, ...] = ()
    down: frozenset[str] = frozenset()


def foretold(
    standing: Standing, lost: Collection[str], *, tries: str = "", power_back_s: float | None = None
) -> Plan:
    """What falls after the moment, by the plan.

    Args:
        standing: the lab with what is out beforehand.
        lost: parts lost at the moment, and copies and stores that were stopped; nothing is foretold of none.
        tries: what a drill tries; at a cold start all falls.
        power_back_s: when the power came back at a cold start, seconds after the moment; None if it did not.

    Raises:
        QuestionError: a part is not in the lab.
    """
    if tries == "cold start":
        falls = tuple(_cold(standing, power_back_s))
        return Plan(falls=falls, down=frozenset(standing.support.things))
    if not lost:
        return Plan()
    asked = scene(standing, lost)
    (loss,) = losses(asked, [asked.known(lost)])
    found = [
        Foretold(
            thing=effect.service,
            verdict=effect.verdict,
            at_s=effect.falls_s,
            back_s=effect.falls_s + effect.blinks_s if effect.verdict is Verdict.BLINKS else NEVER,
        )
        for effect in loss.effects
        if effect.verdict >= Verdict.BLINKS and math.isfinite(effect.falls_s)
    ]
    for name, down in loss.down.items():
        if asked.support.things[name].word in MACHINES and math.isfinite(down.falls_s):
            back = math.isfinite(down.back_s)
            found.append(
                Foretold(
                    thing=name,
                    verdict=Verdict.BLINKS if back else Verdict.FALLS,
                    at_s=down.falls_s,
                    back_s=down.falls_s + down.back_s,
                )
            )
    return Plan(
        falls=tuple(sorted(found, key=lambda each: (each.at_s, each.thing))), down=frozenset(loss.down)
    )


def scene(standing: Standing, lost: Collection[str]) -> Standing:
    """The lab as it can be asked about this: one whose copies and stores can be stopped, if that is what was done."""
    things = standing.support.things
    return standing if all(name in things and things[name].part for name in lost) else stoppable(standing)


def _cold(standing: Standing, power_back_s: float | None) -> Iterator[Foretold]:
    """Everything falls at the moment, and comes back in its time after the power does."""
    start = start_of(standing)
    for name, each in standing.support.things.items():
        if each.word not in ("service", *MACHINES) or not standing.baseline.back(name):
            continue
        back = (
            NEVER
            if power_back_s is None or name in start.stuck
            else power_back_s + start.up_s.get(name, NEVER)
        )
        yield Foretold(
            thing=name,
            verdict=Verdict.BLINKS if math.isfinite(back) else Verdict.FALLS,
            at_s=0.0,
            back_s=back,
        )
