"""Which parts may have failed, given what fails and what is answered?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from falsework.analyses.diagnosis.candidates import candidates_of
from falsework.analyses.diagnosis.causes import causes_of
from falsework.analyses.diagnosis.next_test import MOST_STATES, MOST_TIMED, next_tests, taken_apart
from falsework.analyses.diagnosis.priors import Priors, priors, with_programs
from falsework.analyses.diagnosis.reports import reports_of
from falsework.analyses.diagnosis.result import Diagnosis, Report
from falsework.analyses.diagnosis.states import (
    Event,
    States,
    events_of,
    likely_states,
    stands,
    stands_at,
)
from falsework.analyses.diagnosis.watched import Watched, watched
from falsework.engines.diagnosing.likely import left_out
from falsework.engines.diagnosing.posterior import entropy_bits, likelihoods
from falsework.engines.sparse import Lists
from falsework.support.standing import Standing

Floats = NDArray[np.float64]
MOST_CAUSES = 8
"""Causes that are told."""
CLOSE = (1.0, 0.8, 1.25)
"""How far off a moment may be, times being foretold only so well: it may be any of these multiples of what was said."""


def diagnose(
    standing: Standing,
    failing: Sequence[str] = (),
    answered: Sequence[str] = (),
    *,
    looked: Sequence[str] = (),
    since_s: float | None = None,
    unseen_s: float | None = None,
    programs: bool = True,
    most: int = MOST_CAUSES,
) -> Diagnosis:
    """What may have broken, given what fails and what does not; what is not named is not known.

    Args:
        standing: the lab, with what is known to be out.
        failing: probes, services or machines that are not answered.
        answered: those that are.
        looked: lamps that were looked at, such as "desk-3: dark" or "sw-1: lit".
        since_s: how long ago the trouble began, seconds: holds may not have run out yet and take-overs may be under
            way. Without it all has settled.
        unseen_s: how long ago something may have failed that nobody knows of, seconds.
        programs: whether services and copies of them may fail by themselves, too.
        most: how many causes to tell.

    Raises:
        QuestionError: a name is not known, nothing was said, or two sayings contradict each other.

    Cost:
        One run over all single losses, then up to `states.MOST_SETS` sets of them, 64 to a word.
    """
    lab, prior = scene_of(standing, unseen_s=unseen_s, at_least_s=since_s or 0.0, programs=programs)
    reports = reports_of(lab, failing, answered, looked)
    states, posterior, rest = _weighed(lab, prior, reports, since_s)
    chance_of = chances(states, posterior)
    apart = taken_apart(states, posterior, MOST_STATES if since_s is None else MOST_TIMED)
    causes = causes_of(lab, states, posterior, reports, most)
    return Diagnosis(
        reports=reports,
        causes=causes,
        rest=max(1.0 - sum(cause.posterior for cause in causes), 0.0),
        left_out=rest,
        tried=len(posterior),
        chance_of=chance_of,
        unseen_s=prior.unseen_s,
        since_s=since_s,
        unknown_bits=entropy_bits(apart.chance),
        next=next_tests(lab, prior, states, apart, candidates_of(lab, reports, chance_of), since_s),
        assumed=(
            *prior.assumed,
            *(["a service, or a copy, fails for a reason of its own once in ten years"] if programs else []),
            *_assumed(reports),
        ),
    )


def scene_of(
    standing: Standing, *, unseen_s: float | None = None, at_least_s: float = 0.0, programs: bool = True
) -> tuple[Watched, Priors]:
    """The lab with its probes, and what may have happened in it; the arguments are those of `diagnose`."""
    parts = priors(standing, unseen_s=unseen_s, at_least_s=at_least_s)
    lab = watched(standing, parts.unseen_s, programs=programs)
    return lab, with_programs(parts, [name for name in lab.support.parts if name in lab.programs])


def _weighed(
    lab: Watched, prior: Priors, reports: Sequence[Report], since_s: float | None
) -> tuple[States, Floats, float]:
    """The states, their posterior, and what was left out against them."""
    things = [report.thing for report in reports]
    yes = np.array([report.yes for report in reports])
    false_alarms = np.array([report.false_alarms for report in reports])
    misses = np.array([report.misses for report in reports])
    events = events_of(lab, prior, things, merged=since_s is None)
    odds = np.array([event.odds for event in events])
    ratio = misses / (1.0 - false_alarms)
    # A take-over of something else may hide for a while what is down, so there nothing is known of sets by their parts.
    harm = np.ones(len(events)) if since_s is not None else _harm(lab, events, things, yes, ratio)
    sets = likely_states(odds, harm, timed=since_s is not None)
    moments = None if since_s is None else tuple(since_s * each for each in CLOSE)
    stand = _stand(lab, events, sets.members, things, moments)
    chance = np.mean([likelihoods(each, yes, false_alarms, misses) for each in stand], axis=0)
    weight = sets.odds * chance
    total = float(weight.sum())
    best = float(np.where(yes, 1.0 - false_alarms, np.maximum(1.0 - misses, false_alarms)).prod())
    rest = best * left_out(sets, odds, harm < 1.0, float(harm[harm < 1.0].max(initial=0.0)))
    states = States(events=events, sets=sets, stands=stand[0])
    return states, weight / total, rest / total


def _harm(
    lab: Watched, events: Sequence[Event], things: Sequence[str], yes: NDArray[np.bool_], ratio: Floats
) -> Floats:
    """By how much each event makes what is known less likely, at least: (n_events,).

    What takes down something that is answered makes all that it is part of unlikely: everything is monotone.
    `ratio` is how much less likely an answer is from what is down than from what stands.
    """
    alone = Lists(indptr=np.arange(len(events) + 1), items=np.arange(len(events)))
    singles = stands(lab, events, alone, things)
    spoils = np.where(yes[:, np.newaxis] & ~singles, ratio[:, np.newaxis], 1.0)
    return np.asarray(spoils.min(axis=0, initial=1.0), dtype=np.float64)


def _stand(
    lab: Watched,
    events: Sequence[Event],
    members: Lists,
    things: Sequence[str],
    moments_s: tuple[float, ...] | None,
) -> NDArray[np.bool_]:
    """Whether each thing stands at each moment, or once all has settled: (n_moments, n_things, n_sets)."""
    if moments_s is None:
        return stands(lab, events, members, things)[np.newaxis]
    lost = [
        tuple(part for event in members.row(number).tolist() for part in events[event].lost)
        for number in range(len(members))
    ]
    return stands_at(lab, lost, things, moments_s)


def chances(states: States, posterior: Floats) -> Mapping[str, float]:
    """Of each part that can matter the chance that it is out."""
    found: dict[str, float] = {}
    members = states.sets.members
    owner = np.repeat(np.arange(len(members)), members.sizes)
    # A part may be out by itself or by a cause it shares: the chance that neither is so, set by set.
    of_event = [np.zeros(len(members), dtype=np.bool_) for _ in states.events]
    for number in range(len(states.events)):
        of_event[number][owner[members.items == number]] = True
    matter = {part for event in states.events if not event.shared for part in event.parts}
    escapes: dict[str, Floats] = {}
    for number, event in enumerate(states.events):
        happened = of_event[number]
        for at, part in enumerate(event.parts):
            if part not in matter:
                continue  # it shares a cause with one that does
            inside = 1.0 if event.shared else event.shares[at]
            escapes[part] = escapes.get(part, np.ones(len(members))) * np.where(happened, 1.0 - inside, 1.0)
    for part, stays in escapes.items():
        found[part] = float(((1.0 - stays) * posterior).sum())
    return found


def _assumed(reports: Sequence[Report]) -> list[str]:
    said = []
    if any(report.assumed and not report.looked for report in reports):
        said.append(
            "where nobody gives false alarms and misses, 1 answer in 100,000 is missing though all is well, and what "
            "is answered is down 1 time in a million, or in 100,000 where a person says so"
        )
    if any(report.looked for report in reports):
        said.append(
            "a lamp that is lit is said to be dark 1 time in 100,000, one that is dark to be lit 1 in 1,000"
        )
    return said
