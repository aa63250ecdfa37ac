"""Which drives lie in a heap, still to be laid out, and which bays may they go into?"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import ClassVar

from falsework.model.declare import key
from falsework.model.forms import Amount, Bound, Count, Holding, Names, Set
from falsework.model.parts import Drive, Thing
from falsework.units import Dimension


@dataclass(frozen=True, slots=True, kw_only=True)
class Heap(Thing):
    """Drives that wait to be laid out, and where they may go.

    Attributes:
        held: the drives themselves, made from `drives`; they are no parts of the lab yet.
    """

    IS: ClassVar[str] = "heap"
    drives: tuple[Set, ...] = key(
        Holding("d", "12 old-2t", "drive"), "the drives, by kind", default=(), needed=True
    )
    bays_of: Bound | None = key(
        Names("node", "enclosure"),
        "the machines whose bays they may go into; all that have free bays if not said",
    )
    wanted: float | None = key(Amount(Dimension.DATA, "6 TB"), "the room that is wanted on them")
    most_lost: int | None = key(
        Count(0, 8), "how many drives at once they must survive at the least; one if not said"
    )
    rebuild_gets: float | None = key(
        Amount(Dimension.SHARE, "50 %"), "the share of a drive's speed that the load leaves to a rebuild"
    )
    held: tuple[Drive, ...] = field(default=(), repr=False)
