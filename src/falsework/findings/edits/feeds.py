"""From where else could a machine be fed?"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

from falsework.errors import QuestionError, few
from falsework.findings.edits.scene import Scene, machine_of
from falsework.findings.edits.writing import Edit, alike, put
from falsework.findings.finding import POWER_CAUTION
from falsework.model.domains import housed_in
from falsework.model.lab import Lab
from falsework.model.parts import Circuit, Powered, Strip, Supply, ThingId, Ups
from falsework.support.standing import Standing

SOURCES = 3
"""Other sources that are thought of for each machine."""


def feeds(at: Scene, name: str) -> Iterator[Edit]:
    """A second source for what has its supplies on lost ones only, else another one instead."""
    thing = at.lab.things.get(ThingId(name))
    machine = machine_of(at.lab, thing.holder if isinstance(thing, Supply) else name)
    if machine is None or machine.fed_by is None or isinstance(machine, Circuit | Strip | Ups):
        return
    sources = list(dict.fromkeys(machine.fed_by.ids))
    for other in islice(_others(at, machine), SOURCES):
        yield from _fed(at.lab, machine, sources, other, instead=False)
    if len(sources) == 1:
        for other in islice(_others(at, machine), SOURCES):
            yield from _fed(at.lab, machine, sources, other, instead=True)


def _fed(lab: Lab, machine: Powered, sources: list[str], other: str, *, instead: bool) -> Iterator[Edit]:
    """Machines that one entry says are fed alike."""
    names = alike(lab, machine)
    if any(_sources(lab, name) != sources for name in names):
        return
    spare = (machine.supplies or 1) > len(sources) or len(machine.fed_by.ids if machine.fed_by else ()) > len(
        sources
    )
    value = other if instead and not spare else [*sources, other]
    if instead and spare:
        return
    try:
        texts = put(lab.files, machine, "fed by", value)
    except QuestionError:
        return
    if instead:
        says, costs = f"feed {few(names)} from {other} instead of {sources[0]}", f"an outlet of {other}"
    elif spare:
        says, costs = f"feed {few(names)} from {other} too", f"one of its cords reaches {other}"
    else:
        says = f"feed {few(names)} from {other} too"
        costs = "a second supply, and many small machines take none: look first"
    yield Edit(says=says, texts=texts, assumes=(costs,), caution=POWER_CAUTION)


def _others(at: Scene, machine: Powered) -> Iterator[str]:
    """Sources that stand and do not feed it yet: of the same sort, and not in another room."""
    lab = at.lab
    has = set(machine.fed_by.ids if machine.fed_by else ())
    words = {lab.things[ThingId(each)].IS for each in has}
    room = housed_in(lab.things, machine.id)[-1:]
    found = [
        thing
        for kind in (Strip, Circuit, Ups)
        for thing in lab.of(kind)
        if thing.id not in has and at.stands(thing.id) and thing.IS in words
    ]
    yield from (thing.id for thing in found if not room or housed_in(lab.things, thing.id)[-1:] in (room, []))


def _sources(lab: Lab, name: str) -> list[str]:
    thing = lab.things[ThingId(name)]
    return list(dict.fromkeys(thing.fed_by.ids)) if isinstance(thing, Powered) and thing.fed_by else []


def fed_from(standing: Standing, machine: Powered, source: str) -> Iterator[Edit]:
    """A machine fed from one more source, if it is not yet."""
    sources = list(dict.fromkeys(machine.fed_by.ids)) if machine.fed_by else []
    if machine.fed_by is not None and source not in sources:
        yield from _fed(standing.lab, machine, sources, source, instead=False)


def fed_instead(standing: Standing, machine: Powered, old: str, new: str) -> Iterator[Edit]:
    """A machine plugged into another source in place of one."""
    names = alike(standing.lab, machine)
    if any(_sources(standing.lab, name) != _sources(standing.lab, machine.id) for name in names):
        return
    value = [new if each == old else each for each in (machine.fed_by.ids if machine.fed_by else ())]
    try:
        texts = put(standing.lab.files, machine, "fed by", value if len(value) > 1 else value[0])
    except QuestionError:
        return
    yield Edit(
        says=f"feed {few(names)} from {new} instead of {old}",
        texts=texts,
        assumes=(f"an outlet of {new} for each",),
        caution=POWER_CAUTION,
    )
