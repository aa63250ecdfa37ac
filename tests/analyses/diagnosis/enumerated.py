"""A diagnosis by trying every set of failures, one after the other."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import product

from tests import judge

from falsework.analyses.diagnosis.reports import reports_of
from falsework.analyses.diagnosis.whole import scene_of
from falsework.support.standing import Standing


def chances(
    standing: Standing,
    failing: Sequence[str],
    answered: Sequence[str],
    looked: Sequence[str] = (),
    *,
    programs: bool = False,
) -> tuple[dict[str, float], dict[tuple[str, ...], float]]:
    """The chance of each part that it is out, and of each set of parts that exactly these are."""
    lab, prior = scene_of(standing, programs=programs)
    reports = reports_of(lab, failing, answered, looked)
    events = [((part,), chance) for part, chance in prior.alone.items()]
    events += [(parts, chance) for _, parts, chance in prior.shared]
    answers: dict[frozenset[str], float] = {}
    joint: dict[tuple[str, ...], float] = {}
    for happened in product((False, True), repeat=len(events)):
        weight, lost = 1.0, set[str]()
        for happens, (parts, chance) in zip(happened, events, strict=True):
            weight *= chance if happens else 1.0 - chance
            if happens:
                lost.update(parts)
        key = frozenset(lost)
        if key not in answers:
            back = judge.judge(lab.support, key | standing.out).back
            answers[key] = math.prod(
                (1.0 - each.false_alarms if each.yes else each.false_alarms)
                if each.thing in back
                else (each.misses if each.yes else 1.0 - each.misses)
                for each in reports
            )
        name = tuple(part for part in prior.alone if part in key)
        joint[name] = joint.get(name, 0.0) + weight * answers[key]
    total = math.fsum(joint.values())
    sets = {name: weight / total for name, weight in joint.items()}
    parts = {part: math.fsum(weight for name, weight in sets.items() if part in name) for part in prior.alone}
    return parts, sets


def gains(
    standing: Standing,
    failing: Sequence[str],
    answered: Sequence[str],
    matter: frozenset[str],
    questions: Sequence[tuple[str, float, float]],
    *,
    programs: bool = False,
) -> list[float]:
    """The expected drop of the entropy of which of the parts that matter are out, bits, by each question.

    Args:
        standing: the lab, without shared causes.
        failing: what is known to fail.
        answered: what is known to be answered.
        matter: parts.
        questions: the thing that each asks about, its false alarms and misses.
        programs: whether services and copies may fail by themselves.
    """
    lab, prior = scene_of(standing, programs=programs)
    reports = reports_of(lab, failing, answered, ())
    states = []
    for happened in product((False, True), repeat=len(prior.alone)):
        lost = frozenset(part for part, out in zip(prior.alone, happened, strict=True) if out)
        back = judge.judge(lab.support, lost | standing.out).back
        weight = math.prod(
            chance if out else 1.0 - chance
            for out, chance in zip(happened, prior.alone.values(), strict=True)
        ) * math.prod(
            (1.0 - each.false_alarms if each.yes else each.false_alarms)
            if each.thing in back
            else (each.misses if each.yes else 1.0 - each.misses)
            for each in reports
        )
        states.append((lost & matter, back, weight))
    total = math.fsum(weight for _, _, weight in states)
    found = []
    for thing, false_alarm, miss in questions:
        sums: tuple[dict[frozenset[str], float], ...] = ({}, {})
        for mine, back, weight in states:
            yes = 1.0 - false_alarm if thing in back else miss
            for side, chance in zip(sums, (yes, 1.0 - yes), strict=True):
                side[mine] = side.get(mine, 0.0) + weight * chance
        drop = _bits([(sums[0][each] + sums[1][each]) / total for each in sums[0]])
        for side in sums:
            part = math.fsum(side.values())
            if part > 0.0:
                drop -= part / total * _bits([weight / part for weight in side.values()])
        found.append(drop)
    return found


def _bits(chances: Sequence[float]) -> float:
    return -math.fsum(chance * math.log2(chance) for chance in chances if chance > 0.0)
