"""What do the runs of a record teach of a lab: times, days on which something was seen to work, failures?"""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Iterator, Sequence

from falsework.analyses.comparing import Comparison, compare
from falsework.analyses.comparing.compare import prediction, with_out
from falsework.analyses.learning.counting import counted
from falsework.analyses.learning.measured import measured
from falsework.analyses.learning.mending import rebuilt, repaired
from falsework.analyses.learning.proving import proved
from falsework.analyses.learning.restoring import restored
from falsework.analyses.learning.result import Ask, Learnt, Measured, Passed, Proof, Update
from falsework.analyses.learning.stumbling import Trial, counts, trials
from falsework.analyses.learning.waking import woken
from falsework.analyses.learning.worked_out import worked_out_s
from falsework.errors import FalseworkError, QuestionError
from falsework.model.lab import Lab
from falsework.model.parts import Cable, Card, Controller, Part, Supply, Thing, ThingId
from falsework.model.timing import ASSUMED, WRITTEN, belief_of, figure_of, moved, timed_of, times_of
from falsework.record.observed import Observed
from falsework.support.standing import Standing
from falsework.units import format_time


def learn(standing: Standing, runs: Sequence[Observed], told: Sequence[Measured] = ()) -> Learnt:
    """What runs teach that the lab file does not have yet.

    A time that is in the file already is known by the moment at which its run began, so that the same run is learnt
    once; days only move forward; failures are counted from the moment on that the file names.

    Args:
        standing: the lab as it is.
        runs: of its record, in their order; those that have not ended are passed over.
        told: times that somebody measured otherwise.
    """
    lab = standing.lab
    heard: list[Measured | Passed] = []
    tried: list[Trial] = []
    proofs: dict[tuple[str, str], Proof] = {}
    ended = [each for each in runs if each.run.ended]
    heard.extend((each.run.number, "", "it has not come to its end") for each in runs if not each.run.ended)
    for observed in ended:
        run = observed.run
        try:
            at, comparison, lines, asked = _one(standing, observed)
        except FalseworkError as error:
            heard.append((run.number, "", str(error)))
            continue
        if comparison.why_not and run.tries != "restore":
            continue  # a run that only watched: its failures are counted, and there is nothing to compare
        heard.extend(lines)
        tried.extend(asked)
        heard.extend(woken(at, observed, comparison))
        heard.extend(restored(at, run))
        for proof in proved(at, observed, comparison):
            why = _why_unsaid(lab, proof.thing)
            if why:
                heard.append((run.number, proof.thing, why))
                continue
            known = proofs.get((proof.thing, proof.key))
            if known is None or known.on < proof.on:
                proofs[proof.thing, proof.key] = proof
    found = [*repaired(standing, ended), *rebuilt(standing, ended)]
    asks = sorted((each for each in found if isinstance(each, Ask)), key=lambda each: each.moment)
    _refuse_longer(asks, told)
    heard.extend(each for each in found if isinstance(each, Measured))
    heard.extend(told)
    times, passed = _sorted(lab, heard)
    order = {name: number for number, name in enumerate(lab.things)}
    updates = [_update(lab, *name, each) for name, each in times.items()]
    return Learnt(
        updates=tuple(sorted(updates, key=lambda each: (order[ThingId(each.thing)], each.key))),
        proofs=tuple(sorted(proofs.values(), key=lambda each: order[ThingId(each.thing)])),
        counts=tuple(counted(standing, ended)),
        stumbles=tuple(counts(lab, tried)),
        asks=tuple(
            each
            for each in asks
            if each.moment not in _moments(lab, each, times.get((each.thing, each.attribute), ()))
        ),
        passed=tuple(passed),
        runs=len(runs),
    )


def _one(
    standing: Standing, observed: Observed
) -> tuple[Standing, Comparison, list[Measured | Passed], list[Trial]]:
    run = observed.run
    at = with_out(standing, run.out)
    found = compare(at, observed)
    if found.why_not or not found.lost:
        return at, found, [], []
    loss = prediction(at, found.lost).loss
    return at, found, list(measured(at, loss, found, run)), list(trials(at, loss, found, run))


def _sorted(
    lab: Lab, heard: Sequence[Measured | Passed]
) -> tuple[dict[tuple[str, str], list[Measured]], list[Passed]]:
    """What is new, by figure, and what teaches nothing; a moment that a figure has a time of already is old."""
    times: defaultdict[tuple[str, str], list[Measured]] = defaultdict(list)
    passed: list[Passed] = []
    for each in heard:
        if not isinstance(each, Measured):
            passed.append(each)
        elif each.timing.on_moment not in _moments(lab, each, times[each.thing, each.attribute]):
            times[each.thing, each.attribute].append(each)
        elif not each.run:
            passed.append((0, each.thing, f"a time of {each.timing.on} is known already"))
    return {name: found for name, found in times.items() if found}, passed


def _refuse_longer(asks: Sequence[Ask], told: Sequence[Measured]) -> None:
    """Refuse what is told to have taken longer than was seen.

    Raises:
        QuestionError: that; the stopwatch, or whoever tells it, is wrong.
    """
    known = {(each.thing, each.attribute, each.moment): each for each in asks}
    for each in told:
        ask = known.get((each.thing, each.attribute, each.timing.on_moment))
        if ask is not None and each.timing.took_s > ask.at_most_s:
            raise QuestionError(
                f"{each.thing} {ask.key} {format_time(each.timing.took_s)} is told of {ask.on}, and run {ask.run} saw all of it "
                f"over after {format_time(ask.at_most_s)}",
                "Tell what part of that it was.",
            )


def _moments(lab: Lab, each: Measured | Ask, new: Sequence[Measured]) -> Iterator[datetime.datetime]:
    timed = timed_of(lab.things[ThingId(each.thing)])
    known = times_of(timed).get(each.attribute, ()) if timed is not None else ()
    for timing in (*known, *(other.timing for other in new)):
        if timing.on:
            yield timing.on_moment


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


def _update(lab: Lab, name: str, attribute: str, new: Sequence[Measured]) -> Update:
    thing: Thing = lab.things[ThingId(name)]
    timed = timed_of(thing)
    known = times_of(timed).get(attribute, ()) if timed is not None else ()
    before = figure_of(thing, attribute)
    by_itself = worked_out_s(lab, thing, attribute) if before is None else None
    prior = belief_of(thing, attribute, by_itself)
    if by_itself is not None and prior is not None:
        before = prior.middle
    posterior, after = moved(before, prior, [each.timing.took_s for each in new])
    written = attribute in thing.places
    return Update(
        thing=name,
        key=attribute.replace("_", " "),
        before=before,
        source="written" if written else "assumed" if by_itself is None else "worked out",
        known=known,
        new=tuple(each.timing for each in new),
        prior=prior,
        posterior=posterior,
        after=after,
        guessed=0.0 if prior is None else WRITTEN if written else ASSUMED,
        runs=tuple(each.run for each in new),
    )
