"""Is an aim met that speaks of losing parts?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, islice
from math import comb

import numpy as np

from falsework.analyses.aims.result import AimResult, about, effect_words, open_aim
from falsework.analyses.explain import told
from falsework.analyses.verdicts import Effect, Loss, Singles, Verdict, losses, verdict_rows
from falsework.model.people import Aim
from falsework.support.standing import Standing

MOST_SETS = 2_000_000
"""Sets of parts that one aim may ask about; beyond, the aim stays open and says so."""
_CHUNK = 4096
_CLOSE = 256

Lost = tuple[str, ...]
Suspect = tuple[int, int, Lost]
"""Minus the worst verdict, minus how many services it hits, the parts: the smallest is the worst."""


def lose(aim: Aim, standing: Standing, singles: Singles) -> AimResult:
    """Whether losing any of the named parts, so many at once, does no worse than the aim allows.

    Single losses are read off `singles`; larger sets are enumerated in bulk, up to `MOST_SETS`. A suspect
    counts only if what it does happens within the aim's time. The witness is the worst: the worst verdict,
    then the most services, then the first in the file.
    """
    candidates = [name for name in (aim.lose.ids if aim.lose else ()) if name not in standing.out]
    tried = comb(len(candidates), aim.at_once)
    if tried > MOST_SETS:
        return open_aim(
            aim,
            f"{tried:,} sets of parts are more than the {MOST_SETS:,} that one aim may ask about; name fewer",
        )
    if not candidates:
        return open_aim(aim, "nothing that it names can be lost")
    suspects = sorted(exceeding(aim, standing, singles, candidates))
    start, size = 0, 1
    while start < len(suspects):
        witness = _witness(aim, standing, suspects[start : start + size])
        if witness is not None:
            return _broken(aim, *witness, tried)
        start, size = start + size, _CLOSE  # the very first nearly always does; times are dear
    looked = f"{tried:,} {'loss' if tried == 1 else 'losses'} looked at"
    says = (
        f"{looked}, none worse than {aim.at_most}"
        if not suspects
        else f"{looked}, none too early or too long"
    )
    return AimResult(name=aim.name, met=True, says=says, where=aim.where, tried=tried)


def exceeding(aim: Aim, standing: Standing, singles: Singles, candidates: Sequence[str]) -> Iterator[Suspect]:
    """Every set that does more than is allowed, times not yet looked at."""
    services, data = about(aim, standing)
    rows = [singles.services.index(service) for service in services]
    kept = [
        2 * len(singles.services) + list(standing.support.keepings).index(f"kept:{name}") for name in data
    ]
    kept = [row for row, name in zip(kept, data, strict=True) if standing.baseline.kept(f"kept:{name}")]
    column = {part: number for number, part in enumerate(singles.parts)}
    least = Verdict.BLINKS if aim.blinks_under is not None else Verdict.LOST
    over = min(Verdict[aim.at_most.upper()] + 1, least)
    sets = combinations(candidates, aim.at_once)
    while chunk := list(islice(sets, _CHUNK)):
        values = standing.service_rows(chunk)
        if aim.at_once == 1:
            verdicts = singles.verdicts[np.ix_(rows, [column[part] for (part,) in chunk])]
        else:
            verdicts = verdict_rows(standing, values)[rows]
        gone = np.where(values[kept], Verdict.STANDS, Verdict.LOST).astype(np.int8)
        whole = np.concatenate([verdicts, gone])
        worst = whole.max(axis=0, initial=0)
        count = (whole >= np.maximum(over, 1)).sum(axis=0)
        for number in np.flatnonzero(worst >= over):
            yield -int(worst[number]), -int(count[number]), chunk[number]


def _witness(
    aim: Aim, standing: Standing, suspects: Sequence[Suspect]
) -> tuple[str, Loss, Effect | None] | None:
    """The first suspect that breaks the aim once times are counted, with what it hits hardest and first."""
    services, data = about(aim, standing)
    allowed = Verdict[aim.at_most.upper()]
    for loss in losses(standing, [lost for _, _, lost in suspects]):
        for name in data:
            if standing.baseline.kept(f"kept:{name}") and not loss.view.kept(f"kept:{name}"):
                return name, loss, None
        hit = [effect for effect in map(loss.of, services) if counts(aim, effect, allowed)]
        if hit:
            worst = min(hit, key=lambda effect: (-effect.verdict, effect.falls_s))
            return worst.service, loss, worst
    return None


def counts(aim: Aim, effect: Effect, allowed: Verdict) -> bool:
    """Whether an effect is more than the aim allows, in the time that the aim is about."""
    verdict, blinks_s = effect.verdict, effect.blinks_s
    if aim.within is not None and effect.falls_s > aim.within and effect.before is not None:
        verdict, blinks_s = Verdict.BLINKS, effect.before.back_s  # it has not fallen yet
    if aim.within is not None and verdict >= Verdict.BLINKS and effect.first_s > aim.within:
        return False
    long = verdict is Verdict.BLINKS and aim.blinks_under is not None and blinks_s > aim.blinks_under
    return verdict > allowed or long


def _broken(aim: Aim, name: str, loss: Loss, effect: Effect | None, tried: int) -> AimResult:
    what = " and ".join(loss.lost)
    why: tuple[str, ...] = ()
    if effect is None:
        says = f"lose {what}: {name} is gone, and no backup of it survives"
    else:
        others = sum(1 for each in loss.effects if each.verdict >= Verdict.FALLS) - 1
        more = f"; {others} more fall" if effect.verdict >= Verdict.FALLS and others > 0 else ""
        says = f"lose {what}: {name} {effect_words(effect)}{more}"
        reasons = loss.why(name)
        why = (told(reasons),) if reasons else ()
    return AimResult(
        name=aim.name,
        met=False,
        says=says,
        why=why,
        where=aim.where,
        witness=loss,
        effect=effect,
        tried=tried,
    )
