"""Where else could a backup go, a key be kept, or a drive lie?"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

from falsework import units
from falsework.errors import QuestionError
from falsework.findings.edits.scene import Scene, leaned_on
from falsework.findings.edits.writing import Edit, longer, put, put_at
from falsework.findings.finding import DATA_CAUTION
from falsework.model.lab import Lab
from falsework.model.parts import Outside, Powered, ThingId
from falsework.model.people import Alarm
from falsework.model.services import Data, Secret, Service, Store
from falsework.support.standing import Standing
from falsework.units import Dimension

TARGETS = 6
"""Other places that are thought of for one backup."""
DAILY = "1 day"


def moved_backups(standing: Standing, data: Data) -> Iterator[Edit]:
    """Each backup of some data to another place instead."""
    for backup in data.backed_up:
        for target in islice(_targets(standing.lab, data), TARGETS):
            if target not in backup.to.ids:
                yield Edit(
                    says=f"back {data.id} up to {target} instead of {', '.join(backup.to.ids)}",
                    texts=put_at(standing.lab.files, backup.place("to"), target),
                    assumes=_room(data, target),
                    caution=DATA_CAUTION,
                )


def backups_of(at: Scene, data: Data) -> Iterator[Edit]:
    """A backup more, where the loss does not reach."""
    for target in islice(_targets(at.lab, data), TARGETS):
        if target in {name for backup in data.backed_up for name in backup.to.ids}:
            continue
        if target in at.standing.support.things and not at.stands(target):
            continue
        yield from _one_more(at.standing, data, target)


def first_backups(standing: Standing, data: Data) -> Iterator[Edit]:
    """A backup for data that have none."""
    for target in islice(_targets(standing.lab, data), TARGETS):
        yield from _one_more(standing, data, target)


def _one_more(standing: Standing, data: Data, target: str) -> Iterator[Edit]:
    every = units.format(data.may_lose, Dimension.TIME) if data.may_lose else DAILY
    if data.backed_up and len(data.backed_up) == 1 and data.backed_up[0].where == data.place("backed_up"):
        return  # one backup that is written as no list: putting it into one is left to its owner
    try:
        texts = put(standing.lab.files, data, "backed up", {"to": target, "every": every})
    except QuestionError:
        return
    if not data.backed_up:
        yield Edit(
            says=f"back {data.id} up to {target} every {every}",
            texts=texts,
            assumes=_room(data, target),
            caution=DATA_CAUTION,
        )


def oftener(standing: Standing, data: Data) -> Iterator[Edit]:
    """As often as the owner says that work may be lost."""
    if data.may_lose is None or len(data.backed_up) != 1 or "every" not in data.backed_up[0].places:
        return
    every = units.format(data.may_lose, Dimension.TIME)
    yield Edit(
        says=f"back {data.id} up every {every}",
        texts=put_at(standing.lab.files, data.backed_up[0].places["every"], every),
        assumes=("a backup is through before the next one begins",),
        caution=DATA_CAUTION,
    )


def kept_elsewhere(standing: Standing, key: str) -> Iterator[Edit]:
    """A key on paper or outside as well: where another key is kept already first."""
    secret = standing.lab.things.get(ThingId(key))
    if not isinstance(secret, Secret) or secret.kept_in is None:
        return
    for place in _keepers(standing.lab):
        if place not in secret.kept_in.ids:
            yield Edit(
                says=f"keep {key} in {place} as well",
                texts=longer(standing.lab.files, secret.place("kept_in"), (place,)),
                assumes=(f"{place} is as safe as the key must be, and somebody can get at it",),
            )


def _keepers(lab: Lab) -> Iterator[str]:
    """Where else a key may be kept: outside things that nothing is fed from, those that keep keys already first."""
    keeps = [name for key in lab.of(Secret) if key.kept_in for name in key.kept_in.ids]
    outside = [each.id for each in _outside(lab)]
    yield from sorted(outside, key=lambda each: each not in keeps)


def _outside(lab: Lab) -> Iterator[Outside]:
    """Things outside that machines neither lean on nor are fed from: places with people, and drawers."""
    feeding = {name for thing in lab.of(Powered) if thing.fed_by for name in thing.fed_by.ids}
    ways = {name for alarm in lab.of(Alarm) if alarm.leaves_by for name in alarm.leaves_by.ids}
    leaned = leaned_on(lab) - {
        name for data in lab.of(Data) for each in data.backed_up for name in each.to.ids
    }
    yield from (each for each in lab.of(Outside) if each.id not in feeding | ways | leaned)


def _targets(lab: Lab, data: Data) -> Iterator[str]:
    """Where else a backup could go: where others go already, then other stores, then outside."""
    home = set(data.in_.ids if data.in_ else ())
    others = [name for each in lab.of(Data) for backup in each.backed_up for name in backup.to.ids]
    served = {
        name
        for each in lab.of(Service)
        if each.id in others and each.state_in is not None
        for name in each.state_in.ids
    }
    stores = [store.id for store in lab.of(Store) if store.id not in served]
    outside = [each.id for each in _outside(lab)]
    yield from (name for name in dict.fromkeys((*others, *stores, *outside)) if name not in home)


def _room(data: Data, target: str) -> tuple[str, ...]:
    if data.size is None:
        return (f"{target} has room for it",)
    return (f"{target} has room for {units.format(data.size, Dimension.DATA)}",)
