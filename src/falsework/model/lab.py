"""What is a lab, once its file has been read and every reference resolved?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TypeVar, cast

from falsework.model.addressing import OwnRange, Recorded
from falsework.model.heaps import Heap
from falsework.model.parts import Thing, ThingId
from falsework.model.people import Aim, Spare, Step, Today
from falsework.where import Where

T = TypeVar("T", bound=Thing)


@dataclass(frozen=True, slots=True)
class Assumption:
    """A figure that the owner did not give.

    Attributes:
        things: the things that it was taken for, in lab order.
        key: the key of the lab file that would replace it.
        value: as a person reads it, with its unit.
        source: who says so; 'common practice' or 'assumed' where that is the truth.
    """

    things: tuple[ThingId, ...]
    key: str
    value: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Lab:
    """The whole that one lab file or folder describes. Nothing in it refers to what is not in it.

    Attributes:
        things: by id, in lab order, what is implied last.
        ranges: the owner's own, from which subnets are cut.
        domain: what names end in; empty if not said.
        recorded: addresses that things have already.
        heaps: drives that wait to be laid out; they are no things of the lab.
    """

    name: str
    where: Where
    things: Mapping[ThingId, Thing]
    about: str = ""
    aims: tuple[Aim, ...] = ()
    order: tuple[Step, ...] = ()
    today: Today | None = None
    spares: Mapping[str, Spare] = field(default_factory=dict)
    ranges: tuple[OwnRange, ...] = ()
    domain: str = ""
    recorded: tuple[Recorded, ...] = ()
    heaps: tuple[Heap, ...] = ()
    assumptions: tuple[Assumption, ...] = ()
    files: Mapping[str, str] = field(default_factory=dict, repr=False, compare=False)
    _of: dict[type[Thing], tuple[Thing, ...]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    def of(self, kind: type[T]) -> tuple[T, ...]:
        """Every thing of a class, in lab order."""
        if kind not in self._of:  # asked again and again, and a large lab has many things to look through
            self._of[kind] = tuple(thing for thing in self.things.values() if isinstance(thing, kind))
        return cast("tuple[T, ...]", self._of[kind])

    def named(self, ids: Iterable[str]) -> tuple[Thing, ...]:
        """The things with these ids, in the order given."""
        return tuple(self.things[ThingId(each)] for each in ids)
