"""What could make room where a copy finds none on what is left of its pool?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework.errors import QuestionError
from falsework.findings.edits.scene import Scene, copies_of, leaned_on
from falsework.findings.edits.writing import Edit, put
from falsework.model.forms import Bound
from falsework.model.parts import ThingId
from falsework.model.services import Service, owner
from falsework.support.settling import Packer
from falsework.support.standing import Standing

OTHERS = 6
"""Other services of the pool that are thought of."""


def room(at: Scene, service: str) -> Iterator[Edit]:
    """Another service that may be left out: the largest first, but none that an aim speaks of or something leans on."""
    pools = {copy.pool for copy in copies_of(at.lab, service)} - {""}
    yield from _shedding(at.standing, pools, {service})


def roomier(standing: Standing, gone: Bound | None) -> Iterator[Edit]:
    """The same for copies that find no room without one of several things, those themselves included."""
    for service in dict.fromkeys(owner(standing.lab.things, copy) for copy in homeless(standing, gone)):
        pools = {copy.pool for copy in copies_of(standing.lab, service)} - {""}
        yield from _shedding(standing, pools, set())


def homeless(standing: Standing, gone: Bound | None) -> list[str]:
    """The copies that find no room, again for each of the things without which they are to have it."""
    names = [name for name in (gone.ids if gone is not None else ()) if name not in standing.out]
    found: list[str] = []
    for view in standing.views([(name,) for name in names]):
        for pool in standing.support.rooms:
            lost = frozenset(number for number, host in enumerate(pool.hosts) if not view.up(host))
            settled = Packer(pool).settle(lost)
            found.extend(pool.copies[number] for number in sorted(settled.homeless) if not pool.sheds[number])
    return found


def _shedding(standing: Standing, pools: set[str], but: set[str]) -> Iterator[Edit]:
    lab = standing.lab
    aimed = {name for aim in lab.aims if aim.of is not None for name in aim.of.ids}
    spared = aimed | leaned_on(lab) | but
    found: dict[str, float] = {}
    for pool in standing.support.rooms:
        for copy, takes in zip(pool.copies, pool.takes, strict=True):
            of = owner(lab.things, copy)
            if pool.pool in pools and of not in spared:
                found[of] = max(found.get(of, 0.0), takes[1])
    for name in sorted(found, key=lambda each: -found[each])[:OTHERS]:
        thing = lab.things[ThingId(name)]
        if isinstance(thing, Service) and not thing.sheds:
            try:
                texts = put(lab.files, thing, "sheds", "yes")
            except QuestionError:
                continue
            yield Edit(
                says=f"let {name} be left out when room is short",
                texts=texts,
                assumes=(f"{name} may stop until there is room again",),
            )
