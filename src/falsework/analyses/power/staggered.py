"""In which few groups should machines come on, so that every breaker bears each moment?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from falsework.analyses.power.comers import Comer, moments
from falsework.analyses.power.inrush_result import Later, Start
from falsework.engines.bunching import Bunches, fewest_groups
from falsework.model.parts import Switch, ThingId
from falsework.support.graph import SupportGraph
from falsework.support.standing import Standing

GAPS_S = (2.0, 3.0, 5.0, 7.0, 11.0, 17.0, 29.0)
"""Between one group and the next: two seconds, since timers are not exact (assumed); longer where feeds that are live at
different times would make two groups meet again."""
MOST_RANKED = 200
"""Machines of which it is looked up who leans on them; of more only switches go first."""


def staggered(
    standing: Standing,
    comers: Sequence[Comer],
    limits: Mapping[str, float],
    *,
    branches: int,
) -> Start:
    """The fewest groups of machines, those first that others lean on.

    Every group must be borne while all other machines run at their busiest, whichever came before: so groups may
    come in any order. What can't wait, such as a battery with a surge of its own, comes before the first.

    Args:
        standing: the lab.
        comers: all that comes on.
        limits: what each source bears for a moment, A; only those that say.
        branches: looked at before what was found stands without proof.
    """
    names = list(limits)
    running = {source: sum(each.running_a.get(source, 0.0) for each in comers) for source in names}
    room = [max(limits[source] - running[source], 0.0) for source in names]
    sizes: list[dict[int, float]] = []
    grouped: list[Comer] = []
    alone: list[str] = []
    for each in comers:
        takes = {at: each.surge_a[source] for at, source in enumerate(names) if source in each.surge_a}
        if any(size > room[at] * (1 + 1e-9) for at, size in takes.items()):
            alone.append(each.name)
        elif each.moves and takes:
            grouped.append(each)
            sizes.append(takes)
    bunches = fewest_groups(sizes, room, nodes=branches)
    order = _order(standing, grouped, bunches)
    for gap in GAPS_S:
        later = tuple(_later(comers, grouped, bunches, order, gap))
        fits = _fits(comers, later, limits, frozenset(alone))
        if fits:
            break
    return Start(
        groups=bunches.count,
        gap_s=gap,
        later=later,
        proved=bunches.proved,
        alone=tuple(alone),
        fits=fits,
    )


def _later(
    comers: Sequence[Comer], grouped: Sequence[Comer], bunches: Bunches, order: Sequence[int], gap: float
) -> Iterator[Later]:
    begins = _begins(comers, grouped, gap)
    for rank, group in enumerate(order):
        at = begins + rank * gap
        for each, own in zip(grouped, bunches.group, strict=True):
            if own == group:
                yield Later(machine=each.name, group=rank + 1, at_s=at, after_s=at - _live(each))


def _live(each: Comer) -> float:
    """When the first of its feeds is live, seconds."""
    return min(each.fed_s.values(), default=0.0)


def _begins(comers: Sequence[Comer], grouped: Sequence[Comer], gap: float) -> float:
    """When the first group comes on: every machine's feed is live then, and what can't wait has come on."""
    live = max((_live(each) for each in grouped), default=0.0)
    fixed = [at for each in comers if not each.moves for at in each.at_s.values()]
    return max(live, max(fixed) + gap) if fixed else live


def _order(standing: Standing, grouped: Sequence[Comer], bunches: Bunches) -> list[int]:
    """The groups, those first in which a switch is, or something that much leans on."""
    leaning = _leaning(standing.support) if len(grouped) <= MOST_RANKED else {}
    rank: dict[int, tuple[bool, int]] = {}
    for each, group in zip(grouped, bunches.group, strict=True):
        switch = isinstance(standing.lab.things[ThingId(each.name)], Switch)
        mine = (switch, _reached(each.name, leaning, standing.support))
        rank[group] = max(rank.get(group, (False, 0)), mine)
    return sorted(rank, key=lambda group: (not rank[group][0], -rank[group][1], group))


def _leaning(support: SupportGraph) -> Mapping[str, list[str]]:
    found: dict[str, list[str]] = {}
    for name, thing in support.things.items():
        for lean in thing.leans:
            for on in lean.on:
                found.setdefault(on, []).append(name)
    return found


def _reached(name: str, leaning: Mapping[str, list[str]], support: SupportGraph) -> int:
    """How many services lean on a thing, over any number of others."""
    seen = {name}
    todo = [name]
    while todo:
        for each in leaning.get(todo.pop(), ()):
            if each not in seen:
                seen.add(each)
                todo.append(each)
    return sum(support.things[each].word == "service" for each in seen if each in support.things)


def _fits(
    comers: Sequence[Comer], later: Sequence[Later], limits: Mapping[str, float], alone: frozenset[str]
) -> bool:
    """Whether every source bears every moment, looked at anew: each feed of a machine has its own."""
    waits = {each.machine: each.after_s for each in later}
    moved = [
        replace(each, at_s={source: live + waits[each.name] for source, live in each.fed_s.items()})
        if each.name in waits
        else each
        for each in comers
        if each.name not in alone
    ]
    return all(
        moment.amperes <= limits[source] * (1 + 1e-9)
        for source in limits
        for moment in moments(source, moved)
    )
