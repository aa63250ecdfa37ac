"""Which aims are broken?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from falsework.analyses.aims import AimResult
from falsework.analyses.verdicts import Verdict
from falsework.findings.finding import Finding, Level
from falsework.findings.mends import NO_ROOM, mend
from falsework.support.standing import Standing


def aims(results: Sequence[AimResult], standing: Standing) -> Iterator[Finding]:
    """Broken aims."""
    for result in results:
        if result.met is not False:
            continue
        service = result.effect.service if result.effect else ""
        yield Finding(
            code="aim broken",
            level=Level.BROKEN,
            says=f"{result.name}: {result.says}",
            why=result.why,
            mend=_aim_mend(result, service, standing),
            where=result.where,
            things=result.witness.lost if result.witness else (),
            services=_hurt(result, service),
        )


def _hurt(result: AimResult, service: str) -> tuple[str, ...]:
    """The service that the sentence is about, then all others that fall with it."""
    if result.witness is None:
        return ()
    first = (service,) if service else ()
    return tuple(
        dict.fromkeys(
            (
                *first,
                *(effect.service for effect in result.witness.effects if effect.verdict >= Verdict.FALLS),
            )
        )
    )


def _aim_mend(result: AimResult, service: str, standing: Standing) -> str:
    """How to mend what breaks an aim; a word to go on where the mend is told by another finding."""
    if result.witness and service:
        return mend(result.witness, service, standing)
    if result.kind == "room":
        return NO_ROOM
    if result.kind == "told":
        return "let an alarm leave by a way that this loss leaves alone"
    if result.kind == "addresses":
        return "give the stand-in the address that the real thing will have, or put a name or a floating address before both"
    if result.kind == "out":
        return "give what weighs most a second one, a spare on the shelf, or a faster mend"
    if result.kind == "during":
        return "bring the second one, or lend a stand-in beside it, before that step"
    if result.kind == "cold":
        return "cut the circle, or let what stays off come on by itself"
    return ""
