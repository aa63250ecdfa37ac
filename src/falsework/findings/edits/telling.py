"""By which other way could an alarm leave?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework.findings.edits.falling import falling
from falsework.findings.edits.scene import leaned_on
from falsework.findings.edits.writing import Edit, put, put_in_section
from falsework.model.lab import Lab
from falsework.model.parts import Outside, Powered, Thing, ThingId
from falsework.model.people import Alarm
from falsework.model.services import Secret, Service
from falsework.support.standing import Standing

PARTS = 3
"""Lost parts for which a way is thought of in one go."""


def other_ways(standing: Standing, parts: tuple[str, ...]) -> Iterator[Edit]:
    """A second alarm by another way out, then whatever keeps the way up that there is."""
    lab = standing.lab
    bells = lab.of(Alarm)
    yield from _second_bell(lab, bells)
    for part in parts[:PARTS]:
        yield from falling(standing, (part,), of=frozenset(bell.id for bell in bells))


def _second_bell(lab: Lab, bells: tuple[Alarm, ...]) -> Iterator[Edit]:
    first = bells[0]
    used = {name for bell in bells for name in (bell.leaves_by.ids if bell.leaves_by else ())}
    raised = list(first.raised_by.ids) if first.raised_by else []
    inside = [name for name in (first.leaves_by.ids if first.leaves_by else ()) if _is(lab, name, Service)]
    name = next(
        each for each in ("second way", *(f"way {n}" for n in range(3, 99))) if each not in lab.things
    )
    for way in _ways_out(lab):
        if way in used:
            continue
        for leaves in ([*inside[:1], way], [way]):
            yield Edit(
                says=f"let a second alarm leave by {' and '.join(leaves)}",
                texts=put_in_section(
                    lab.files,
                    "alarms",
                    name,
                    {
                        "raised by": raised[0] if len(raised) == 1 else raised,
                        "leaves by": leaves[0] if len(leaves) == 1 else leaves,
                    },
                ),
                assumes=(f"messages can leave by {way}, and somebody hears them",),
            )


def _ways_out(lab: Lab) -> Iterator[str]:
    """Outside things that services lean on as ways to the world: named together with one that alarms leave by."""
    feeding = {name for thing in lab.of(Powered) if thing.fed_by for name in thing.fed_by.ids}
    used = {name for bell in lab.of(Alarm) for name in (bell.leaves_by.ids if bell.leaves_by else ())}
    beside: dict[str, None] = {}
    for service in lab.of(Service):
        needs = service.needs
        for need in (*needs.run_and_start, *needs.to_run) if needs else ():
            if set(need.of.ids) & used:
                beside.update(dict.fromkeys(need.of.ids))
    yield from (name for name in beside if name not in feeding | used and _is(lab, name, Outside))


def _is(lab: Lab, name: str, kind: type[Thing]) -> bool:
    return isinstance(lab.things.get(ThingId(name)), kind)


def missed(standing: Standing, alarm: str) -> Iterator[Edit]:
    """Somebody outside who notices when no message comes any more."""
    lab = standing.lab
    bell = next((each for each in lab.of(Alarm) if each.id == alarm), None)
    feeding = {name for thing in lab.of(Powered) if thing.fed_by for name in thing.fed_by.ids}
    if bell is None:
        return
    ways = set(bell.leaves_by.ids if bell.leaves_by else ())
    keeps = {name for key in lab.of(Secret) if key.kept_in for name in key.kept_in.ids}
    for each in lab.of(Outside):
        if each.id not in feeding | ways | leaned_on(lab) | keeps:
            yield Edit(
                says=f"let {each.id} expect a sign of life of {alarm}",
                texts=put(lab.files, bell, "silence seen by", each.id),
                assumes=(f"somebody at {each.id} agrees to look, and to call",),
            )
