"""Which drives wait in a heap, and into which bays can they go?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from falsework.analyses.drives.figures import (
    AS_TAKEN,
    BAYS,
    DRAWS,
    IN_COMMON,
    READ_ERRORS,
    SPEED,
    Figures,
)
from falsework.analyses.drives.result import Bays, Stick
from falsework.model.domains import Domains, domains, own_domain
from falsework.model.heaps import Heap
from falsework.model.lab import Lab
from falsework.model.parts import Drive, Enclosure, Node, ThingId
from falsework.support.figure import Figure
from falsework.support.lives import fails
from falsework.support.reached import port_speed
from falsework.units import Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """What there is to lay out.

    Attributes:
        sticks: the drives that have a size.
        unsized: names of those that have none.
        bays: the machines that have free ones.
        untold: machines whose free bays were taken.
    """

    sticks: tuple[Stick, ...]
    unsized: tuple[str, ...]
    bays: tuple[Bays, ...]
    untold: tuple[str, ...]


def stock(lab: Lab, heap: Heap, figures: Figures = AS_TAKEN) -> Stock:
    """The drives and the bays of a heap."""
    bays, untold = _bays(lab, heap, int(figures.get(BAYS.key, BAYS.value)))
    return Stock(
        sticks=tuple(stick(each, figures) for each in heap.held if each.size),
        unsized=tuple(str(each.id) for each in heap.held if not each.size),
        bays=bays,
        untold=untold,
    )


def stick(drive: Drive, figures: Figures = AS_TAKEN, *, bay: str = "") -> Stick:
    """A drive as layouts mind it.

    Args:
        drive: it has a size.
        figures: what is taken where nobody says.
        bay: the machine that it is in.
    """
    assert drive.fails is not None
    rate = drive.fails
    if drive.seen is not None:
        # What was counted corrects what is believed; the range is that belief's then.
        believed = fails(drive)
        rate = Quantity(low=float(believed.quantile(0.05)), high=float(believed.quantile(0.95)))
    return Stick(
        name=str(drive.id),
        kind=drive.kind_name,
        size_bytes=drive.size or 0.0,
        rate=rate,
        read_errors=drive.read_errors if drive.read_errors is not None else _of(READ_ERRORS, figures),
        speed=drive.speed / 8 if drive.speed else _of(SPEED, figures),
        draws_w=drive.draws or Quantity(low=DRAWS.low, high=DRAWS.high),
        batch=drive.batch,
        in_common=(drive.with_others or Quantity(low=IN_COMMON.low, high=IN_COMMON.high))
        if drive.batch
        else Quantity(low=0.0, high=0.0),
        bay=bay,
    )


def _of(figure: Figure, figures: Figures) -> float:
    return figures.get(figure.key, figure.value)


def _bays(lab: Lab, heap: Heap, untold_have: int) -> tuple[tuple[Bays, ...], tuple[str, ...]]:
    """Machines with free bays, in lab order; of those that are named and tell none, some are taken."""
    shared = domains(lab.things)
    inside = _inside(lab)
    named = heap.bays_of.ids if heap.bays_of is not None else None
    found, untold = [], []
    machines: tuple[Node | Enclosure, ...] = (*lab.of(Node), *lab.of(Enclosure))
    for thing in machines:
        if named is not None and thing.id not in named:
            continue
        if thing.bays is not None:
            free = thing.bays - inside.get(thing.id, 0)
        elif named is not None:
            free = untold_have
            untold.append(str(thing.id))
        else:
            continue
        if free > 0:
            found.append(bays_of(lab, shared, str(thing.id), free))
    return tuple(found), tuple(untold)


def bays_of(lab: Lab, shared: Domains, holder: str, free: int) -> Bays:
    """The bays of one machine."""
    thing = lab.things[ThingId(holder)]
    nodes = (
        (holder,)
        if isinstance(thing, Node)
        else tuple(str(each.id) for each in lab.of(Node) if each.in_ is not None and holder in each.in_.ids)
    )
    return Bays(
        holder=holder,
        free=free,
        nodes=nodes,
        enclosure=own_domain(shared, holder, "enclosure"),
        bytes_per_s=max((port_speed(lab, each) for each in nodes), default=1e9) / 8,
    )


def _inside(lab: Lab) -> Mapping[str, int]:
    """How many drives are in each machine."""
    found: dict[str, int] = {}
    for drive in lab.of(Drive):
        for holder in drive.in_.ids[:1] if drive.in_ is not None else ():
            found[holder] = found.get(holder, 0) + 1
    return found
