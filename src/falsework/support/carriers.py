"""How much does each cable carry, and each group of cables between two machines?"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from falsework.model.lab import Lab
from falsework.model.parts import Cable, Node, Switch, ThingId
from falsework.support.graph import Network
from falsework.support.reached import ASSUMED_PORT
from falsework.support.wire import cards_of

Stands = Callable[[str], bool]


@dataclass(frozen=True, slots=True, kw_only=True)
class Carrier:
    """A cable, or the cables of one group between two machines.

    Attributes:
        name: its cables, joined by ` + `.
        cables: their ids.
        ends: the two machines.
        speeds: of each cable, bit/s, each way at the same time (full duplex).
        cards: the cards that each cable is plugged into, at either end.
    """

    name: str
    cables: tuple[str, ...]
    ends: tuple[str, str]
    speeds: tuple[int, ...]
    cards: tuple[tuple[str, ...], ...]

    def live(self, stands: Stands) -> tuple[int, ...]:
        """The speeds of its cables that stand, with the cards that they are plugged into."""
        return tuple(
            speed
            for cable, speed, cards in zip(self.cables, self.speeds, self.cards, strict=True)
            if stands(cable) and all(stands(card) for card in cards)
        )

    def working(self, stands: Stands) -> Iterator[tuple[str, tuple[str, ...]]]:
        """The same cables, each with its cards."""
        for cable, cards in zip(self.cables, self.cards, strict=True):
            if stands(cable) and all(map(stands, cards)):
                yield cable, cards

    @property
    def parts(self) -> tuple[str, ...]:
        """Its cables, then the cards that they are plugged into."""
        return (*self.cables, *(card for cards in self.cards for card in cards))

    def across(self, machine: str) -> str:
        """The machine at the other end."""
        return self.ends[1] if machine == self.ends[0] else self.ends[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plug:
    """How a node (or its management controller) is plugged into a switch."""

    carrier: Carrier
    into: str

    def live(self, stands: Stands) -> bool:
        """Whether anything goes over it: the switch stands, and a cable of it."""
        return stands(self.into) and bool(self.carrier.live(stands))


@dataclass(frozen=True, slots=True, kw_only=True)
class Wired:
    """One network with what it runs over.

    Attributes:
        name: of the network.
        switches: in the order of the file.
        trunks: carriers between switches.
        plugs: by node or controller, in the order of the cables.
        straight: carriers between two nodes, by the holders of their two ports.
        users: the switches where users sit: those that it says, else all.
        said: whether it says where they sit.
        rank: of each switch, from 0: which would be the root; first whose cables to other switches carry most, then
            in the order of the file.
    """

    name: str
    switches: tuple[str, ...]
    trunks: tuple[Carrier, ...]
    plugs: Mapping[str, tuple[Plug, ...]]
    straight: Mapping[str, Mapping[str, Carrier]]
    users: tuple[str, ...]
    said: bool
    rank: Mapping[str, int]


def speed_of(lab: Lab, cable: Cable) -> float | None:
    """What a cable runs at, bit/s: the slowest of itself and its two ports; None where nobody says any speed."""
    said = [cable.speed]
    for machine, port in cable.ends:
        thing = lab.things[ThingId(machine)]
        said.append(thing.ports.get(port) if isinstance(thing, Node | Switch) else None)
    return min((speed for speed in said if speed is not None), default=None)


def _rank(switches: Sequence[str], trunks: Iterable[Carrier]) -> Mapping[str, int]:
    carries = dict.fromkeys(switches, 0)
    for trunk in trunks:
        for end in trunk.ends:
            carries[end] += sum(trunk.speeds)
    ordered = sorted(switches, key=lambda switch: -carries[switch])
    return {switch: number for number, switch in enumerate(ordered)}


class Wires:
    """All the carriers of a lab, and the networks over them.

    Args:
        lab: references resolved.
        networks: as compiled for the support graph.

    Attributes:
        speed: of each cable, bit/s.
        unsaid: cables of which nobody says a speed.
        carriers: in the order of the file.
        of_cable: the carrier of each cable.
        forwards: what switches pass on at the most, bit/s, where said.
        networks: by name.
    """

    def __init__(self, lab: Lab, networks: Mapping[str, Network]) -> None:
        self.lab = lab
        self.speed: dict[str, int] = {}
        self.unsaid: list[str] = []
        cards = cards_of(lab)
        grouped: dict[tuple[object, ...], list[Cable]] = {}
        for cable in lab.of(Cable):
            ends = frozenset(machine for machine, _ in cable.ends)
            key = (ends, cable.group) if cable.group else (cable.id,)
            grouped.setdefault(key, []).append(cable)
            self.speed[cable.id] = self._speed(cable)
        self.carriers: list[Carrier] = []
        self.of_cable: dict[str, Carrier] = {}
        for cables in grouped.values():
            carrier = Carrier(
                name=" + ".join(cable.id for cable in cables),
                cables=tuple(cable.id for cable in cables),
                ends=(cables[0].ends[0][0], cables[0].ends[1][0]),
                speeds=tuple(self.speed[cable.id] for cable in cables),
                cards=tuple(tuple(cards[end] for end in cable.ends if end in cards) for cable in cables),
            )
            self.carriers.append(carrier)
            self.of_cable.update(dict.fromkeys(carrier.cables, carrier))
        self.forwards: dict[str, int] = {
            switch.id: round(switch.forwards) for switch in lab.of(Switch) if switch.forwards is not None
        }
        self.networks = {name: self._wired(network) for name, network in networks.items()}

    @cached_property
    def spanned(self) -> Mapping[str, tuple[str, ...]]:
        """By switch, and by cable between switches, the networks that run over it."""
        found: dict[str, tuple[str, ...]] = {}
        for name, wired in self.networks.items():
            for each in (*wired.switches, *(cable for trunk in wired.trunks for cable in trunk.cables)):
                found[each] = (*found.get(each, ()), name)
        return found

    def _speed(self, cable: Cable) -> int:
        """What a cable runs at, bit/s; an assumed speed where nobody says any."""
        said = speed_of(self.lab, cable)
        if said is None:
            self.unsaid.append(cable.id)
        return round(ASSUMED_PORT if said is None else said)

    def _wired(self, network: Network) -> Wired:
        direct = {vertex for vertex in network.vertices if vertex in self.of_cable}
        plugs: dict[str, dict[str, Plug]] = {}
        met: dict[str, list[str]] = {}  # by direct cable who is plugged into it
        for holder, ways in network.attachments.items():
            for way in ways:
                if way.vertex in direct:
                    met.setdefault(way.vertex, []).append(holder)
                    continue
                carrier = self.of_cable[way.through[0]]
                plugs.setdefault(holder, {})[carrier.name] = Plug(carrier=carrier, into=way.vertex)
        straight: dict[str, dict[str, Carrier]] = {}
        for cable, holders in met.items():
            if len(holders) == 2:
                one, other = holders
                straight.setdefault(one, {}).setdefault(other, self.of_cable[cable])
                straight.setdefault(other, {}).setdefault(one, self.of_cable[cable])
        switches = tuple(vertex for vertex in network.vertices if vertex not in direct)
        trunks = {self.of_cable[cable].name: self.of_cable[cable] for _, _, cable in network.edges}
        return Wired(
            name=network.name,
            switches=switches,
            trunks=tuple(trunks.values()),
            plugs={holder: tuple(found.values()) for holder, found in plugs.items()},
            straight=straight,
            users=network.users or switches,
            said=bool(network.users),
            rank=_rank(switches, trunks.values()),
        )
