"""Which drills prove everything that the plan promises, in which order, and what does each take?"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping, Sequence

from falsework.analyses.cold_start.aimed import start_of
from falsework.analyses.drilling.choosing import (
    HANDS_S,
    Candidate,
    candidates,
    cost_of,
    lasts_s,
)
from falsework.analyses.drilling.foretold import of_cold_start, of_loss, services_standing
from falsework.analyses.drilling.of_aims import of_aims
from falsework.analyses.drilling.of_lab import cold, of_lab
from falsework.analyses.drilling.ordering import ordered
from falsework.analyses.drilling.promises import Promise
from falsework.analyses.drilling.result import Claim, Drills, Foretold, Plan
from falsework.analyses.drilling.risk import at_risk, data_of
from falsework.analyses.drilling.scene import Scene
from falsework.analyses.drilling.words import cautions_of, filled, put_back, to_do, to_stop, to_watch
from falsework.analyses.verdicts import NEVER, Loss, Verdict, losses
from falsework.engines.covering import cover
from falsework.errors import counted, few, sentence
from falsework.support.copying import Copier
from falsework.support.standing import AT_ONCE, Standing
from falsework.support.stopped import STOPPED

SEARCH_S = 10.0
"""How long the smallest set may be searched for."""
Progress = Callable[[str, int, int], None]


def drills(
    standing: Standing, today: datetime.date, *, progress: Progress | None = None, workers: int = 2
) -> Drills:
    """The smallest set of drills that proves every claim, worst and stalest first.

    Args:
        standing: the lab; what is out today counts as there: the list is of the plan, not of a day.
        today: for which day staleness is told.
        progress: told what is being done, how much of it is, of how much.
        workers: threads where the smallest set has to be searched for.

    Cost:
        Each loss that an aim covers asked once with its times, those that nobody can tell apart once together in
        large labs; then a smallest cover, by search where no rule decides.
    """
    planned = Standing(standing.lab) if standing.out else standing
    tell: Progress = progress or (lambda _what, _done, _of: None)
    scene = Scene(planned, progress=lambda done, of: tell("losing one thing after the other", done, of))
    aims = of_aims(scene)
    starts, stuck = cold(scene)
    promises = (*aims.promises, *of_lab(scene), *starts)
    tell("choosing", 0, 1)
    could = candidates(scene, promises)
    proofs = _proofs(could, promises)
    found = cover(
        proofs,
        [cost_of(each, scene) for each in could],
        taken=[number for number, each in enumerate(could) if each.own is not None],
        seconds=SEARCH_S,
        workers=workers,
    )
    chosen = [could[number] for number in found.chosen]
    proved = [tuple(promises[at].claim for at in sorted(proofs[number])) for number in found.chosen]
    plans = _plans(scene, chosen, proved)
    reached = {at for each in proofs for at in each}
    claims = tuple(each.claim for at, each in enumerate(promises) if at in reached)
    return Drills(
        today=today,
        plans=ordered(scene, plans, claims, today),
        claims=claims,
        fewest=found.least,
        broken=(*aims.broken, *stuck),
        unproved=_unproved([each.claim for at, each in enumerate(promises) if at not in reached]),
        assumed=(*_assumed([each.claim for each in promises]), *aims.left_out),
    )


def _proofs(could: Sequence[Candidate], promises: Sequence[Promise]) -> list[set[int]]:
    """Which promises each candidate proves, by number."""
    by_part: dict[str, list[int]] = {}
    only: dict[tuple[str, ...], list[int]] = {}
    for at, promise in enumerate(promises):
        if promise.only:
            only.setdefault(promise.only, []).append(at)
        for name in {need.tried.lost[0] for need in promise.needs}:
            by_part.setdefault(name, []).append(at)
    found = []
    for each in could:
        if each.tried is None:
            found.append(set(only.get(each.key, ())))
            continue
        near = dict.fromkeys(at for name in each.tried.down for at in by_part.get(name, ()))
        found.append({at for at in near if each.proves(promises[at])})
    return found


def _plans(scene: Scene, chosen: Sequence[Candidate], proved: Sequence[Sequence[Claim]]) -> tuple[Plan, ...]:
    found: list[Plan] = []
    for first in range(0, len(chosen), AT_ONCE):  # views are large in a large lab, so only some are held
        some = list(zip(chosen, proved, strict=True))[first : first + AT_ONCE]
        sets = [each.taken for each, _ in some if each.taken]
        known = dict(zip(sets, losses(scene.standing, sets), strict=True)) if sets else {}
        found.extend(plan_of(scene, each, known.get(each.taken), claims) for each, claims in some)
    return tuple(found)


def plan_of(scene: Scene, each: Candidate, loss: Loss | None, claims: Sequence[Claim]) -> Plan:
    """A drill whole.

    Args:
        scene: the lab.
        each: what is tried.
        loss: what that does, where something is lost.
        claims: what it proves.
    """
    standing, lab = scene.standing, scene.lab
    effects: tuple[Foretold, ...] = ()
    rises = 0.0
    if each.tries == "cold start":
        start = start_of(scene.plain)
        effects = of_cold_start(scene.plain, start)
        rises = max((up.back_s for up in effects if up.back_s < NEVER), default=0.0)
    elif loss is not None:
        effects = of_loss(standing, loss)
    stands = services_standing(standing, effects)
    unseen = tuple(one.service for one in effects if not one.probes)
    risk = at_risk(scene, each)
    bare = tuple(name for name in risk if not data_of(scene, name).backed_up)
    own = each.own
    within = _within(scene, each.taken) if own is None or own.stop_after is None else own.stop_after
    dates = [claim.proved for claim in claims]
    return Plan(
        name=each.name,
        title=_title(scene, each),
        tries=each.tries,
        lost=tuple(name for name in each.taken if not _is_stop(scene, name)),
        stops=tuple(name for name in each.taken if _is_stop(scene, name)),
        of=each.of,
        proves=tuple(claim.name for claim in claims),
        effects=effects,
        stands=stands,
        worst=max((claim.worst for claim in claims), default=Verdict.STANDS),
        proved=None if not dates or None in dates else min(date for date in dates if date is not None),
        do_words=tuple(map(sentence, to_do(lab, each.tries, each.taken, each.of))),
        watch=tuple(map(sentence, to_watch(effects, unseen, each.tries))),
        unseen=unseen,
        stop_when=tuple(map(sentence, to_stop(effects, within, each.tries))),
        put_back_words=tuple(map(sentence, put_back(lab, each.tries, each.taken))),
        cautions=cautions_of(lab, each.tries, each.taken, risk, bare),
        at_risk=risk,
        do=own.do if own else "",
        put_back=own.put_back if own else "",
        stop_after_s=within,
        lasts_s=lasts_s(each, restores_s=_restores_s(scene, each), rises_s=rises),
        hands_s=HANDS_S,
        may_stop=tuple(own.may_stop.ids) if own and own.may_stop else (),
        own=own is not None,
        where=own.where if own else None,
    )


def _is_stop(scene: Scene, name: str) -> bool:
    return scene.support.things[name].word in STOPPED


def _title(scene: Scene, each: Candidate) -> str:
    what = few(each.taken, 3)
    if each.tries == "restore":
        return f"restore {' from '.join(each.of) or 'a backup'}, beside what is in use"
    if not what and each.tries != "cold start":
        return "what you wrote it for"
    return {
        "loss": f"lose {what}",
        "cut": f"cut {what}",
        "failover": f"stop {what}, and see it taken over",
        "clock": f"go on without {what}",
        "full disk": f"let {few(tuple(filled(scene.lab, each.taken)), 3)} run full",
        "cold start": "switch all off and on again",
    }[each.tries]


def _within(scene: Scene, taken: Sequence[str]) -> float | None:
    """The longest time that the aims speak of that cover this loss, if each of them speaks of a time."""
    found = [
        aim.within
        for aim in scene.lab.aims
        if aim.lose is not None and taken and set(taken) <= set(aim.lose.ids) and not aim.told
    ]
    known = [seconds for seconds in found if seconds is not None]
    return max(known) if known and len(known) == len(found) else None


def _restores_s(scene: Scene, each: Candidate) -> float:
    """How long the copying of a restore takes, at the least."""
    if each.tries != "restore" or len(each.of) < 2:
        return 0.0
    data = data_of(scene, each.of[0])
    return Copier(scene.lab).restoring(data, (each.of[1],), data.in_.ids if data.in_ else ()).seconds


def _unproved(claims: Sequence[Claim]) -> tuple[str, ...]:
    return tuple(
        sentence(
            f"no drill is offered for '{claim.name}': what it takes out would lose data even as foretold"
        )
        for claim in claims
    )


def _assumed(claims: Sequence[Claim]) -> tuple[str, ...]:
    groups: Mapping[tuple[str, ...], None] = dict.fromkeys(
        tuple(" and ".join(lost) for lost in claim.alike) for claim in claims if len(claim.alike) > 1
    )
    return tuple(
        sentence(
            f"taken for equal: {few(names, 4)}; a proof of one is taken for a proof of all "
            f"{counted(len(names), 'loss', 'losses')}"
        )
        for names in groups
    )
