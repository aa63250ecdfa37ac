"""What was foretold of each thing that a probe sees?"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence

from falsework.analyses.comparing.ranges import Ends, ends
from falsework.analyses.comparing.result import NEVER, Foretold
from falsework.analyses.fate import fate
from falsework.analyses.verdicts import Down, Loss, Verdict, lose
from falsework.engines.ways import reach
from falsework.support.standing import Standing


def foretold(
    standing: Standing, lost: Sequence[str], things: Collection[str], *, known: Loss | None = None
) -> Mapping[str, Foretold]:
    """What losing these parts does to some things, each time between two ends.

    Args:
        standing: the lab, with what was out beforehand.
        lost: parts.
        things: ids of things of the support graph.
        known: the loss, where it was worked out already.

    Raises:
        QuestionError: a part is not in the lab.
    """
    loss = known if known is not None else lose(standing, lost, thin=False)
    hurt = any(fate(loss, name).verdict >= Verdict.BLINKS for name in things)
    apart = ends(standing) if hurt else None
    sooner, later = _downs(apart, lost)
    return {name: _one(standing, loss, name, sooner.get(name), later.get(name)) for name in things}


def _downs(apart: Ends | None, lost: Sequence[str]) -> tuple[Mapping[str, Down], Mapping[str, Down]]:
    if apart is None:
        return {}, {}
    return lose(apart.sooner, lost, thin=False).down, lose(apart.later, lost, thin=False).down


def _one(standing: Standing, loss: Loss, name: str, sooner: Down | None, later: Down | None) -> Foretold:
    effect = fate(loss, name)
    down = loss.down.get(name)
    reached = name in loss.lost or down is not None or bool(_leant_on(standing, name) & _gone(loss))
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
    comes_back = effect.verdict is Verdict.BLINKS
    lasts = [at.back_s for at in each if math.isfinite(at.back_s)] if comes_back else [NEVER]
    falls = [at.falls_s for at in each]
    return Foretold(
        verdict=effect.verdict,
        falls_s=down.falls_s,
        falls_within=(min(falls), max(falls)),
        lasts_s=down.back_s if comes_back else NEVER,
        lasts_within=(min(lasts), max(lasts)),
        reached=reached,
    )


def _gone(loss: Loss) -> frozenset[str]:
    return frozenset((*loss.lost, *loss.down))


def _leant_on(standing: Standing, name: str) -> frozenset[str]:
    things = standing.support.things

    def under(each: str) -> Iterator[str]:
        for lean in things[each].leans if each in things else ():
            yield from lean.on

    return frozenset(reach((name,), under))
