"""What do the runs of a record teach of a lab: times, days on which something was seen to work, failures?"""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

from falsework.analyses.comparing import Comparison, compare
from falsework.analyses.comparing.compare import prediction, with_out
from falsework.analyses.learning.counting import counted, repaired, written
from falsework.analyses.learning.measured import Measured, measured
from falsework.analyses.learning.proving import proved
from falsework.analyses.learning.result import Learnt, Proof, Update
from falsework.errors import FalseworkError
from falsework.model.lab import Lab
from falsework.model.parts import Cable, Card, Controller, Part, Supply, Thing, ThingId
from falsework.model.timing import (
    ASSUMED,
    WRITTEN,
    Timing,
    belief_of,
    figure_of,
    moved,
    timed_of,
    times_of,
)
from falsework.record.observed import Observed
from falsework.support.standing import Standing


@dataclass(slots=True)
class _Times:
    """New times of one figure, and their runs."""

    new: list[Timing] = field(default_factory=list)
    runs: list[int] = field(default_factory=list)


def learn(standing: Standing, runs: Sequence[Observed]) -> Learnt:
    """What runs teach that the lab file does not have yet.

    A time that is in the file already is known by the moment at which its run began, so that the same run is learnt
    once; days only move forward; failures are counted from the moment on that the file names.

    Args:
        standing: the lab as it is.
        runs: of its record, in their order; those that have not ended are passed over.
    """
    times: defaultdict[tuple[str, str], _Times] = defaultdict(_Times)
    proofs: dict[tuple[str, str], Proof] = {}
    passed: list[tuple[int, str, str]] = []
    ended = [each for each in runs if each.run.ended]
    passed.extend((each.run.number, "", "it has not come to its end") for each in runs if not each.run.ended)
    for observed in ended:
        run = observed.run
        try:
            at, comparison, lines = _one(standing, observed)
        except FalseworkError as error:
            passed.append((run.number, "", str(error)))
            continue
        if comparison.why_not and run.tries != "restore":
            continue  # a run that only watched: its failures are counted, and there is nothing to compare
        for each in lines:
            if isinstance(each, Measured):
                timing = Timing(each.took_s, written(run.began))
                if _is_new(standing.lab, each, timing):
                    times[each.thing, each.attribute].new.append(timing)
                    times[each.thing, each.attribute].runs.append(run.number)
            else:
                passed.append((run.number, *each))
        for proof in proved(at, observed, comparison):
            why = _why_unsaid(standing.lab, proof.thing)
            if why:
                passed.append((run.number, proof.thing, why))
                continue
            known = proofs.get((proof.thing, proof.key))
            if known is None or known.on < proof.on:
                proofs[proof.thing, proof.key] = proof
    for name, timing, number in repaired(standing, ended):
        if _is_new(standing.lab, Measured(thing=name, attribute="mends_in", took_s=timing.took_s), timing):
            times[name, "mends_in"].new.append(timing)
            times[name, "mends_in"].runs.append(number)
    order = {name: number for number, name in enumerate(standing.lab.things)}
    updates = [_update(standing.lab, *name, each) for name, each in times.items()]
    return Learnt(
        updates=tuple(sorted(updates, key=lambda each: (order[ThingId(each.thing)], each.key))),
        proofs=tuple(sorted(proofs.values(), key=lambda each: order[ThingId(each.thing)])),
        counts=tuple(counted(standing, ended)),
        passed=tuple(passed),
        runs=len(runs),
    )


def _one(
    standing: Standing, observed: Observed
) -> tuple[Standing, Comparison, list[Measured | tuple[str, str]]]:
    run = observed.run
    at = with_out(standing, run.out)
    found = compare(at, observed)
    lines: list[Measured | tuple[str, str]] = []
    if not found.why_not and found.lost:
        lines = list(measured(at, prediction(at, found.lost).loss, found))
    return at, found, lines


def _is_new(lab: Lab, found: Measured, timing: Timing) -> bool:
    timed = timed_of(lab.things[ThingId(found.thing)])
    known = times_of(timed).get(found.attribute, ()) if timed is not None else ()
    on = datetime.datetime.fromisoformat(timing.on)
    return all(not each.on or datetime.datetime.fromisoformat(each.on) != on for each in known)


def _why_unsaid(lab: Lab, name: str) -> str:
    """Why a day can't be said of a thing alone; empty where it can."""
    thing = lab.things[ThingId(name)]
    held = isinstance(thing, Part) and thing.in_ is not None and name.startswith(f"{thing.in_.ids[0]}.")
    if held or isinstance(thing, Cable | Card | Controller | Supply):
        return "it has no entry of its own to say a day in"
    if any(
        each.where == thing.where and each.IS == thing.IS for each in lab.things.values() if each is not thing
    ):
        return "its entry stands for several things, and not all of them were tried"
    return ""


def _update(lab: Lab, name: str, attribute: str, found: _Times) -> Update:
    thing: Thing = lab.things[ThingId(name)]
    timed = timed_of(thing)
    known = times_of(timed).get(attribute, ()) if timed is not None else ()
    prior = belief_of(thing, attribute)
    before = figure_of(thing, attribute)
    posterior, after = moved(before, prior, [each.took_s for each in found.new])
    written = attribute in thing.places
    return Update(
        thing=name,
        key=attribute.replace("_", " "),
        before=before,
        written=written,
        known=known,
        new=tuple(found.new),
        prior=prior,
        posterior=posterior,
        after=after,
        guessed=0.0 if prior is None else WRITTEN if written else ASSUMED,
        runs=tuple(found.runs),
    )
