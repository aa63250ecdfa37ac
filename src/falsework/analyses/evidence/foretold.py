"""What does the plan say falls after the moment, and when?"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence

from falsework.analyses.evidence.result import NEVER, Foretold
from falsework.analyses.verdicts import Verdict, losses
from falsework.support.standing import Standing

MACHINES = ("node", "switch", "ups")
"""What may write a log of its own."""


def foretold(standing: Standing, lost: Collection[str]) -> tuple[Foretold, ...]:
    """Services that do not stand, and machines that fall, in order of time.

    Args:
        standing: the lab with what is out beforehand.
        lost: parts lost at the moment; nothing is foretold of none.

    Raises:
        QuestionError: a part is not in the lab.
    """
    if not lost:
        return ()
    (loss,) = losses(standing, [lost])
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
        if standing.support.things[name].word in MACHINES and math.isfinite(down.falls_s):
            back = math.isfinite(down.back_s)
            found.append(
                Foretold(
                    thing=name,
                    verdict=Verdict.BLINKS if back else Verdict.FALLS,
                    at_s=down.falls_s,
                    back_s=down.falls_s + down.back_s,
                )
            )
    return tuple(sorted(found, key=lambda each: (each.at_s, each.thing)))


def by_thing(found: Sequence[Foretold]) -> dict[str, Foretold]:
    """The same by name."""
    return {each.thing: each for each in found}
