"""Is an aim met that speaks of losing parts?"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from math import comb

import numpy as np

from falsework.analyses.aims.result import AimResult, about, effect_words, open_aim
from falsework.analyses.explain import told
from falsework.analyses.verdicts import Effect, Loss, Singles, Verdict, losses, verdict_rows
from falsework.model.people import Aim
from falsework.support.standing import Standing

MOST_SETS = 2_000_000
"""Sets of parts that one aim may ask about; beyond, the aim stays open and says so."""


def lose(aim: Aim, standing: Standing, singles: Singles) -> AimResult:
    """Whether losing any of the named parts, so many at once, does no worse than the aim allows.

    Single losses are read off `singles`; larger sets are enumerated in bulk, up to `MOST_SETS`. A suspect
    counts only if what it does happens within the aim's time.
    """
    candidates = [name for name in (aim.lose.ids if aim.lose else ()) if name not in standing.out]
    allowed = Verdict[aim.at_most.upper()]
    services, data = about(aim, standing)
    tried = comb(len(candidates), aim.at_once)
    if tried > MOST_SETS:
        return open_aim(
            aim,
            f"{tried:,} sets of parts are more than the {MOST_SETS:,} that one aim may ask about; name fewer parts",
        )
    if not candidates:
        return open_aim(aim, "nothing that it names can be lost")
    rows = [singles.services.index(service) for service in services]
    suspects: list[tuple[str, ...]] = []
    worst = Verdict.STANDS
    if aim.at_once == 1:
        column = {part: number for number, part in enumerate(singles.parts)}
        for name in candidates:
            verdict = (
                Verdict(int(singles.verdicts[rows, column[name]].max(initial=0)))
                if name in column
                else Verdict.STANDS
            )
            worst = max(worst, verdict)
            if verdict > allowed or (verdict is Verdict.BLINKS and aim.blinks_under is not None):
                suspects.append((name,))
        if data:
            suspects.extend((name,) for name in candidates if (name,) not in suspects)
    else:
        suspects, worst = _sets(standing, candidates, aim, rows, allowed)
    witness = _witness(aim, standing, suspects, services, data, allowed)
    if witness is not None:
        return _broken(aim, *witness, tried)
    what = f"{tried:,} {'loss' if tried == 1 else 'losses'} looked at, the worst {worst.word if worst <= allowed else 'after that time'}"
    return AimResult(name=aim.name, met=True, says=what, where=aim.where, tried=tried)


def _sets(
    standing: Standing, candidates: Sequence[str], aim: Aim, rows: Sequence[int], allowed: Verdict
) -> tuple[list[tuple[str, ...]], Verdict]:
    """Sets of parts that do more than is allowed, worst first, found in bulk."""
    found: list[tuple[int, tuple[str, ...]]] = []
    worst = Verdict.STANDS
    chunk: list[tuple[str, ...]] = []

    def flush() -> None:
        nonlocal worst
        if chunk:
            verdicts = verdict_rows(standing, standing.service_rows(chunk))[rows].max(axis=0, initial=0)
            worst = max(worst, Verdict(int(verdicts.max(initial=0))))
            over = np.flatnonzero(verdicts > allowed)[:64]
            found.extend((-int(verdicts[number]), chunk[number]) for number in over)
            chunk.clear()

    for each in combinations(candidates, aim.at_once):
        chunk.append(each)
        if len(chunk) == 4096:
            flush()
    flush()
    return [names for _, names in sorted(found)[:64]], worst


_Witness = tuple[str, Loss, Effect | None]


def _witness(
    aim: Aim,
    standing: Standing,
    suspects: Sequence[tuple[str, ...]],
    services: Sequence[str],
    data: Sequence[str],
    allowed: Verdict,
) -> _Witness | None:
    """The worst suspect that really breaks the aim once times are counted, if any."""
    best: tuple[tuple[int, float, tuple[str, ...]], _Witness] | None = None
    for loss in losses(standing, suspects[:256]):
        for name in data:
            if not loss.view.kept(f"kept:{name}") and standing.baseline.kept(f"kept:{name}"):
                key = (-int(Verdict.LOST), 0.0, loss.lost)
                if best is None or key < best[0]:
                    best = (key, (name, loss, None))
        for service in services:
            effect = loss.of(service)
            late = aim.within is not None and effect.falls_s > aim.within
            long = (
                aim.blinks_under is not None
                and effect.verdict is Verdict.BLINKS
                and effect.blinks_s - effect.falls_s > aim.blinks_under
            )
            if (effect.verdict > allowed or long) and not late:
                key = (-int(effect.verdict), effect.falls_s, loss.lost)
                if best is None or key < best[0]:
                    best = (key, (service, loss, effect))
    return best[1] if best is not None else None


def _broken(aim: Aim, name: str, loss: Loss, effect: Effect | None, tried: int) -> AimResult:
    what = " and ".join(loss.lost)
    if effect is None:
        return AimResult(
            name=aim.name,
            met=False,
            says=f"lose {what}: {name} is gone, and no backup of it survives",
            where=aim.where,
            witness=loss,
            tried=tried,
        )
    reasons = loss.why(name)
    others = sum(1 for each in loss.effects if each.verdict >= Verdict.FALLS) - 1
    more = f"; {others} more fall" if effect.verdict >= Verdict.FALLS and others > 0 else ""
    return AimResult(
        name=aim.name,
        met=False,
        says=f"lose {what}: {name} {effect_words(effect)}{more}",
        why=(told(reasons),) if reasons else (),
        where=aim.where,
        witness=loss,
        effect=effect,
        tried=tried,
    )
