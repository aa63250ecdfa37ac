"""Which drive could give way to one of another batch?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from falsework.errors import QuestionError
from falsework.findings.edits.writing import Edit, Texts, put, put_at
from falsework.findings.finding import DATA_CAUTION
from falsework.model.lab import Lab
from falsework.model.parts import Drive, Enclosure, Node, ThingId
from falsework.model.services import Store
from falsework.support.standing import Standing

Holder = Node | Enclosure
PLACES = 4
"""Drives of other stores that are thought of for each drive."""


def mixed_batches(standing: Standing, drives: tuple[str, ...]) -> Iterator[Edit]:
    """One of several drives of a batch given way to one from the shelf, else its place changed with another store's."""
    lab = standing.lab
    for name in drives:
        drive = lab.things.get(ThingId(name))
        if isinstance(drive, Drive):
            yield from _from_the_shelf(lab, drive)
    for name in drives:
        drive = lab.things.get(ThingId(name))
        if isinstance(drive, Drive):
            yield from _changed_places(lab, drive)


def _from_the_shelf(lab: Lab, drive: Drive) -> Iterator[Edit]:
    """A spare of another batch, and no smaller."""
    holder = _holder(lab, drive)
    for kind, spare in lab.spares.items():
        like = next((each for each in lab.of(Drive) if each.kind_name == kind), None)
        if not spare.shelf or like is None or like.batch == drive.batch or holder is None:
            continue
        if like.size is None or drive.size is None or like.size < drive.size:
            continue
        try:
            # The shelf stands further down as a rule; what is written last must not have moved.
            where = spare.places.get("shelf", spare.where)
            changes = [(where, ""), (holder.where, kind)]
            texts: Texts = lab.files
            for at, new in sorted(changes, reverse=True):
                texts = (
                    put_at(texts, at, str(spare.shelf - 1))
                    if not new
                    else _held(texts, holder, {drive.id: new})
                )
        except QuestionError:
            continue
        yield Edit(
            says=f"put a {kind} from the shelf in the place of {drive.id}",
            texts=texts,
            assumes=("a rebuild of the store, and one spare less",),
            caution=DATA_CAUTION,
        )


def _changed_places(lab: Lab, drive: Drive) -> Iterator[Edit]:
    """A drive of another store, of another batch and the same size."""
    mine = _holder(lab, drive)
    laid = {name: store.id for store in lab.of(Store) for name in (store.drives.ids if store.drives else ())}
    found = 0
    for other in lab.of(Drive):
        holder = _holder(lab, other)
        if (
            mine is None
            or holder is None
            or holder.where == mine.where
            or laid.get(other.id) in (None, laid.get(drive.id))
            or other.batch == drive.batch
            or other.size != drive.size
        ):
            continue
        found += 1
        if found > PLACES:
            return
        swapped = ((mine, {drive.id: other.kind_name}), (holder, {other.id: drive.kind_name}))
        try:
            texts: Texts = lab.files
            for each, kinds in sorted(swapped, key=lambda pair: pair[0].where, reverse=True):
                texts = _held(texts, each, kinds)
        except QuestionError:
            continue
        yield Edit(
            says=f"let {drive.id} and {other.id} change places",
            texts=texts,
            assumes=("a rebuild of both stores, one after the other",),
            caution=DATA_CAUTION,
        )


def _holder(lab: Lab, drive: Drive) -> Holder | None:
    """What a drive is in, if it says its drives by kind."""
    holder = lab.things.get(ThingId(drive.in_.ids[0])) if drive.in_ is not None else None
    if not isinstance(holder, Node | Enclosure) or any(each.over is not None for each in holder.drives):
        return None
    own = drive.id.removeprefix(f"{holder.id}.")
    return holder if any(own in each.names for each in holder.drives) else None


def _held(texts: Texts, holder: Holder, kinds: Mapping[ThingId, str]) -> Texts:
    """The holder says each of its drives by name, some of another kind than before."""
    inner = {name: each.kind for each in holder.drives for name in each.names}
    inner.update({name.removeprefix(f"{holder.id}."): kind for name, kind in kinds.items()})
    return put(texts, holder, "drives", inner)
