"""What could make room where a copy finds none on what is left of its pool?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework.errors import QuestionError
from falsework.findings.edits.scene import Scene, copies_of, leaned_on
from falsework.findings.edits.writing import Edit, put
from falsework.model.parts import ThingId
from falsework.model.services import Service, owner

OTHERS = 6
"""Other services of the pool that are thought of."""


def room(at: Scene, service: str) -> Iterator[Edit]:
    """Another service that may be left out: the largest first, but none that an aim speaks of or something leans on."""
    pools = {copy.pool for copy in copies_of(at.lab, service)} - {""}
    aimed = {name for aim in at.lab.aims if aim.of is not None for name in aim.of.ids}
    leaned = leaned_on(at.lab)
    found: dict[str, float] = {}
    for pool in at.standing.support.rooms:
        for copy, takes in zip(pool.copies, pool.takes, strict=True):
            of = owner(at.lab.things, copy)
            if pool.pool in pools and of != service and of not in aimed | leaned:
                found[of] = max(found.get(of, 0.0), takes[1])
    for name in sorted(found, key=lambda each: -found[each])[:OTHERS]:
        thing = at.lab.things[ThingId(name)]
        if isinstance(thing, Service) and not thing.sheds:
            try:
                texts = put(at.texts, thing, "sheds", "yes")
            except QuestionError:
                continue
            yield Edit(
                says=f"let {name} be left out when room is short",
                texts=texts,
                assumes=(f"{name} may stop until there is room again",),
            )
