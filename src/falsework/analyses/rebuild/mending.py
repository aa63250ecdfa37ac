"""What work is it to make one destroyed thing again, and how long does it wait for a delivery?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from math import sqrt

from falsework import units
from falsework.analyses.rebuild.destroyed import Destroying, Ruin
from falsework.model.effort import MINUTE, effort
from falsework.model.lab import Lab
from falsework.model.parts import (
    Cable,
    Card,
    Controller,
    Drive,
    Node,
    Outside,
    Part,
    Room,
    Supply,
    Thing,
    ThingId,
)
from falsework.model.services import Copy, Service, Store
from falsework.units import Dimension, ThreePoint

SWAP_S = 10 * MINUTE
"""Hands on a part that is only swapped, such as a drive or a cable: 10 minutes, assumed."""
POWER_CAUTION = (
    "Work on power only as local electrical codes and the maker allow; leave fixed wiring to licensed hands."
)
WEIGHT_CAUTION = "It is heavy: lift it with two, and mind the rack's balance."
HEAVY_KG = 15.0
NOTHING = ThreePoint(low=0.0, likely=0.0, high=0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """The work on one destroyed thing.

    Attributes:
        says: what is done; empty where it comes with something else.
        takes: seconds from having all it needs until it stands.
        hands_s: how much of that is somebody's work.
        waits_s: until a spare has come, seconds from the loss.
        spare: the kind of spare; empty where no spare of it is named.
        on_shelf: whether the spare lies on the shelf.
        assumed: whether a time was assumed.
    """

    says: str
    takes: ThreePoint = NOTHING
    hands_s: float = 0.0
    waits_s: float = 0.0
    spare: str = ""
    on_shelf: bool = False
    by: tuple[str, ...] = ()
    command: str = ""
    check: str = ""
    back: str = ""
    cautions: tuple[str, ...] = ()
    assumed: bool = False


def guessed_mends(lab: Lab) -> frozenset[str]:
    """The things whose time to mend was assumed."""
    return frozenset(thing for each in lab.assumptions if each.key == "mends in" for thing in each.things)


def jobs(
    destroying: Destroying, ruin: Ruin, names: Iterable[str], guessed: frozenset[str]
) -> Mapping[str, Job]:
    """The work on each of several destroyed things; spares on the shelf go to the first of them.

    Args:
        destroying: the lab.
        ruin: the loss; where it was planned nothing is broken, and nothing is delivered.
        names: destroyed things, in lab order.
        guessed: the things whose time to mend was assumed.
    """
    lab = destroying.lab
    left = {kind: spare.shelf for kind, spare in lab.spares.items()}
    found: dict[str, Job] = {}
    for name in names:
        thing = lab.things[ThingId(name)]
        if isinstance(thing, Copy):
            found[name] = _copy(lab, thing, len(destroying.copies_of.get(thing.service, ())))
        elif isinstance(thing, Store):
            found[name] = _made(thing, f"lay out {name} again")
        elif isinstance(thing, Part):
            found[name] = _part(destroying, ruin, thing, left, guessed=name in guessed)
    return found


def _part(destroying: Destroying, ruin: Ruin, part: Part, left: dict[str, int], *, guessed: bool) -> Job:
    lab = destroying.lab
    if isinstance(part, Outside):
        return Job(
            says=f"wait until {part.id} is back; others see to it", takes=_mends(part), assumed=guessed
        )
    if isinstance(part, Supply | Card | Controller | Cable | Drive) and _comes_along(lab, ruin, part):
        return Job(says="") if ruin.planned else _delivered(lab, part, left, Job(says=""))
    if ruin.planned:
        verb = "install" if isinstance(part, Node) else "put up"
        return _cautioned(part, _made(part, f"{verb} {part.id} again"))
    wiped = isinstance(part, Node) and _only_wiped(destroying, ruin, part)
    if wiped:
        return _made(part, f"install {part.id} again")
    takes, hands = _mends(part), effort(part).hands_s or SWAP_S
    assumed = guessed
    says = f"replace {part.id}"
    said = part.raising
    if isinstance(part, Room):
        says = f"wait until {part.id} can be used again"
    elif isinstance(part, Node):
        again = effort(part)
        takes = ThreePoint(
            low=takes.low + again.takes.low,
            likely=takes.likely + again.takes.likely,
            high=takes.high + again.takes.high,
        )
        says, assumed = f"replace {part.id} and install it again", guessed or again.assumed
    job = Job(
        says=says,
        takes=takes,
        hands_s=min(hands, takes.likely) if part.hands else 0.0,
        by=said.by.ids if said and said.by else (),
        command=said.command if said else "",
        check=said.check if said else "",
        back=said.back if said else "",
        assumed=assumed,
    )
    return _cautioned(part, _delivered(lab, part, left, job))


def _comes_along(lab: Lab, ruin: Ruin, part: Part) -> bool:
    """Whether what it is in is made again too, and it with that."""
    if isinstance(part, Cable):
        return ruin.planned or any(end in ruin.destroyed for end, _ in part.ends)
    if isinstance(part, Supply | Card | Controller):
        return part.holder in ruin.destroyed
    return part.in_ is not None and part.in_.ids[0] in ruin.destroyed


def _only_wiped(destroying: Destroying, ruin: Ruin, node: Node) -> bool:
    """The node itself is whole, but the drives that it was installed on are gone."""
    if node.id in ruin.lost or not destroying.loose.get(node.id):
        return False
    holders = [node.in_.ids[0]] if node.in_ is not None else []
    return not any(holder in ruin.destroyed for holder in holders)


def _mends(part: Part) -> ThreePoint:
    """Its range, read as least and most; most likely the middle of the two in proportion (geometric mean)."""
    assert part.mends_in is not None
    low, high = part.mends_in.low, part.mends_in.high
    return ThreePoint(low=low, likely=min(max(sqrt(low * high), low), high), high=high)


def _delivered(lab: Lab, part: Part, left: dict[str, int], job: Job) -> Job:
    """With its spare, from the shelf or after the wait for it."""
    spare = lab.spares.get(part.kind_name)
    if spare is None:
        return job
    on_shelf = left[part.kind_name] > 0
    left[part.kind_name] -= 1
    says = job.says
    if says:
        says += (
            f" with the spare {part.kind_name} from the shelf"
            if on_shelf
            else f" once a {part.kind_name} has come ({units.format(spare.comes_in, Dimension.TIME)})"
            if spare.comes_in
            else f" once you have another {part.kind_name}"
        )
    return replace(
        job,
        says=says,
        waits_s=0.0 if on_shelf else spare.comes_in or 0.0,
        spare=part.kind_name,
        on_shelf=on_shelf,
        assumed=job.assumed or (not on_shelf and spare.comes_in is None),
    )


def _cautioned(part: Part, job: Job) -> Job:
    cautions = []
    if part.IS in ("circuit", "ups", "strip", "supply"):
        cautions.append(POWER_CAUTION)
    if (part.weighs or 0.0) >= HEAVY_KG:
        cautions.append(WEIGHT_CAUTION)
    if not cautions:
        return job
    return replace(job, cautions=tuple(cautions))


def _made(thing: Thing, says: str, share: float = 1.0) -> Job:
    """What making it from nothing takes."""
    whole, said = effort(thing), thing.raising
    return Job(
        says=says,
        takes=ThreePoint(
            low=whole.takes.low * share, likely=whole.takes.likely * share, high=whole.takes.high * share
        ),
        hands_s=whole.hands_s * share,
        by=said.by.ids if said and said.by else (),
        command=said.command if said else "",
        check=said.check if said else "",
        back=said.back if said else "",
        assumed=whole.assumed,
    )


def _copy(lab: Lab, copy: Copy, copies: int) -> Job:
    """A copy takes its share of what making the service takes: so all of them take just that."""
    service = lab.things[ThingId(copy.service)]
    assert isinstance(service, Service)
    where = copy.pool or copy.host
    return _made(service, f"install {copy.service} again on {where}", 1.0 / max(copies, 1))
