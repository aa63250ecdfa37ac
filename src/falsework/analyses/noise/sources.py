"""Which machines make noise, how much, and in which room?"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from falsework.analyses.noise.figures import Figures
from falsework.model.domains import housed_in
from falsework.model.lab import Lab
from falsework.model.parts import Enclosure, Node, Part, Room, Switch, ThingId, Ups

HUMS = (Enclosure, Node, Switch, Ups)
"""What makes noise although nobody says so."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Machines that are alike, in one room.

    Attributes:
        things: their names, in lab order.
        word: what they are.
        told_db: the level of one at one metre; None where nobody says.
        room: where they stand.
    """

    things: tuple[str, ...]
    word: str
    told_db: float | None
    room: str

    @property
    def said(self) -> bool:
        """Whether the lab file says their level."""
        return self.told_db is not None

    def level_db(self, figures: Figures) -> float:
        """The level of one at one metre, or what is taken for it."""
        if self.told_db is not None:
            return self.told_db
        return figures[self.word]


def sources(lab: Lab) -> tuple[tuple[Source, ...], tuple[str, ...]]:
    """Who makes noise, alike together, and who does so in no room that is told of.

    A box that says its level speaks for all that is in it. One that does not leaves it to what is in it, where that says
    a level; else a level is taken for the box.
    """
    found: defaultdict[tuple[str, str, str, float | None], list[str]] = defaultdict(list)
    nowhere = []
    for part, level in _loud(lab):
        room = room_of(lab, part)
        if room is None:
            nowhere.append(str(part.id))
        else:
            found[room.id, part.IS, part.kind_name, level].append(str(part.id))
    return (
        tuple(
            Source(things=tuple(things), word=word, told_db=level, room=room)
            for (room, word, _, level), things in found.items()
        ),
        tuple(nowhere),
    )


def room_of(lab: Lab, part: Part) -> Room | None:
    """The room that a part is in, through racks and boxes; None where nobody says."""
    around = (lab.things[ThingId(name)] for name in (part.id, *housed_in(lab.things, part.id)))
    return next((each for each in around if isinstance(each, Room)), None)


def _loud(lab: Lab) -> Iterator[tuple[Part, float | None]]:
    """Each part that makes noise of its own, with its level."""
    boxes = _boxes(lab)
    inside: defaultdict[str, list[Part]] = defaultdict(list)
    for part in lab.of(Part):
        box = boxes.get(part.id)
        if box is not None:
            inside[box.id].append(part)
    speaks = {box: [part for part in parts if part.noise is not None] for box, parts in inside.items()}
    for part in lab.of(Part):
        box = boxes.get(part.id)
        if isinstance(part, Enclosure):
            if part.noise is not None or not speaks.get(part.id):
                yield part, part.noise
        elif box is not None and (box.noise is not None or part.noise is None):
            continue  # its box speaks for it
        elif part.noise is not None or isinstance(part, HUMS):
            yield part, part.noise


def _boxes(lab: Lab) -> dict[str, Enclosure | Node]:
    """The box that each part is in: the outermost enclosure or machine that speaks for it."""
    found: dict[str, Enclosure | Node] = {}
    for part in lab.of(Part):
        if part.in_ is None:
            continue
        holder = lab.things[ThingId(part.in_.ids[0])]
        if isinstance(holder, Enclosure | Node):
            found[part.id] = holder
    return {
        name: found[box.id] if box.id in found and found[box.id].noise is not None else box
        for name, box in found.items()
    }
