"""Which copy more, or elsewhere, would a service need?"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from itertools import islice

from falsework import units
from falsework.findings.edits.scene import Scene, copies_of, other_nodes
from falsework.findings.edits.writing import Edit, Texts, listed_at, longer, put
from falsework.findings.finding import DATA_CAUTION
from falsework.model.parts import ThingId
from falsework.model.rules import majority_of
from falsework.model.services import Copy, Data, Service
from falsework.units import Dimension
from falsework.where import Where

Change = tuple[Where, Callable[[Texts, Where], Texts]]

PLACES = 3
"""Other nodes that are thought of for each copy."""


def copies(at: Scene, service: str) -> Iterator[Edit]:
    """A copy elsewhere instead of one that the loss takes, then a copy more; nearest to what is there first."""
    thing = at.lab.things.get(ThingId(service))
    if not isinstance(thing, Service) or thing.on is None:
        return
    mine = copies_of(at.lab, service)
    if any(copy.pool for copy in mine):
        yield from _in_pool(at, thing, mine)
        return
    if tuple(thing.on.ids) != tuple(copy.host for copy in mine):
        return  # it runs on fewer nodes than it may, and which is another question: placing
    fallen = [number for number, copy in enumerate(mine) if not at.stands(copy.host)]
    spare = len(mine) - majority_of(thing.serves, len(mine))
    several = len(fallen) - spare
    others = [node.id for node in islice(other_nodes(at, thing), max(PLACES, several))]
    if several > 1:
        # One by one would change nothing: all that are too many here go elsewhere together.
        if len(others) >= several:
            yield _moved(at, thing, mine, dict(zip(fallen, others[:several], strict=False)))
        return
    if len(mine) > 1:
        for number in fallen:
            for node in others[:PLACES]:
                yield _moved(at, thing, mine, {number: node})
    if thing.serves != "all":
        for node in others[:PLACES]:
            yield _more(at, thing, mine, node)


def _in_pool(at: Scene, service: Service, mine: tuple[Copy, ...]) -> Iterator[Edit]:
    """One copy more where its pool has room, kept apart from the others by box."""
    if service.placed is not None or service.serves == "all":
        return
    more = len(mine) + (1 if service.serves == "any" or len(mine) % 2 == 0 else 2)
    texts = put(at.texts, service, "copies", str(more))
    if "apart" not in service.places:
        texts = put(
            texts, service, "apart", "enclosure"
        )  # what was added stands behind, so its place is the same
    yield Edit(
        says=f"run {more} copies of {service.id} on {mine[0].pool}, apart by enclosure",
        texts=texts,
        assumes=(f"{service.id} can run as {more} copies", *_takes(service), *_addressed(service, more)),
    )


def _moved(at: Scene, service: Service, mine: tuple[Copy, ...], new: Mapping[int, str]) -> Edit:
    """Copies, by their numbers, on other nodes; data of the service that lie with them go with them."""
    hosts = [new.get(number, copy.host) for number, copy in enumerate(mine)]
    moves = {mine[number].host: node for number, node in new.items()}
    held = list({data.id: data for was in moves for data in _data_on(at, service, was)}.values())
    changes: list[Change] = [(service.place("on"), lambda texts, where: listed_at(texts, where, hosts))]
    for data in held:
        ids = tuple(moves.get(name, name) for name in (data.in_.ids if data.in_ else ()))
        changes.append((data.place("in_"), lambda texts, where, ids=ids: listed_at(texts, where, ids)))  # type: ignore[misc]
    return Edit(
        says=f"run a copy of {service.id} "
        + ", and one ".join(f"on {node} instead of {was}" for was, node in moves.items()),
        texts=_in_turn(at, changes),
        assumes=(
            *(f"{node} can do for it what {was} does" for was, node in moves.items()),
            *((f"the address of {service.id} that clients know goes with it",) if service.reached_at else ()),
            *_takes(service),
            *_carried(held),
        ),
        caution=DATA_CAUTION if held else "",
        sort=f"a copy of {service.id} moved",
    )


def _more(at: Scene, service: Service, mine: tuple[Copy, ...], node: str) -> Edit:
    assert service.on is not None
    every = (*service.on.ids, node)
    changes: list[Change] = [
        (service.place("on"), lambda texts, where: listed_at(texts, where, every))
        if _patterned(at, service)
        else (service.place("on"), lambda texts, where: longer(texts, where, (node,)))
    ]
    held = [data for copy in mine[:1] for data in _data_on(at, service, copy.host)]
    changes.extend(
        (data.place("in_"), lambda texts, where: longer(texts, where, (node,)))
        for data in held
        if data.in_ is not None
    )
    texts = _in_turn(at, changes)
    many = "a second copy" if len(mine) == 1 else "one more copy"
    return Edit(
        says=f"run {many} of {service.id} on {node}",
        texts=texts,
        assumes=(
            f"{service.id} can run as {len(mine) + 1} copies, and {node} can do for it what {mine[0].host} does",
            *_takes(service),
            *_addressed(service, len(mine) + 1),
            *_carried(held),
        ),
        caution=DATA_CAUTION if held else "",
        sort=f"a copy of {service.id} more",
    )


def _in_turn(at: Scene, changes: list[Change]) -> Texts:
    """All changes made, the last place first, so that the others are where they were."""
    texts = at.texts
    for where, change in sorted(changes, key=lambda each: each[0], reverse=True):
        texts = change(texts, where)
    return texts


def _patterned(at: Scene, service: Service) -> bool:
    """Whether what is written stands for several: `desk-1..3`."""
    assert service.on is not None
    text = at.texts[service.place("on").file].split("\n")[service.place("on").line - 1][
        service.place("on").column - 1 :
    ]
    return text[:1] != "[" and len(service.on.ids) > 1


def _data_on(at: Scene, service: Service, host: str) -> Iterator[Data]:
    """The data of a service that lie on one of its own hosts."""
    for data in at.lab.of(Data):
        if data.of and service.id in data.of.ids and data.in_ and host in data.in_.ids:
            yield data


def _carried(held: list[Data]) -> tuple[str, ...]:
    return tuple(f"{data.id} is kept in step there as well" for data in held)


def _addressed(service: Service, count: int) -> tuple[str, ...]:
    """What clients take for granted, where there are fewer addresses than copies."""
    if not service.reached_at or len(service.reached_at) == count:
        return ()
    return (f"all copies answer at {', '.join(service.reached_at)}, or clients learn another address",)


def _takes(service: Service) -> tuple[str, ...]:
    if service.takes is None or service.takes.memory is None:
        return ()
    return (f"each copy takes {units.format(service.takes.memory, Dimension.DATA)} of memory",)
