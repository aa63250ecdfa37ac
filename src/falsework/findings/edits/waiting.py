"""What would let a lab come back by itself after a power cut?"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

from falsework import units
from falsework.analyses.cold_start import How, Root, Why, cold_start, why_stuck
from falsework.errors import QuestionError, few
from falsework.findings.edits.backing import kept_elsewhere
from falsework.findings.edits.scene import machine_of
from falsework.findings.edits.writing import Edit, longer, put, put_at, text_at, touched
from falsework.findings.finding import POWER_CAUTION
from falsework.model.lab import Lab
from falsework.model.needs import Need
from falsework.model.parts import Node, Powered, ThingId
from falsework.model.services import Copy, Secret, Service, owner
from falsework.support.graph import Role
from falsework.support.standing import Standing
from falsework.units import Dimension

MINUTE = 60.0
BOXES = 3
"""Machines that come on by themselves on which a share of a key is thought of."""


def waiting(standing: Standing) -> Iterator[Edit]:
    """An edit for each root of what stays down, where the lab file can say it otherwise."""
    for root in why_stuck(standing, cold_start(standing)).roots:
        try:
            yield from _of(standing, root)
        except QuestionError:
            continue


def blocks(standing: Standing) -> int:
    """How much keeps a lab from coming back: a hundred for each circle and each thing that stays off or tried too early.

    And one for each thing that hangs on them: a cause that is mended is a step, although nothing may come up before
    the last of them is.
    """
    found = cold_start(standing)
    if not found.stuck:
        return 0
    return 100 * (len(found.circles) + len(found.by_hand) + len(found.too_early)) + len(found.stuck)


def _of(standing: Standing, root: Root) -> Iterator[Edit]:
    lab = standing.lab
    if root.why is Why.OFF:
        for name in root.things[:1]:
            yield from _comes_on(lab, name)
    elif root.why is Why.EARLY:
        for name in root.things[:1]:
            yield from _keeps_trying(lab, owner(lab.things, name))
            yield from _wakes_later(standing, name)
    elif root.mend is not None and root.mend.how is How.FIXED_ADDRESS:
        yield from _by_address(lab, root)
    elif root.mend is not None and root.mend.how is How.KEEP_ELSEWHERE:
        for key in root.mend.things:
            yield from kept_elsewhere(standing, key)
            yield from _kept_on(standing, key)
    # A key that keeps a circle closed may be cut there as well, whatever the smallest cut is.
    for name in dict.fromkeys(root.things):
        if isinstance(lab.things.get(ThingId(name)), Secret) and not (
            root.mend is not None and root.mend.how is How.KEEP_ELSEWHERE
        ):
            yield from kept_elsewhere(standing, name)
            yield from _kept_on(standing, name)
    yield from _addresses_in(lab, root)


def _comes_on(lab: Lab, name: str) -> Iterator[Edit]:
    thing = lab.things.get(ThingId(name))
    if isinstance(thing, Powered):
        yield Edit(
            says=f"let {few(touched(lab, thing, 'power back'))} come on when power returns",
            texts=put(lab.files, thing, "power back", "on"),
            assumes=("its firmware has that setting, and somebody sets it",),
        )


def _keeps_trying(lab: Lab, name: str) -> Iterator[Edit]:
    thing = lab.things.get(ThingId(name))
    if isinstance(thing, Service) and thing.tries == "once":
        yield Edit(
            says=f"let {name} keep trying until what it needs is there",
            texts=put(lab.files, thing, "tries", "keeps trying"),
            assumes=(f"{name} can be set to try again",),
        )


def _wakes_later(standing: Standing, name: str) -> Iterator[Edit]:
    """The machine of what tries once comes on only when what it needs is up."""
    lab, up = standing.lab, cold_start(standing).up_s
    thing = standing.support.things[name]
    needed = [each for lean in thing.leans if lean.role is Role.NEED for each in lean.on]
    machine = machine_of(lab, thing.at("now")[0]) if thing.at("now") else None
    if not needed or any(each not in up for each in needed) or machine is None:
        return
    after = units.format(
        math.ceil((max(up[each] for each in needed) + 1.0) / MINUTE) * MINUTE, Dimension.TIME
    )
    names = touched(lab, machine, "comes on after")
    yield Edit(
        says=f"let {few(names)} come on {after} after the power",
        texts=put(lab.files, machine, "comes on after", after),
        assumes=("its firmware, or its outlet, can be told to wait",),
        caution=POWER_CAUTION,
    )


def _by_address(lab: Lab, root: Root) -> Iterator[Edit]:
    """Whoever looks a name up in order to start is told the address instead."""
    where = root.mend.where if root.mend is not None else None
    for service in lab.of(Service):
        if service.named is not None and service.place("named") == where:
            yield from _told_address(lab, service)


def _addresses_in(lab: Lab, root: Root) -> Iterator[Edit]:
    """The same for every name of what is in a circle."""
    if root.why is not Why.LOOP or (root.mend is not None and root.mend.how is How.FIXED_ADDRESS):
        return
    asked = {owner(lab.things, name) for name in root.things}
    for service in lab.of(Service):
        if service.named is not None and set(service.named.from_.ids if service.named.from_ else ()) & asked:
            yield from _told_address(lab, service)


def _told_address(lab: Lab, service: Service) -> Iterator[Edit]:
    known = service.reached_at or (service.floats.address if service.floats is not None else ())
    for need, of in _needs_of(lab, service.id):
        text = text_at(lab.files, need.where)
        if need.at or not known or text is None or need.of.ids != (service.id,):
            continue
        hold = f" for {units.format(need.for_, Dimension.TIME)}" if need.for_ else ""
        value = (
            f"{service.id} at {known[0]}{hold}"
            if len(known) == 1
            else {
                "of": service.id,
                "at": list(known),
                **({"for": units.format(need.for_, Dimension.TIME)} if need.for_ else {}),
            }
        )
        yield Edit(
            says=f"let {of} reach {service.id} at {', '.join(known)} instead of by its name",
            texts=put_at(lab.files, need.where, value),
            assumes=(f"the address of {service.id} stays, and {of} is told it",),
        )


def _needs_of(lab: Lab, name: str) -> Iterator[tuple[Need, str]]:
    """Everything that needs a service in order to run or start, by whom."""
    seen = set()
    for thing in lab.things.values():
        needs = thing.needs
        if needs is None or isinstance(thing, Copy):
            continue
        for need in (*needs.run_and_start, *needs.to_run, *needs.to_start):
            if name in need.of.ids and need.where not in seen:
                seen.add(need.where)
                yield need, thing.id


def _kept_on(standing: Standing, key: str) -> Iterator[Edit]:
    """A share of a key on a box that comes on by itself, and on which nothing that waits is needed."""
    lab = standing.lab
    secret = lab.things.get(ThingId(key))
    if not isinstance(secret, Secret) or secret.kept_in is None:
        return
    up = cold_start(standing).up_s
    kept = set(secret.kept_in.ids)
    boxes = [node.id for node in lab.of(Node) if node.id in up and node.id not in kept]
    bearing = Counter(copy.host for copy in lab.of(Copy))
    for name in sorted(boxes, key=lambda each: (-bearing[each], up[each]))[:BOXES]:
        yield Edit(
            says=f"keep {'a share of ' if (secret.enough or 1) > 1 else ''}{key} on {name} as well",
            texts=longer(lab.files, secret.place("kept_in"), (name,)),
            assumes=(f"{name} is as safe as the key must be: who takes the box has it",),
            sort=f"{key} on a box",
        )
