"""How much gets from one machine to another over one network, and over what, at one moment?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from falsework import units
from falsework.analyses.wire.passing import Gets
from falsework.engines.flow.net import Link, Net
from falsework.errors import LimitError
from falsework.support.carriers import Stands, Wired, Wires
from falsework.support.open_ways import Way
from falsework.units import Dimension


@dataclass(frozen=True, slots=True, kw_only=True)
class Most:
    """The largest flow over one network, with what it goes over and what is full."""

    value: float
    full: tuple[str, ...]
    uses: frozenset[str]


def most(wires: Wires, wired: Wired, ends: tuple[str, str], stands: Stands) -> Most:
    """The largest flow from end to end, bit/s.

    Raises:
        LimitError: the speeds are too large to be added up.
    """
    from falsework.engines.flow.largest import UNBOUNDED, largest

    net = net_of(wires, wired, ends, stands)
    if sum(link.carries for link in net.links) >= UNBOUNDED:
        raise LimitError(
            f"the cables of {wired.name} carry more than {units.format(float(UNBOUNDED), Dimension.SPEED)} together",
            "Look whether the speed of a port or cable is what you meant.",
        )
    found = largest(net, *ends)
    links = {link.name: link for link in net.links}
    uses: set[str] = set(ends)
    for name in found.along:
        uses.update((name, links[name].one, links[name].other, *cards_of(wires, name)))
    return Most(value=float(found.value), full=found.cut, uses=frozenset(uses))


def apart(wires: Wires, wired: Wired, ends: tuple[str, str], stands: Stands) -> tuple[int, int]:
    """How many ways have no cable in common, and how many no cable, switch or card."""
    from falsework.engines.flow.largest import disjoint

    fine = net_of(wires, wired, ends, stands, cards=True)
    return (
        disjoint(net_of(wires, wired, ends, stands), *ends),
        disjoint(fine, *ends, vertices=True),
    )


def gets(wires: Wires, way: Way | None, largest: Most, stands: Stands) -> Gets:
    """What the open way carries, and one stream on it, beside the largest flow."""
    if way is None:
        return Gets(at_most=largest.value, forwarded=0.0, one_stream=0.0, full=largest.full)
    live = [step.carrier.live(stands) for step in way.steps]
    passes = [wires.forwards[switch] for switch in way.switches if switch in wires.forwards]
    along: list[str] = []
    switches = list(way.switches)
    if switches and (not way.steps or way.steps[0].into != switches[0]):
        along.append(switches[0])
    for step in way.steps:
        along.extend(cable for cable, _ in step.carrier.working(stands))
        if step.into in switches:
            along.append(step.into)
    return Gets(
        at_most=largest.value,
        forwarded=float(min((*map(sum, live), *passes), default=0)),
        one_stream=float(min((*map(min, live), *passes), default=0)),
        full=largest.full,
        way=tuple(along),
    )


def is_on(wired: Wired, name: str) -> bool:
    """Whether a machine or switch is on a network."""
    return name in wired.rank or name in wired.plugs or name in wired.straight


def net_of(wires: Wires, wired: Wired, ends: tuple[str, str], stands: Stands, *, cards: bool = False) -> Net:
    """One network as a net: a link for each cable that stands.

    Args:
        wires: the carriers.
        wired: the network.
        ends: the two machines that are asked about.
        stands: what is there.
        cards: each card as a vertex of its own, between the machine and its cable.
    """
    links: list[Link] = []

    def add(cable: str, one: str, other: str, through: Sequence[str]) -> None:
        at = one
        for card in through if cards else ():
            links.append(Link(name=f"{cable} in {card}", one=at, other=card, carries=wires.speed[cable]))
            at = card
        links.append(Link(name=cable, one=at, other=other, carries=wires.speed[cable]))

    for trunk in wired.trunks:
        if all(map(stands, trunk.ends)):
            for cable, through in trunk.working(stands):
                add(cable, *trunk.ends, through)
    for end in ends:
        for plug in wired.plugs.get(end, ()):
            for cable, through in plug.carrier.working(stands) if stands(plug.into) else ():
                add(cable, end, plug.into, through)
    straight = wired.straight.get(ends[0], {}).get(ends[1])
    if straight is not None:
        for cable, through in straight.working(stands):
            add(cable, *ends, through)
    return Net(links=tuple(links), passes=wires.forwards, ends=frozenset(ends) - set(wired.switches))


def cards_of(wires: Wires, cable: str) -> Sequence[str]:
    """The cards that a cable is plugged into."""
    carrier = wires.of_cable[cable]
    return carrier.cards[carrier.cables.index(cable)]
