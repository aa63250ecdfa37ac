"""What is to be done before a drill, and what is to be minded though it does not speak against it?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from falsework.analyses.drilling.may_result import Against, Because
from falsework.analyses.drilling.weighing import Weighing
from falsework.analyses.verdicts import Verdict, verdict_rows
from falsework.errors import few
from falsework.model.parts import ThingId
from falsework.model.people import Alarm
from falsework.model.services import Service
from falsework.support.standing import Standing
from falsework.support.stopped import stoppable

MOST_OUT = 4
"""Parts out today that are tried as the first to bring back; each asks the whole lab again."""
MOST_GROUPS = 3
"""Further parts named that must not fail meanwhile, those that do the same counted once."""


def first(of: Weighing, because: Sequence[Because]) -> Iterator[str]:
    """What to do before, the most useful first."""
    whats = {each.what for each in because}
    about = {what: [name for each in because if each.what is what for name in each.about] for what in whats}
    if whats & {Against.AIM, Against.FALLS, Against.DATA, Against.SILENT} and of.standing.out:
        back = _back_first(of)
        yield (
            f"Bring {back} back first: with it this drill may be done"
            if back
            else f"Mend what is out ({few(sorted(of.standing.out))}), and ask again"
        )
    elif Against.AIM in whats or Against.FALLS in whats:
        yield "Mend the plan first: it does not hold this even with nothing out (`falsework check`)"
    if Against.DATA in whats:
        yield f"Make a backup of {few(about[Against.DATA])} elsewhere, and restore from it once to prove it"
    if Against.UNPROVED in whats:
        yield f"Restore {few(about[Against.UNPROVED])} from a backup first, and write the day into the lab file"
    if Against.SILENT in whats and not of.standing.out:
        yield "Give the lab a second way for an alarm to leave that this drill does not touch"
    if Against.NOTHING in whats:
        yield f"Bring {few(about[Against.NOTHING])} back first"


def _back_first(of: Weighing) -> str:
    """A part out today with which, were it back, nothing would speak against it."""
    for name in sorted(of.standing.out)[:MOST_OUT]:
        other = Standing(of.lab, out=of.standing.out - {name})
        if not Weighing(other, of.plan, of.planned).because():
            return name
    return ""


def mind(of: Weighing) -> Iterator[str]:
    """What is told and does not speak against it."""
    falls = [each for each in of.effects if each.verdict >= Verdict.FALLS and not of.late(each)]
    services = [each.service for each in falls if isinstance(of.lab.things[ThingId(each.service)], Service)]
    if services and of.plan.tries != "cold start":
        yield f"As the plan says, {few(services)} {'falls' if len(services) == 1 else 'fall'} in it"
    blinks = [each.service for each in of.effects if each.verdict is Verdict.BLINKS]
    if of.plan.tries == "cold start":
        yield "Everything stops in it: choose a time when nobody needs any of it"
    elif blinks:
        yield f"Choose a quiet hour: {few(blinks)} {'is' if len(blinks) == 1 else 'are'} interrupted"
    if of.standing.out:
        yield f"Already out: {few(sorted(of.standing.out))}"
    if not of.lab.of(Alarm):
        yield "The lab has no alarm: watch by eye until all is back"
    for parts, services in _critical(of):
        yield f"While it lasts, losing {_either(parts)} too would bring down {few(services, 3)}"


def _critical(of: Weighing) -> list[tuple[list[str], list[str]]]:
    """Parts that are single points while it lasts and are not now, with the services that they bring down."""
    if of.then is None:
        return []
    before = stoppable(of.standing)
    now, then = (
        verdict_rows(lab, rows) for lab, rows in zip((before, of.then), of.without_others, strict=True)
    )
    stands = np.array([of.then.baseline.back(name) for name in before.support.services])
    new = (then >= Verdict.FALLS) & (now < Verdict.FALLS) & stands[:, np.newaxis]
    alike: dict[tuple[str, ...], list[str]] = {}
    for column in np.flatnonzero(new.any(axis=0)).tolist():
        hurt = tuple(before.support.services[row] for row in np.flatnonzero(new[:, column]).tolist())
        alike.setdefault(hurt, []).append(of.others[column])
    groups = sorted(alike.items(), key=lambda each: -len(each[0]))[:MOST_GROUPS]
    return [(those, list(hurt)) for hurt, those in groups]


def _either(parts: Sequence[str]) -> str:
    more = f" (or {len(parts) - 2} more)" if len(parts) > 2 else ""
    return f"{' or '.join(parts[:2])}{more}"
