"""Why does a thing come back, or not, in clauses that lead from one to the next?"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from falsework import units
from falsework.analyses.rebuild.destroyed import Ruin
from falsework.analyses.rebuild.knowing import Asks, Knowing, Wants, lacking_of, open_
from falsework.analyses.rebuild.regrowing import data_places
from falsework.analyses.rebuild.result import Source
from falsework.engines.ways import shortest_circle
from falsework.errors import listed
from falsework.model.services import Backup, Data, Secret
from falsework.units import Dimension


def gone(
    knowing: Knowing, ruin: Ruin, wants: Wants, known: Collection[str], thing: Data | Secret
) -> Iterator[str]:
    """Why data or a key are gone for good."""
    if isinstance(thing, Data):
        yield from _gone_data(knowing, ruin, wants, known, thing)
    else:
        yield from _gone_key(ruin, wants, known, thing)


def _gone_data(
    knowing: Knowing, ruin: Ruin, wants: Wants, known: Collection[str], data: Data
) -> Iterator[str]:
    ways = dict(wants.ways[data.id])
    if data.id in ruin.destroyed:
        yield f"{data.id} is destroyed wherever it lies"
    else:
        for place in data_places(data):
            if place in ways:
                yield f"{place} survives, but can't be opened without {_lacking(ways[place], known)}"
            elif place in ruin.destroyed:
                yield f"it lies in {place}, which is destroyed"
            else:
                yield f"it lies in {place}, of which too much is destroyed"
    if not data.backed_up:
        yield "nothing backs it up"
    for backup in data.backed_up:
        asks = knowing.backup(ruin, data, backup)
        where = listed(backup.to.ids)
        if asks is None:
            yield f"its backup in {where} lies on what is destroyed too"
        elif not open_(asks, known):
            yield f"its backup in {where} can't be read without {_lacking(asks, known)}"


def _gone_key(ruin: Ruin, wants: Wants, known: Collection[str], key: Secret) -> Iterator[str]:
    if key.id in ruin.destroyed:
        yield f"{key.id} is lost wherever it is kept"
        return
    ways = dict(wants.ways[key.id])
    places = key.kept_in.ids if key.kept_in else ()
    kept = [place for place in places if place in ways and open_(ways[place], known)]
    if wants.enough[key.id] > 1:
        yield f"it takes {wants.enough[key.id]} of {len(places)}, and {len(kept) or 'none'} can be had{f': {listed(kept)}' if kept else ''}"
    for place in places:
        if place not in kept and place in ways:
            yield f"{place} can't give it without {_lacking(ways[place], known)}"
    lost = [place for place in places if place not in ways]
    if lost:
        only = "only in" if len(places) == 1 else "in"
        yield f"it is kept {only} {listed(lost, 6)}, {'which is' if len(lost) == 1 else 'all'} destroyed"


def mend_of_data(wants: Wants, known: Collection[str], data: Data) -> str:
    """What would have brought data back that are gone."""
    for _, asks in wants.ways[data.id]:
        if not open_(asks, known):
            return f"keep {_lacking(asks, known)} also where this does not reach: on paper, or outside"
    again = "another backup" if data.backed_up else "a backup"
    return f"keep {again} where this does not reach, best outside, and restore from it once"


def mend_of_key(key: Secret) -> str:
    """What would have brought a key back that is gone."""
    what = "one more share of it" if (key.enough or 1) > 1 else "it"
    return f"keep {what} also where this does not reach: on paper, or outside"


def mend_of_stuck(stand_ins: Sequence[str], copies: Sequence[str]) -> str:
    """What would let a thing come back that waits for what never comes, even with all accepted stand-ins."""
    ways = [
        *([f"keep a copy of {_or(copies)} out of the lab"] if copies else []),
        *([f"accept a stand-in for {_or(stand_ins)}"] if stand_ins else []),
    ]
    return (
        ", or ".join(ways)
        or "no one stand-in and no one copy would do: cut the circle in more than one place"
    )


def _or(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"one of {listed(names, 5)}"


def _lacking(asks: Asks, known: Collection[str]) -> str:
    return listed(lacking_of(asks, known))


def own_circle(wants: Wants, known: Collection[str], start: str) -> tuple[str, ...]:
    """The shortest circle of data and keys through one of them, that can't be read for want of each other."""

    def waits(name: str) -> list[str]:
        return [
            each
            for _, asks in wants.ways[name]
            for ask in asks
            if sum(one in known for one in ask.of) < ask.enough
            for each in ask.of
            if each not in known
        ]

    return shortest_circle(start, waits)


def restored(source: Source) -> Iterator[str]:
    """What is to be said of a restore."""
    every = (
        f", made every {units.format(source.every_s, Dimension.TIME)}" if source.every_s is not None else ""
    )
    yield f"it comes back from its backup in {listed(source.to)}{every}"
    if source.proved is None:
        yield "no restore from there was ever seen to work"
    else:
        yield f"a restore from there was last seen to work on {source.proved.isoformat()}"
    if source.needs:
        yield f"it can't be read without {listed(source.needs)}"


def source(backup: Backup, outside: Collection[str]) -> Source:
    """A backup as the source of a restore."""
    return Source(
        to=backup.to.ids,
        every_s=backup.every,
        proved=backup.restored,
        outside=all(each in outside for each in backup.to.ids),
        needs=backup.needs.ids if backup.needs else (),
        where=backup.where,
    )
