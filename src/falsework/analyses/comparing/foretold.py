"""What was foretold of each thing that a probe sees?"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from functools import cached_property

from falsework.analyses.comparing.ranges import ends
from falsework.analyses.comparing.result import NEVER, Foretold
from falsework.analyses.fate import fate
from falsework.analyses.verdicts import Down, Loss, Verdict, lose
from falsework.support.standing import Standing


class Prediction:
    """What losing some parts does, worked out once for all who ask about the same loss.

    Args:
        standing: the lab, with what was out beforehand.
        lost: parts.

    Raises:
        QuestionError: a part is not in the lab.
    """

    def __init__(self, standing: Standing, lost: tuple[str, ...]) -> None:
        self.standing = standing
        self.loss: Loss = lose(standing, lost, thin=False)

    def of(self, things: Collection[str]) -> Mapping[str, Foretold]:
        """What is foretold of some things of the support graph, each time between two ends."""
        hurt = any(fate(self.loss, name).verdict >= Verdict.BLINKS for name in things)
        sooner, later = self._ends if hurt else ({}, {})
        return {name: self._one(name, sooner.get(name), later.get(name)) for name in things}

    @cached_property
    def _ends(self) -> tuple[Mapping[str, Down], Mapping[str, Down]]:
        """When things are down with all times at either end."""
        apart, lost = ends(self.standing), self.loss.lost
        return lose(apart.sooner, lost, thin=False).down, lose(apart.later, lost, thin=False).down

    @cached_property
    def _gone(self) -> frozenset[str]:
        return frozenset((*self.loss.lost, *self.loss.down))

    def _one(self, name: str, sooner: Down | None, later: Down | None) -> Foretold:
        effect = fate(self.loss, name)
        down = self.loss.down.get(name)
        reached = not self._gone.isdisjoint(self.standing.support.under(name))
        if effect.verdict < Verdict.BLINKS or down is None:
            return Foretold(
                verdict=effect.verdict,
                falls_s=NEVER,
                falls_within=(NEVER, NEVER),
                lasts_s=0.0,
                lasts_within=(0.0, 0.0),
                reached=reached,
            )
        each = [at for at in (sooner, down, later) if at is not None]
        return _between(effect.verdict, down, each, reached=reached)


def _between(verdict: Verdict, down: Down, each: Sequence[Down], *, reached: bool) -> Foretold:
    """What is foretold of a thing that is down, by the times as they are and with all of them at either end."""
    comes_back = verdict is Verdict.BLINKS
    lasts = [at.back_s for at in each if math.isfinite(at.back_s)] if comes_back else [NEVER]
    falls = [at.falls_s for at in each]
    earlier = [at.before for at in each if at.before is not None]
    return Foretold(
        verdict=verdict,
        falls_s=down.falls_s,
        falls_within=(min(falls), max(falls)),
        lasts_s=down.back_s if comes_back else NEVER,
        lasts_within=(min(lasts), max(lasts)),
        reached=reached,
        before=_between(Verdict.BLINKS, down.before, earlier, reached=reached) if down.before else None,
    )
