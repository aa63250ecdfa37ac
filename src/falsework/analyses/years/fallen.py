"""From when to when is each service out until something is mended, and how long does it then take to be back?

A service is out from the moment at which the last hold on its way has run out (a battery, a lease, a clock),
counted from when each part really failed. If the parts are mended before, nothing happened to it.
"""

from __future__ import annotations

import numpy as np

from falsework.analyses.years.known import Known
from falsework.analyses.years.lived import Lived, Pieces
from falsework.engines.renewal.hours import Floats
from falsework.engines.renewal.plan import Ints
from falsework.support.times import NEVER

STUCK_S = 4 * 3600.0
"""Assumed where a loop keeps things down until someone works round it: half a working day, once they are there."""


def fallen(lived: Lived) -> Pieces:
    """Every outage that lasts until something is mended, restart included."""
    some = np.flatnonzero(np.any(~lived.back, axis=0)[lived.cut.state])  # most stretches hurt nobody
    falls = _falls(lived, some)
    service, run, start, last = _spans(lived, some, falls)
    end = lived.cut.end_s[last]
    return Pieces(service=service, run=run, start_s=start, end_s=end + _restart(lived, service, last, end))


def _falls(lived: Lived, some: Ints) -> Floats:
    """When a service falls, for each of these stretches in whose end it does not stand: (n_services, n).

    Else infinite.
    """
    known, cut = lived.known, lived.cut
    state, start = cut.state[some], cut.start_s[some]
    down = ~lived.back[:, state]
    found = np.where(down, start, NEVER)
    # Where one of the broken parts alone takes it down at once, no hold can matter.
    at_once = lived.any_of(~known.back & (known.fall_s == 0.0))
    at_once |= ~lived.back[:, :1]  # what does not stand with nothing broken is out all the time
    held = down & ~at_once[:, state]
    # Alone from its own beginning on, a part brings things down just as worked out beforehand.
    unit = np.array([each[0] if each else 0 for each in cut.sets])[state]
    plain = (lived.sizes[state] == 1) & lived.begins_with_a_break[some]
    service, place = np.nonzero(held & plain)
    found[service, place] = start[place] + known.fall_s[service, unit[place]]
    odd = np.flatnonzero((held & ~plain).any(axis=0))
    matters = np.zeros((len(known.things), len(odd)), dtype=bool)
    matters[known.at] = held[:, odd]
    moments = np.maximum(lived.falls(some[odd], start[odd], matters)[known.at], start[odd])
    found[:, odd] = np.where(held[:, odd], moments, found[:, odd])
    return found


def _spans(lived: Lived, some: Ints, falls: Floats) -> tuple[Ints, Ints, Floats, Ints]:
    """Stretches in a row in which a service is down as one: service, run, start, last stretch."""
    cut = lived.cut
    ends = cut.end_s[some]
    found: list[tuple[Ints, Floats, Ints]] = []
    for row in range(len(falls)):
        place = np.flatnonzero(~lived.back[row, cut.state[some]])
        if not len(place):
            continue
        here = some[place]
        opens = np.ones(len(here), dtype=bool)
        opens[1:] = (np.diff(here) > 1) | cut.first[here[1:]]
        first = np.flatnonzero(opens)
        moments = np.where(falls[row, place] < ends[place], falls[row, place], NEVER)
        start = np.minimum.reduceat(moments, first)
        last = here[np.append(first[1:], len(here)) - 1]
        fell = start < NEVER
        found.append((np.full(int(fell.sum()), row), start[fell], last[fell]))
    if not found:
        return np.zeros(0, np.int64), np.zeros(0, np.int64), np.zeros(0), np.zeros(0, np.int64)
    service, starts, lasts = (np.concatenate(each) for each in zip(*found, strict=True))
    return service, cut.run[lasts], starts, lasts


def _restart(lived: Lived, service: Ints, last: Ints, end: Floats) -> Floats:
    """How long each takes to be back after its last stretch, seconds; 0 where the run ended first."""
    known, cut = lived.known, lived.cut
    found = np.zeros(len(service))
    more = last + 1 < len(cut.run)
    more[more] = ~cut.first[last[more] + 1]
    which = np.flatnonzero(more)
    alone, helped = np.full(len(service), NEVER), np.full(len(service), NEVER)
    event = cut.event[last[which] + 1]
    unit = lived.outages.unit[event]
    for_s = end[which] - lived.outages.down_s[event]
    # What fell through the mended part alone comes back as worked out beforehand.
    plain = (
        (event >= 0)
        & (cut.state[last[which] + 1] == 0)
        & ~known.back[service[which], unit]
        & (known.fall_s[service[which], unit] < for_s)
    )
    for at in np.unique(unit[plain]):
        mine = plain & (unit == at)
        column = known.first[at] + np.searchsorted(known.steps[int(at)], for_s[mine])
        alone[which[mine]] = known.alone_s[service[which[mine]], column]
        helped[which[mine]] = known.helped_s[service[which[mine]], column]
    odd = which[~plain]
    stretches, column = np.unique(last[odd], return_inverse=True)
    if len(stretches):
        by_itself, by_hand = _odd(lived, stretches)
        alone[odd] = by_itself[service[odd], column]
        helped[odd] = by_hand[service[odd], column]
    found[which] = alone[which]
    stuck = np.flatnonzero(more & ~np.isfinite(alone))
    if len(stuck):
        there = hands_at(lived, end[stuck], cut.state[last[stuck] + 1]) - end[stuck]
        found[stuck] = there + np.where(np.isfinite(helped[stuck]), helped[stuck], STUCK_S)
    return found


def _odd(lived: Lived, stretches: Ints) -> tuple[Floats, Floats]:
    """How soon services are back after each of these stretches, from what stood at its end; as `Rises.after`.

    The same is asked again and again, in one block and in the next, so answers are kept.
    """
    known, cut = lived.known, lived.cut
    now = cut.state[stretches + 1]
    before = lived.truth(cut.state[stretches])[known.thing_back]
    stood = before | (lived.falls(stretches, cut.end_s[stretches], ~before) >= cut.end_s[stretches])
    keys = [
        (cut.sets[state], bits.tobytes())
        for state, bits in zip(now, np.packbits(stood, axis=0).T, strict=True)
    ]
    fresh = {key: column for column, key in enumerate(keys) if key not in known.restarts}
    if fresh:
        columns = list(fresh.values())
        back = lived.truth(now[columns])[known.thing_back]
        answers = known.rises.after(lived.broken(now[columns]), stood[:, columns], back)
        for place, key in enumerate(fresh):
            known.restarts[key] = (answers[0][known.at, place], answers[1][known.at, place])
    pairs = [known.restarts[key] for key in keys]
    return np.stack([pair[0] for pair in pairs], axis=1), np.stack([pair[1] for pair in pairs], axis=1)


def hands_at(lived: Lived, moments: Floats, state: Ints) -> Floats:
    """When hands are there for a trouble that begins at a moment, with so many parts broken.

    Args:
        lived: the runs.
        moments: (n,) seconds.
        state: (n,) the set of broken parts; where an alarm stands in it, the trouble is told.
    """
    known: Known = lived.known
    told = lived.back[known.alarms][:, state].any(axis=0)
    after = np.where(told, known.scene.told_s, known.scene.seen_s)
    return known.scene.hands_at(moments + after)
