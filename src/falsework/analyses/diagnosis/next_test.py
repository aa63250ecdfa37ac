"""Which question, put next, tells the most of what it was, for the least effort?

Every candidate is tried: the drop of the entropy to be expected from its answer, over all states that are left,
divided by the minutes that it takes.

What is unknown is which of the failures that matter for what is known already have happened.
Other failures can spoil the answer to a new question too; where all sets of all failures are few, they are summed
over, else each is taken to spoil it by itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, product

import numpy as np
from numpy.typing import NDArray

from falsework.analyses.diagnosis.candidates import Candidate
from falsework.analyses.diagnosis.priors import Priors
from falsework.analyses.diagnosis.result import Next
from falsework.analyses.diagnosis.states import Event, States, events_of, stands, stands_at
from falsework.analyses.diagnosis.watched import Watched
from falsework.engines.diagnosing.posterior import gains_bits
from falsework.engines.sparse import Lists, lists_of

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
MOST_STATES, MOST_TIMED = 4_000, 250
"""States that are told apart; the likeliest."""
MOST_FEW = 1 << 14
"""Sets of all failures, up to which all are summed over."""
ENOUGH, FEW_STATES = 1.0 - 1e-7, 1_000
"""States that are told apart at least if there are as many; beyond that the likeliest, until they are all but sure."""
LEAST_BITS = 1e-4
"""What tells less is not offered."""
_HOW = ("probe", "ping", "controller", "service", "program", "lamp", "swap")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Apart:
    """What may have happened, each part by itself.

    Attributes:
        lost: of each state the parts that are lost.
        chance: (n_states,), adds up to 1.
    """

    lost: tuple[tuple[str, ...], ...]
    chance: Floats


def next_tests(
    lab: Watched,
    prior: Priors,
    states: States,
    apart: Apart,
    candidates: Sequence[Candidate],
    since_s: float | None,
) -> tuple[Next, ...]:
    """What to ask next, the most told for the least effort first.

    Args:
        lab: the lab with its probes.
        prior: the chances before anything was asked.
        states: sets of failures.
        apart: what may have happened, each part by itself.
        candidates: everything that could be asked.
        since_s: how long ago the trouble began, seconds; None if all has settled.
    """
    if not candidates or len(apart.lost) < 2:
        return ()
    things = [each.thing for each in candidates]
    false_alarms = np.array([each.false_alarms for each in candidates])
    misses = np.array([each.misses for each in candidates])
    up = _stand(lab, apart.lost, things, since_s)
    others = _others(lab, prior, states, things)
    undisturbed = _undisturbed(lab, apart, others, things, up, since_s)
    yes = (1.0 - false_alarms)[:, np.newaxis] * undisturbed + misses[:, np.newaxis] * (1.0 - undisturbed)
    gains = gains_bits(apart.chance, yes)
    chances = yes @ apart.chance
    found = [
        Next(
            how=each.how,
            name=each.name,
            says=each.says,
            option=each.option,
            yes=float(chances[number]),
            gain_bits=float(gains[number]),
            minutes=each.minutes,
            hands=each.hands,
        )
        for number, each in enumerate(candidates)
        if gains[number] > LEAST_BITS
    ]
    return tuple(sorted(found, key=_rank))


def _rank(each: Next) -> tuple[float, int, str]:
    """The most told a minute first; of what tells as much, what is asked anyway before what takes a hand."""
    return (-round(each.bits_a_minute, 3), _HOW.index(each.how), each.name)


def taken_apart(states: States, posterior: Floats, most: int) -> Apart:
    """The states with each part by itself: parts that nothing told apart so far may be by what comes next.

    Args:
        states: sets of failures.
        posterior: (n_sets,) of each.
        most: how many states at most, the likeliest.
    """
    lost: list[tuple[str, ...]] = []
    chance: list[float] = []
    seen = 0.0
    for number in np.argsort(-posterior, kind="stable").tolist():
        events = [states.events[event] for event in states.sets.members.row(number).tolist()]
        ways = [_ways(event, max(most - len(lost), 1)) for event in events]
        for way in product(*ways):
            names = dict.fromkeys(part for parts, _ in way for part in parts)
            lost.append(tuple(names))
            share = 1.0
            for _, each in way:
                share *= each
            chance.append(float(posterior[number]) * share)
        seen += float(posterior[number])
        if len(lost) >= most or (seen > ENOUGH and len(lost) >= FEW_STATES):
            break
    weights = np.array(chance)
    return Apart(lost=tuple(lost), chance=weights / weights.sum())


def _ways(event: Event, most: int) -> list[tuple[tuple[str, ...], float]]:
    """Which of its parts failed, given that one did or more, with their chances."""
    if event.shared or len(event.parts) == 1:
        return [(event.lost if event.shared else event.parts, 1.0)]
    odds = dict(zip(event.parts, (chance / (1.0 - chance) for chance in event.chances), strict=True))
    sizes = range(1, len(odds) + 1) if len(odds) < 12 and (1 << len(odds)) <= most else (1,)
    groups = [group for size in sizes for group in combinations(event.parts, size)]
    weights = [float(np.prod([odds[part] for part in group])) for group in groups]
    total = sum(weights)
    return [(group, weight / total) for group, weight in zip(groups, weights, strict=True)]


def _others(lab: Watched, prior: Priors, states: States, things: Sequence[str]) -> tuple[Event, ...]:
    """Failures that matter for what could be asked, and not for what was."""
    known = {part for event in states.events for part in event.parts if not event.shared}
    shared = {event.shared for event in states.events if event.shared}
    events = events_of(lab, prior, things, merged=False)
    return tuple(
        event
        for event in events
        if (event.shared not in shared if event.shared else event.parts[0] not in known)
    )


def _undisturbed(
    lab: Watched,
    apart: Apart,
    others: Sequence[Event],
    things: Sequence[str],
    up: Bools,
    since_s: float | None,
) -> Floats:
    """The chance, in each state, that each thing stands, whatever else has failed: (n_things, n_states)."""
    sure = up.astype(np.float64)
    if not others:
        return sure
    odds = np.array([event.odds for event in others])
    if len(others) < 14 and len(apart.lost) << len(others) <= MOST_FEW:
        found = np.zeros(up.shape)
        for happened in product((False, True), repeat=len(others)):
            weight = float(np.prod(np.where(happened, odds, 1.0) / (1.0 + odds)))
            also = tuple(
                part
                for happens, event in zip(happened, others, strict=True)
                if happens
                for part in event.lost
            )
            found += weight * _stand(lab, [(*lost, *also) for lost in apart.lost], things, since_s)
        return found
    # What failed unseen before this trouble has settled, whenever the trouble began.
    alone = _stand(lab, [event.lost for event in others], things, None)
    stays: Floats = np.exp(-(~alone @ np.log1p(odds)))
    sure *= stays[:, np.newaxis]
    return sure


def _stand(
    lab: Watched, lost: Sequence[Sequence[str]], things: Sequence[str], since_s: float | None
) -> Bools:
    if since_s is not None:
        found: Bools = stands_at(lab, lost, things, (since_s,))[0]
        return found
    names = sorted({part for each in lost for part in each})
    number = {name: at for at, name in enumerate(names)}
    events = [Event(parts=(name,), shared="", chances=(0.5,), lost=(name,)) for name in names]
    members: Lists = lists_of([sorted({number[part] for part in each}) for each in lost])
    return stands(lab, events, members, things)
