"""When is each service interrupted and comes back by itself, and when does coming back not work?"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from falsework.analyses.odds.short import BY_HAND_S
from falsework.analyses.years.fallen import hands_at
from falsework.analyses.years.known import interruptions
from falsework.analyses.years.lived import Lived, Pieces, together
from falsework.engines.reliability.spread import gamma_between
from falsework.engines.renewal.hours import Floats
from falsework.engines.renewal.plan import Bools, Ints
from falsework.support.standing import View
from falsework.support.times import NEVER
from falsework.units import YEAR_S


def blinks(lived: Lived, rng: np.random.Generator) -> tuple[Pieces, Pieces]:
    """Every interruption that ends by itself, and every one that should have and did not.

    Args:
        lived: the runs.
        rng: where chance comes from: whether a take-over or restart works when it is asked for.

    Returns:
        Those that worked; those that stumbled, with all that fell with them.
    """
    cut = lived.cut
    brief = lived.back | lived.known.standing.holds.any()  # a hold may let it come back before it falls
    shaken = np.any(~lived.up & brief, axis=0)[cut.state]
    at = np.flatnonzero(lived.begins_with_a_break & shaken)
    service, where, after, lasts = _plain(lived, at)
    moved = _moved(lived, at)
    service, where, after, lasts = (
        np.concatenate(pair) for pair in zip((service, where, after, lasts), moved, strict=True)
    )
    # A hold that the part's mending beats lets nothing be interrupted.
    there = cut.start_s[where] + after < cut.end_s[where]
    service, where, after, lasts = service[there], where[there], after[there], lasts[there]
    start = cut.start_s[where] + after
    own = _own(lived, service, cut.state[where])
    failed = own & (rng.random(len(service)) < _chance(lived, service, start))
    worked = ~failed
    return (
        Pieces(
            service=service[worked],
            run=cut.run[where[worked]],
            start_s=start[worked],
            end_s=(start + lasts)[worked],
        ),
        _stumbled(lived, service[failed], where[failed], start[failed], lasts[failed]),
    )


def _plain(lived: Lived, at: Ints) -> tuple[Ints, Ints, Floats, Floats]:
    """Interrupted for the first time: service, stretch, after how long, and for how long."""
    known, cut = lived.known, lived.cut
    now, before = cut.state[at], cut.before[at]
    brief = lived.back[:, now] | known.standing.holds.any()
    service, place = np.nonzero(lived.up[:, before] & ~lived.up[:, now] & brief)
    where = at[place]
    unit = lived.outages.unit[cut.event[where]]
    alike = known.back[service, unit] == lived.back[service, now[place]]
    alone = (cut.event[where] >= 0) & ~known.up[service, unit] & alike
    after, lasts = known.first_s[service, unit].copy(), known.blink_s[service, unit].copy()
    odd = np.flatnonzero(~alone)
    sets, column = np.unique(cut.state[where[odd]], return_inverse=True)
    if len(sets):
        falls, returns = _of_sets(lived, sets)
        after[odd] = falls[service[odd], column]
        lasts[odd] = returns[service[odd], column]
    comes_back = lived.back[service, now[place]] | (lasts > 0)
    sound = np.isfinite(after) & np.isfinite(lasts) & comes_back
    return service[sound], where[sound], after[sound], lasts[sound]


def _of_sets(lived: Lived, sets: Ints) -> tuple[Floats, Floats]:
    """When services are interrupted and for how long, with each of these sets lost at one moment; answers are kept."""
    known, names = lived.known, lived.cut.sets
    fresh = np.array([number for number in sets if names[number] not in known.interruptions], dtype=np.int64)
    if len(fresh):
        rows = lived.truth(fresh)
        views = [
            View(
                standing=known.standing,
                lost=known.standing.out | {known.parts[unit] for unit in names[number]},
                column=rows[:, column],
            )
            for column, number in enumerate(fresh)
        ]
        falls, returns = (each[known.at] for each in interruptions(known.standing, views))
        for column, number in enumerate(fresh):
            known.interruptions[names[number]] = (falls[:, column], returns[:, column])
    pairs = [known.interruptions[names[number]] for number in sets]
    return np.stack([pair[0] for pair in pairs], axis=1), np.stack([pair[1] for pair in pairs], axis=1)


def _moved(lived: Lived, at: Ints) -> tuple[Ints, Ints, Floats, Floats]:
    """Interrupted again where another copy had taken over before, and its copy goes too; as `_plain`."""
    cut = lived.cut
    now, before = cut.state[at], cut.before[at]
    found: list[tuple[Ints, Ints, Floats, Floats]] = []
    for number, (up, back, seconds) in lived.known.moving.items():
        asked = np.flatnonzero(
            ~lived.up[number, before] & lived.back[number, before] & lived.back[number, now]
        )
        if not len(asked):
            continue
        then, since = lived.truth(before[asked]), lived.truth(now[asked])
        every = np.arange(len(asked))
        serving = then[back].argmax(axis=0)  # the first that stands
        stays = since[back[serving], every]
        goes_on = since[up[serving], every] | ~then[up[serving], every]
        hit = asked[~(stays & goes_on)]
        found.append((np.full(len(hit), number), at[hit], np.zeros(len(hit)), np.full(len(hit), seconds)))
    empty = np.zeros(0, dtype=np.int64)
    if not found:
        return empty, empty, np.zeros(0), np.zeros(0)
    service, where, after, lasts = (np.concatenate(each) for each in zip(*found, strict=True))
    return service, where, after, lasts


def _own(lived: Lived, service: Ints, state: Ints) -> Bools:
    """Whether what a service runs on went: then it must take over or start again, not only wait for another."""
    found = np.zeros(len(service), dtype=bool)
    for number, (hosts, enough) in lived.known.hosts.items():
        mine = service == number
        if mine.any():
            found[mine] = lived.truth(state[mine])[hosts].sum(axis=0) < enough
    return found


def _chance(lived: Lived, service: Ints, moments: Floats) -> Floats:
    """The chance that coming back does not work: it stumbles, or has broken unseen since the last drill."""
    known = lived.known
    stumbles, unseen, drilled = (np.zeros(len(known.services)) for _ in range(3))
    drilled += NEVER
    for number, name in enumerate(known.services):
        moving = known.lives.moving.get(name)
        if moving is not None:
            stumbles[number] = gamma_between(moving.stumbles.low, moving.stumbles.high).mean
            unseen[number] = gamma_between(moving.breaks_unseen.low, moving.breaks_unseen.high).mean / YEAR_S
            drilled[number] = moving.drilled_s
    with np.errstate(invalid="ignore"):
        age = np.where(np.isfinite(drilled[service]), moments % drilled[service], moments)
    works = (1.0 - stumbles[service]) * np.exp(-unseen[service] * age)
    return np.asarray(1.0 - works)


def _stumbled(lived: Lived, service: Ints, where: Ints, start: Floats, lasts: Floats) -> Pieces:
    """Out until hands have put it right, or the lab's own part is mended; and all that leans on it."""
    cut, outages = lived.cut, lived.outages
    event = cut.event[where]
    mended = np.where((event >= 0) & ~lived.known.outside[outages.unit[event]], outages.up_s[event], NEVER)
    by_hand = hands_at(lived, start, cut.state[where]) + BY_HAND_S
    end = np.maximum(np.minimum(by_hand, mended), start) + lasts
    pieces = [Pieces(service=service, run=cut.run[where], start_s=start, end_s=end)]
    pieces.extend(_with_it(lived, int(number), service == number, pieces[0]) for number in np.unique(service))
    return together(pieces)


def _with_it(lived: Lived, number: int, mine: Bools, out: Pieces) -> Pieces:
    leaning: Sequence[tuple[int, float]] = lived.known.leaning[number]
    run, start, end = out.run[mine], out.start_s[mine], out.end_s[mine]
    others = np.array([other for other, _ in leaning], dtype=np.int64)
    holds = np.array([hold for _, hold in leaning])
    starts = (start[:, None] + holds).ravel()
    ends = np.repeat(end, len(others))
    falls = starts < ends
    return Pieces(
        service=np.tile(others, len(run))[falls],
        run=np.repeat(run, len(others))[falls],
        start_s=starts[falls],
        end_s=ends[falls],
    )
