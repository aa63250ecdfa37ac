"""What is a drill foretold to do to each service, and when?"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from falsework.analyses.cold_start import ColdStart
from falsework.analyses.cold_start.aimed import start_of
from falsework.analyses.drilling.result import Foretold
from falsework.analyses.explain import told
from falsework.analyses.verdicts import NEVER, Loss, Verdict, losses
from falsework.support.probing import questions
from falsework.support.standing import Standing
from falsework.support.stopped import STOPPED, stoppable


def foretold(standing: Standing, tries: str, taken: Collection[str]) -> tuple[Foretold, ...]:
    """What a drill does to each service that does not merely stand, worst and earliest first.

    Args:
        standing: the lab, with what is out beforehand.
        tries: as `model.drilling.TRIED`.
        taken: the parts that it takes out, and the copies and stores that it stops.
    """
    if tries == "cold start":
        return of_cold_start(standing, start_of(standing))
    if not taken:
        return ()
    return of_loss(standing, losses(stoppable(standing), [tuple(taken)])[0])


def of_loss(standing: Standing, loss: Loss) -> tuple[Foretold, ...]:
    """The same of a loss that is known."""
    seen = probes_of(standing)
    # Nobody loses a copy that is stopped, or a store that is full.
    stops = {
        name: "is full" if thing.word == "store" else "is stopped"
        for name in loss.lost
        if (thing := standing.support.things[name]).word in STOPPED
    }
    found = []
    for effect in loss.effects:
        if effect.verdict is Verdict.STANDS or not standing.baseline.back(effect.service):
            continue
        back = 0.0
        if effect.verdict is Verdict.BLINKS:
            back = effect.falls_s + effect.blinks_s
        elif effect.verdict >= Verdict.FALLS:
            back = NEVER
        found.append(
            Foretold(
                service=effect.service,
                verdict=effect.verdict,
                falls_s=effect.falls_s,
                back_s=back,
                why=_told(loss, effect.service, stops),
                probes=seen.get(effect.service, ()),
            )
        )
    return tuple(sorted(found, key=_rank))


def _told(loss: Loss, service: str, stops: Mapping[str, str]) -> str:
    said = told(loss.why(service))
    for name, says in stops.items():
        said = said.replace(f"{name} is lost", f"{name} {says}")
    return said


def of_cold_start(standing: Standing, start: ColdStart) -> tuple[Foretold, ...]:
    """Everything stops; what comes back does so in its time after the power is back."""
    seen = probes_of(standing)
    found = []
    for service in standing.support.services:
        if not standing.baseline.back(service):
            continue
        up = start.up_s.get(service, NEVER)
        stuck = service in start.stuck or up == NEVER
        found.append(
            Foretold(
                service=service,
                verdict=Verdict.FALLS if stuck else Verdict.BLINKS,
                falls_s=0.0,
                back_s=NEVER if stuck else up,
                why="the power is off",
                probes=seen.get(service, ()),
            )
        )
    return tuple(sorted(found, key=_rank))


def probes_of(standing: Standing) -> dict[str, tuple[str, ...]]:
    """By what they see, the probes of the lab."""
    found: dict[str, tuple[str, ...]] = {}
    for question in questions(standing.lab):
        found[question.sees] = (*found.get(question.sees, ()), question.name)
    return found


def services_standing(standing: Standing, effects: Sequence[Foretold]) -> tuple[str, ...]:
    """Services that go on, in lab order."""
    hit = {each.service for each in effects}
    return tuple(
        name for name in standing.support.services if name not in hit and standing.baseline.back(name)
    )


def _rank(each: Foretold) -> tuple[float, float, float, str]:
    return (-each.verdict, each.falls_s, -each.back_s, each.service)
