"""What would take load, or a surge, off a source of power that is asked for too much?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework import units
from falsework.analyses.power.inrush import inrush
from falsework.errors import QuestionError, few
from falsework.findings.edits.feeds import fed_instead
from falsework.findings.edits.writing import Edit, Texts, alike, put
from falsework.findings.finding import POWER_CAUTION
from falsework.model.lab import Lab
from falsework.model.parts import Circuit, Enclosure, Node, Powered, Strip, Switch, ThingId
from falsework.support.standing import Standing
from falsework.units import Dimension

BRANCHES = 2000
MACHINES = 8
"""Entries of machines that are thought of."""


def unloaded(standing: Standing, source: str) -> Iterator[Edit]:
    """One entry of machines after the other on another source instead."""
    lab = standing.lab
    seen = set()
    kinds = (Strip, Circuit)
    others = [each.id for kind in kinds for each in lab.of(kind) if each.IS == lab.things[ThingId(source)].IS]
    for kind in (Node, Enclosure, Switch):
        for machine in lab.of(kind):
            if machine.fed_by is not None and source in machine.fed_by.ids and machine.where not in seen:
                seen.add(machine.where)
                if len(seen) > MACHINES:
                    return
                for other in others:
                    if other not in machine.fed_by.ids:
                        yield from fed_instead(standing, machine, source, other)


def one_after_another(standing: Standing) -> Iterator[Edit]:
    """Outlets that come on one after another, else machines that wait."""
    found = inrush(standing, branches=BRANCHES)
    if found.start is None or not found.start.groups:
        return
    lab = standing.lab
    gap = units.format(max(found.start.gap_s, 1.0), Dimension.TIME)
    over = [rush.source for rush in found.sources if rush.over]
    strips = [
        strip
        for strip in lab.of(Strip)
        if strip.staggers is None
        and (strip.id in over or set(strip.fed_by.ids if strip.fed_by else ()) & {*over})
    ]
    texts, done = _each(lab, [(strip, "staggers", gap) for strip in strips])
    if done:
        yield Edit(
            says=f"let the outlets of {few(done)} come on {gap} apart",
            texts=texts,
            assumes=("strips that switch their outlets on one after another",),
            caution=POWER_CAUTION,
        )
    after = {each.machine: each.after_s for each in found.start.later if each.after_s > 0}
    waits: list[tuple[Powered, str, str]] = []
    seen = set()
    for name in after:
        thing = lab.things[ThingId(name)]
        if isinstance(thing, Powered) and thing.where not in seen:
            seen.add(thing.where)
            longest = max(after.get(each, 0.0) for each in alike(lab, thing))
            waits.append((thing, "comes on after", units.format(longest, Dimension.TIME)))
    texts, done = _each(lab, waits)
    if done:
        yield Edit(
            says=f"let {few(done)} wait before they come on, {found.start.groups} groups {gap} apart",
            texts=texts,
            assumes=("their firmware, or their outlets, can be told to wait",),
            caution=POWER_CAUTION,
        )


def _each(lab: Lab, changes: list[tuple[Powered, str, str]]) -> tuple[Texts, list[str]]:
    """All of them made, the last in the file first, so that the others are where they were."""
    texts: Texts = lab.files
    done: list[str] = []
    for thing, key, value in sorted(changes, key=lambda each: each[0].where, reverse=True):
        try:
            texts = put(texts, thing, key, value)
        except QuestionError:
            continue
        done.append(thing.id)
    return texts, done[::-1]
