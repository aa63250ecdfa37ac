"""Is there room for the load and for the data when something is gone, and for how much more?"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence

from falsework.analyses.room.leaving import Leaver
from falsework.analyses.room.more import Adding, count_more
from falsework.analyses.room.result import After, Amounts, More, PoolLeft, RoomLeft
from falsework.analyses.room.sizes import size_of
from falsework.analyses.room.storing import stored
from falsework.model.parts import ThingId
from falsework.model.services import Copy, Service
from falsework.support.asked import asked_parts
from falsework.support.graph import Room
from falsework.support.placing.losing import MACHINES, rooms_without
from falsework.support.standing import Standing

Progress = Callable[[str, int, int], None]
MOST_WORK = 1_000
"""Losses x services, summed over pools, up to which the copies that could be added are counted unasked."""


def _quiet(_what: str, _done: int, _all: int) -> None:
    """Tell nobody."""


def room_left(
    standing: Standing,
    *,
    lose: Sequence[str] = (),
    add: Sequence[str] = (),
    more: bool | None = None,
    progress: Progress = _quiet,
) -> RoomLeft:
    """The room that every loss leaves, what could be added, and the stores.

    Args:
        standing: the lab; parts out beforehand stay out.
        lose: parts, or words such as `node` or `strip` for all parts that are one; each is lost alone. Where none
            is said, those for which an aim wants room, else every node and enclosure that takes a host away.
        add: sizes, written as in a lab file, of which to count how many more copies fit, each one of its own.
        more: whether to count that for the services on a pool too; where nobody says, if it does not take long.
        progress: told what is being done.

    Raises:
        QuestionError: a name is no part and no word, or a size can't be read.
    """
    sizes = [(text, size_of(text)) for text in add]
    names = asked_parts(standing, lose) if lose else _aimed(standing)
    aimed = bool(names) and not lose
    if not names:
        names = _machines(standing)
    progress("looking at who stays up", 0, 1)
    rooms = standing.support.rooms
    out, *gone = rooms_without(standing, [(), *((name,) for name in names)])
    leavers = [Leaver(standing.lab, room) for room in rooms]
    after: list[After] = []
    if any(out):
        after.append(After(lost="", pools=tuple(_pools(leavers, out, [frozenset[int]()] * len(rooms)))))
    for at, name in enumerate(names):
        progress("packing what restarts", at, len(names))
        pools = tuple(_pools(leavers, gone[at], out))
        if pools or lose or aimed:
            after.append(After(lost=name, pools=pools))
    kinds = [_kinds(standing, room) for room in rooms]
    losses = [{each[at] for each in gone} for at in range(len(rooms))]
    if more is None:
        more = sum(len(one) * len(two) for one, two in zip(losses, kinds, strict=True)) <= MOST_WORK
    return RoomLeft(
        aimed=aimed,
        after=tuple(after),
        more=tuple(_more(standing, losses, out, sizes, kinds if more else [{}] * len(rooms), progress)),
        counted=more or not any(kinds),
        overfull=tuple(
            hole for leaver, lost in zip(leavers, out, strict=True) for hole in leaver.overfull(lost)
        ),
        stores=stored(standing),
        unsized=_unsized(standing),
    )


def _pools(
    leavers: Sequence[Leaver], gone: Sequence[frozenset[int]], out: Sequence[frozenset[int]]
) -> Iterator[PoolLeft]:
    for leaver, lost, before in zip(leavers, gone, out, strict=True):
        if lost - before:
            yield leaver.after(lost)


def _aimed(standing: Standing) -> tuple[str, ...]:
    names = (name for aim in standing.lab.aims if aim.room_without for name in aim.room_without.ids)
    return tuple(name for name in dict.fromkeys(names) if name not in standing.out)


def _machines(standing: Standing) -> tuple[str, ...]:
    things = standing.support.things
    return tuple(part for part in standing.parts if things[part].word in MACHINES)


def _more(
    standing: Standing,
    losses: Sequence[Collection[frozenset[int]]],
    out: Sequence[frozenset[int]],
    add: Sequence[tuple[str, Amounts]],
    kinds: Sequence[Mapping[str, int]],
    progress: Progress,
) -> Iterator[More]:
    """What could be added to each pool: the sizes that were asked for, then its services."""
    rooms = standing.support.rooms
    asked: list[tuple[int, Adding, str]] = []
    for at, room in enumerate(rooms):
        asked.extend((at, Adding(takes=takes), text) for text, takes in add)
        asked.extend(
            (at, Adding(takes=room.takes[number], like=number), name) for name, number in kinds[at].items()
        )
    for done, (at, adding, name) in enumerate(asked):
        progress("counting what could be added", done, len(asked))
        room = rooms[at]
        counted = count_more(room, adding, sorted(losses[at], key=sorted), out=out[at])
        thing = standing.lab.things.get(ThingId(name)) if adding.like >= 0 else None
        yield More(
            pool=room.pool,
            of=name,
            least=counted.least,
            most=counted.most,
            hosts=tuple(room.hosts[host] for host in counted.hosts),
            where=thing.where if thing is not None else None,
        )


def _kinds(standing: Standing, room: Room) -> Mapping[str, int]:
    """Each service of which a copy takes something, and its first copy (position)."""
    found: dict[str, int] = {}
    for number, name in enumerate(room.copies):
        copy = standing.lab.things[ThingId(name)]
        if isinstance(copy, Copy) and any(room.takes[number]):
            found.setdefault(copy.service, number)
    return found


def _unsized(standing: Standing) -> tuple[str, ...]:
    """Services on a pool that do not say what a copy takes."""
    lab = standing.lab
    names = dict.fromkeys(copy.service for copy in lab.of(Copy) if copy.pool)
    things = (lab.things[ThingId(name)] for name in names)
    return tuple(str(thing.id) for thing in things if isinstance(thing, Service) and thing.takes is None)
