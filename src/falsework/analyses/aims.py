"""Which aims are met, and by what proof or witness?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import comb

import numpy as np

from falsework import units
from falsework.analyses.cold_start import ColdStart, cold_start
from falsework.analyses.explain import told
from falsework.analyses.order import Order
from falsework.analyses.verdicts import Effect, Loss, Singles, Verdict, losses, verdict_rows
from falsework.model.people import Aim, Alarm
from falsework.model.services import Data
from falsework.model.parts import ThingId
from falsework.support import room
from falsework.support.standing import Standing
from falsework.units import Dimension
from falsework.where import Where

TOLD_S = 300.0
"""Assumed from a fault to the message, where an alarm does not say: five minutes."""
MOST_SETS = 2_000_000
"""Sets of parts that one aim may ask about; beyond, the aim stays open and says so."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AimResult:
    """One aim.

    Attributes:
        name: as in the lab file.
        met: True or False with a proof; None where it can't be judged, `says` telling why.
        says: one sentence without its full stop.
        why: the chain for the witness, in clauses; empty where met.
        witness: the loss that breaks it, if a loss does.
        effect: what that loss does to the service that the sentence is about.
        where: the aim's place in the lab file.
        tried: how many losses were looked at.
    """

    name: str
    met: bool | None
    says: str
    where: Where
    why: tuple[str, ...] = ()
    witness: Loss | None = None
    effect: Effect | None = None
    tried: int = 0


def judge_aims(standing: Standing, singles: Singles, order: Order) -> tuple[AimResult, ...]:
    """Every aim of the lab, in its order.

    Args:
        standing: the lab.
        singles: verdicts of every single loss, `thin` included.
        order: the hand-written order replayed.
    """
    return tuple(_judge(aim, standing, singles, order) for aim in standing.lab.aims)


def _judge(aim: Aim, standing: Standing, singles: Singles, order: Order) -> AimResult:
    results = []
    if aim.cold_start:
        results.append(_cold(aim, standing))
    if aim.room_without is not None:
        results.append(_room(aim, standing))
    if aim.told:
        results.append(_told(aim, standing))
    elif aim.lose is not None:
        results.append(_lose(aim, standing, singles))
    if aim.addresses_kept:
        results.append(_addresses(aim, standing, order))
    if aim.out_under is not None:
        results.append(_open(aim, "expected time out is not computed yet; see the limits in the handbook"))
    if not results:
        results.append(_open(aim, "it says nothing that can be judged; give it lose, cold start, room without, told or out under"))
    broken = [result for result in results if result.met is False]
    unsure = [result for result in results if result.met is None]
    return (broken or unsure or results)[0]


def _open(aim: Aim, says: str) -> AimResult:
    return AimResult(name=aim.name, met=None, says=says, where=aim.where)


# -- losses -------------------------------------------------------------------------------------------


def _lose(aim: Aim, standing: Standing, singles: Singles) -> AimResult:
    candidates = [name for name in (aim.lose.ids if aim.lose else ()) if name not in standing.out]
    allowed = Verdict[aim.at_most.upper()]
    services, data = _about(aim, standing)
    tried = comb(len(candidates), aim.at_once)
    if tried > MOST_SETS:
        return _open(aim, f"{tried:,} sets of parts are more than the {MOST_SETS:,} that one aim may ask about; name fewer parts")
    if not candidates:
        return _open(aim, "nothing that it names can be lost")
    rows = [singles.services.index(service) for service in services]
    suspects: list[tuple[str, ...]] = []
    worst = Verdict.STANDS
    if aim.at_once == 1:
        column = {part: number for number, part in enumerate(singles.parts)}
        for name in candidates:
            verdict = Verdict(int(singles.verdicts[rows, column[name]].max(initial=0))) if name in column else Verdict.STANDS
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


def _sets(standing: Standing, candidates: Sequence[str], aim: Aim, rows: Sequence[int], allowed: Verdict) -> tuple[list[tuple[str, ...]], Verdict]:
    """Sets of parts that do more than is allowed, worst first, found in bulk."""
    found: list[tuple[int, tuple[str, ...]]] = []
    worst = Verdict.STANDS
    chunk: list[tuple[str, ...]] = []

    def flush() -> None:
        nonlocal worst
        if chunk:
            verdicts = verdict_rows(standing, standing.service_rows(chunk))[rows].max(axis=0, initial=0)
            worst = max(worst, Verdict(int(verdicts.max(initial=0))))
            for number in np.flatnonzero(verdicts > allowed)[:64]:
                found.append((-int(verdicts[number]), chunk[number]))
            chunk.clear()

    for each in combinations(candidates, aim.at_once):
        chunk.append(each)
        if len(chunk) == 4096:
            flush()
    flush()
    return [names for _, names in sorted(found)[:64]], worst


def _about(aim: Aim, standing: Standing) -> tuple[list[str], list[str]]:
    """The services and data sets that an aim is about; all services where it names none."""
    if aim.of is None:
        return [name for name in standing.support.services if not isinstance(standing.lab.things[ThingId(name)], Alarm)], []
    services = [name for name in aim.of.ids if name in standing.support.services]
    return services, [name for name in aim.of.ids if isinstance(standing.lab.things[ThingId(name)], Data)]


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
            long = aim.blinks_under is not None and effect.verdict is Verdict.BLINKS and effect.blinks_s - effect.falls_s > aim.blinks_under
            if (effect.verdict > allowed or long) and not late:
                key = (-int(effect.verdict), effect.falls_s, loss.lost)
                if best is None or key < best[0]:
                    best = (key, (service, loss, effect))
    return best[1] if best is not None else None


def _broken(aim: Aim, name: str, loss: Loss, effect: Effect | None, tried: int) -> AimResult:
    what = " and ".join(loss.lost)
    if effect is None:
        return AimResult(name=aim.name, met=False, says=f"lose {what}: {name} is gone, and no backup of it survives", where=aim.where, witness=loss, tried=tried)
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


def effect_words(effect: Effect) -> str:
    """What happens to a service, in words: `falls at once`, `falls after 32 min`, `blinks for 40 s`."""
    if effect.verdict is Verdict.BLINKS:
        length = effect.blinks_s - effect.falls_s if effect.blinks_s > effect.falls_s else effect.blinks_s
        return f"blinks for {units.format(length, Dimension.TIME)}"
    if effect.verdict is Verdict.FALLS:
        return "falls at once" if effect.falls_s <= 0 else f"falls after {units.format(effect.falls_s, Dimension.TIME)}"
    if effect.verdict is Verdict.LOST:
        return "loses its data, and no backup survives"
    return "stands with nothing to spare" if effect.verdict is Verdict.THIN else "stands"


# -- the other aims -----------------------------------------------------------------------------------


def _cold(aim: Aim, standing: Standing) -> AimResult:
    result = cold_start(standing, hands=aim.cold_start == "at all", outside=aim.cold_start != "without outside help")
    services, _ = _about(aim, standing)
    stuck = [name for name in result.stuck if name in services]
    late = [name for name in services if name in result.up_s and aim.within is not None and result.up_s[name] > aim.within]
    if stuck:
        return AimResult(name=aim.name, met=False, says=f"after a power cut {few(stuck)} {'stays' if len(stuck) == 1 else 'stay'} down", why=tuple(cold_reasons(result)), where=aim.where)
    if late:
        slowest = max(late, key=lambda name: result.up_s[name])
        took = units.format(result.up_s[slowest], Dimension.TIME)
        return AimResult(name=aim.name, met=False, says=f"{slowest} is up only {took} after the power is back", where=aim.where)
    last = max((result.up_s[name] for name in services if name in result.up_s), default=0.0)
    return AimResult(name=aim.name, met=True, says=f"all is up {units.format(last, Dimension.TIME)} after the power is back", where=aim.where)


def cold_reasons(result: ColdStart) -> list[str]:
    """Why a cold start stops, in clauses."""
    reasons = [f"each waits for the next: {' -> '.join(circle)}" for circle in result.circles[:3]]
    if result.by_hand:
        reasons.append(f"{few(result.by_hand)} {'stays' if len(result.by_hand) == 1 else 'stay'} off until switched on by hand")
    if result.too_early:
        reasons.append(f"{few(result.too_early)} {'tries' if len(result.too_early) == 1 else 'try'} once, before what is needed is up")
    return reasons


def _room(aim: Aim, standing: Standing) -> AimResult:
    gone = [name for name in (aim.room_without.ids if aim.room_without else ()) if name not in standing.out]
    views = standing.views([(name,) for name in gone])
    for view, name in zip(views, gone, strict=True):
        for each in standing.support.rooms:
            lost = frozenset(number for number, host in enumerate(each.hosts) if not view.up(host))
            homeless = [number for number in room.packed(each, lost) if not each.sheds[number]]
            if homeless:
                first = each.copies[min(homeless)]
                hole = max((free[1] for number, free in enumerate(room.holes(each, lost)) if number not in lost), default=0.0)
                size = units.format(each.takes[min(homeless)][1], Dimension.DATA)
                return AimResult(
                    name=aim.name,
                    met=False,
                    says=f"without {name} {len(homeless)} {'copy finds' if len(homeless) == 1 else 'copies find'} no room in {each.pool}, {first} among them",
                    why=(f"{first} takes {size} of memory, and the largest hole left is {units.format(hole, Dimension.DATA)}",),
                    where=aim.where,
                )
    if not standing.support.rooms:
        return _open(aim, "no copy on a pool says what it takes; give services `takes`")
    return AimResult(name=aim.name, met=True, says=f"all copies have room without any one of {len(gone)}", where=aim.where, tried=len(gone))


def _told(aim: Aim, standing: Standing) -> AimResult:
    alarms = standing.lab.of(Alarm)
    if not alarms:
        return AimResult(name=aim.name, met=False, says="the lab has no alarm; add one under alarms", where=aim.where)
    names = [name for name in (aim.lose.ids if aim.lose else standing.parts) if name not in standing.out]
    verdicts = verdict_rows(standing, standing.service_rows([(name,) for name in names]))
    services, _ = _about(aim, standing)
    about = [standing.support.services.index(service) for service in services]
    bells = [standing.support.services.index(alarm.id) for alarm in alarms]
    silent = (verdicts[about] >= Verdict.FALLS).any(axis=0) & (verdicts[bells] >= Verdict.FALLS).all(axis=0)
    for loss in losses(standing, [(names[column],) for column in np.flatnonzero(silent)[:256]]):
        if any(loss.of(alarm.id).falls_s > (alarm.told_in or TOLD_S) for alarm in alarms):
            continue
        fallen = [service for service in services if loss.of(service).verdict >= Verdict.FALLS]
        return AimResult(
            name=aim.name,
            met=False,
            says=f"lose {loss.lost[0]}: {few(fallen)} {'falls' if len(fallen) == 1 else 'fall'}, and no alarm leaves",
            why=(told(loss.why(alarms[0].id)),),
            where=aim.where,
            witness=loss,
            tried=len(names),
        )
    return AimResult(name=aim.name, met=True, says=f"an alarm leaves after every loss that matters ({len(names)} looked at)", where=aim.where, tried=len(names))


def _addresses(aim: Aim, standing: Standing, order: Order) -> AimResult:
    if not standing.lab.order:
        return _open(aim, "there is no order of work to judge; write one under order")
    for slip in order.slips:
        if slip.what == "address":
            return AimResult(name=aim.name, met=False, says=f"step {slip.step} takes away the address of {slip.on} that {slip.thing} has learnt", where=aim.where)
    return AimResult(name=aim.name, met=True, says=f"no address changes under its clients in {len(standing.lab.order)} steps", where=aim.where)


def few(names: Sequence[str], most: int = 4) -> str:
    """A few names in words: `a, b and c`, `a, b, c, d and 3 more`."""
    shown = list(names[:most])
    if len(names) > most:
        return f"{', '.join(shown)} and {len(names) - most} more"
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} and {shown[-1]}"

