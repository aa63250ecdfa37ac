"""What comes of taking the whole lab down, and what must be saved before?"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from falsework.analyses.rebuild.asking import Asking
from falsework.analyses.rebuild.destroyed import Ruin
from falsework.analyses.rebuild.knowing import Wants, readable
from falsework.analyses.rebuild.reasons import gone
from falsework.analyses.rebuild.regrowing import data_places
from falsework.analyses.rebuild.result import Save, Teardown, Way
from falsework.analyses.rebuild.saving import shortest
from falsework.errors import listed
from falsework.model.parts import Outside, Room, ThingId
from falsework.model.people import Person
from falsework.model.services import Data, Secret
from falsework.support.reached import ASSUMED_SIZE


def teardown(asking: Asking) -> Teardown:
    """The whole lab taken down and wiped, with nothing saved and with the shortest list saved.

    Saved data count as read from a drive or a place outside, saved keys as on paper.
    What expires and is renewed anyway need not be saved, unless something else is opened with it.
    """
    lab = asking.lab
    ruin = asking.destroying.teardown()
    wants = asking.knowing.wants(ruin)
    keys = (key.id for key in lab.of(Secret) if key.renewed_by is None)
    goals = frozenset((*(data.id for data in lab.of(Data)), *keys)) & asking.before
    sizes = {data.id: ASSUMED_SIZE if data.size is None else data.size for data in lab.of(Data)}
    there = _before_only(wants, asking.before)
    list_ = shortest(there, goals, {str(name): size for name, size in sizes.items()})
    saves = tuple(
        sorted(_saves(asking, ruin, wants, list_.of), key=lambda save: (save.word != "key", save.size))
    )
    saved = asking.loss(ruin, saved=list_.of)
    return Teardown(
        remains=tuple(
            thing.id for thing in lab.things.values() if isinstance(thing, Outside | Room | Person)
        ),
        unsaved=asking.loss(ruin) if list_.of else saved,
        saves=saves,
        size=sum(save.size for save in saves),
        takes_s=sum(save.takes_s for save in saves),
        proven=list_.proven,
        saved=saved,
        gone=tuple(
            fate.thing
            for fate in saved.fates
            if fate.way is Way.ONLY_HERE or (fate.way is Way.STAND_IN and not fate.stand_ins)
        ),
    )


def _before_only(wants: Wants, before: Collection[str]) -> Wants:
    """Without what can't be read even now: it can't be saved."""
    return Wants(
        ways={name: ways for name, ways in wants.ways.items() if name in before},
        enough={name: enough for name, enough in wants.enough.items() if name in before},
    )


def _saves(asking: Asking, ruin: Ruin, wants: Wants, names: Collection[str]) -> Iterator[Save]:
    lab = asking.lab
    known = readable(wants)
    all_ = readable(wants, names)
    for name in names:
        thing = lab.things[ThingId(name)]
        assert isinstance(thing, Data | Secret)
        rest = readable(wants, [each for each in names if each != name])
        brings = tuple(each for each in wants.ways if each in all_ and each not in rest)
        why = tuple(gone(asking.knowing, ruin, wants, known, thing))
        if isinstance(thing, Secret):
            yield Save(
                thing=name,
                word=thing.IS,
                size=0.0,
                to="on paper, with a person or in a place outside the lab",
                why=why,
                brings=brings,
                takes_s=0.0,
                slowest="",
                assumed=False,
                where=thing.where,
            )
            continue
        copying = asking.copier.copying(thing, data_places(thing), ())
        yield Save(
            thing=name,
            word=thing.IS,
            size=copying.size,
            to=f"to drives that stay out of it, or a place outside{_known_place(asking, thing)}, readable without anything of the lab",
            why=why,
            brings=brings,
            takes_s=copying.seconds,
            slowest=copying.slowest,
            assumed=copying.assumed,
            where=thing.where,
        )


def _known_place(asking: Asking, data: Data) -> str:
    """An outside place that already takes backups of other data."""
    outside = {each.id for each in asking.lab.of(Outside)}
    used = dict.fromkeys(
        place
        for other in asking.lab.of(Data)
        if other.id != data.id
        for backup in other.backed_up
        for place in backup.to.ids
        if place in outside
    )
    return f", such as {listed(used, 2)}" if used else ""
