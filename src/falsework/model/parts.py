"""Which physical things may a lab have, and what can be said of each?"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar, NewType

from falsework.model.declare import Record, key
from falsework.model.forms import (
    Amount,
    Bound,
    Choice,
    Count,
    Day,
    Efficiency,
    Flag,
    Holding,
    Inside,
    Keyed,
    Listed,
    Names,
    PerEnergy,
    PortNames,
    Ports,
    Ranged,
    Rating,
    Ratings,
    Runtimes,
    Seen,
    Set,
    Subnet,
    Tariff,
    Text,
    Watched,
)
from falsework.model.needs import NEEDS, Needs
from falsework.model.raising import RAISING, Raising
from falsework.model.timed import PART_TIMED, POWERED_TIMED, PartTimed, PoweredTimed
from falsework.units import Dimension, Quantity

ThingId = NewType("ThingId", str)

SOURCES = ("outside", "circuit", "ups", "strip")
"""What power may come from."""
MACHINES = ("enclosure", "node", "switch")


@dataclass(frozen=True, slots=True, kw_only=True)
class Thing(Record):
    """Anything in the lab that has a name."""

    IS: ClassVar[str] = "thing"
    id: ThingId = field(default=ThingId(""))
    kind_name: str = field(default="")
    counters: tuple[str, ...] = field(default=(), compare=False, repr=False)
    about: str = key(Text(), "what it is, for people", default="")
    needs: Needs | None = key(NEEDS, "what it leans on besides what its place, power and wire imply")
    raising: Raising | None = key(RAISING, "what it takes to make it from nothing")
    proved: datetime.date | None = key(
        Day(), "when its spare path, restart or failover was last seen to work"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Part(Thing):
    """A thing that can fail by itself."""

    fails: Quantity | None = key(Ranged(Dimension.RATE, "2..5 %/year"), "how often it fails")
    mends_in: Quantity | None = key(
        Ranged(Dimension.TIME, "4 h"), "how long repair or replacement takes once begun"
    )
    hands: bool = key(Flag(), "whether mending it needs hands on site", default=True)
    in_: Bound | None = key(Names("room", "rack", "enclosure", one=True), "what houses it")
    seen: Seen | None = key(
        Watched(),
        "failures of its kind that you counted, and in how many years of running; they correct `fails`",
    )
    timed: PartTimed | None = key(
        PART_TIMED, "times that you measured; they correct those written or assumed"
    )
    batch: str = key(Text(), "parts of one batch may fail of one cause", default="")
    firmware: str = key(Text(), "parts of one firmware may stop of one cause", default="")
    with_others: Quantity | None = key(
        Ranged(Dimension.SHARE, "2..10 %"), "share of its failures that its batch or firmware has in common"
    )
    made: str = key(Text(), "when it was made", default="")
    hours: float | None = key(Amount(Dimension.TIME, "39900 h"), "how long it has run so far")
    price: str = key(Text(), "what another one costs", default="")
    weighs: float | None = key(Amount(Dimension.MASS, "24 kg"), "weight")
    height: float | None = key(Amount(Dimension.RACK, "2 U"), "rack units it takes")
    at: float | None = key(Amount(Dimension.RACK, "12 U"), "its lowest rack unit, from the bottom")
    depth: float | None = key(Amount(Dimension.LENGTH, "700 mm"), "depth")
    faces: str = key(Choice("front", "back"), "from which side of its rack it is mounted", default="front")
    noise: float | None = key(Amount(Dimension.LEVEL, "58 dB"), "sound level at one metre")


@dataclass(frozen=True, slots=True, kw_only=True)
class Outside(Part):
    """Something that the lab leans on and does not own: mains, an uplink, a drawer with a paper."""

    IS: ClassVar[str] = "outside"
    energy_costs: Tariff | None = key(PerEnergy(), "what energy from it costs, such as 0.30 EUR/kWh")


@dataclass(frozen=True, slots=True, kw_only=True)
class Room(Part):
    """A room: one fire, one flood, one door."""

    IS: ClassVar[str] = "room"
    stands_at: float | None = key(
        Amount(Dimension.LEVEL, "30 dB"), "the sound level of the room with all off"
    )
    heard_from: float | None = key(
        Amount(Dimension.LENGTH, "2 m"), "how far from the machines those are who sit or work in it"
    )
    absorbs: float | None = key(
        Amount(Dimension.AREA, "10 m2"),
        "how much of its walls, floor and furniture swallows sound, as an open window of that size would; "
        "no echo is counted if not said",
    )
    stayed_in: float | None = key(Amount(Dimension.TIME, "2 h"), "how long somebody is in it on one day")
    next_door: Mapping[str, float] = key(
        Keyed(Amount(Dimension.LEVEL, "35 dB")),
        "the rooms beside it, each with what the wall and the shut door take off the sound",
        default={},
    )
    cools: float | None = key(Amount(Dimension.POWER, "1.5 kW"), "heat that its cooling can carry away")
    air_rises: float | None = key(
        Amount(Dimension.TEMPERATURE, "11 °C"),
        "by how much the air may warm up on its way through the machines",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Rack(Part):
    """A rack."""

    IS: ClassVar[str] = "rack"
    units: int | None = key(Count(1, 100), "rack units it has")
    bears: float | None = key(Amount(Dimension.MASS, "300 kg"), "weight it may carry")
    width: float | None = key(Amount(Dimension.LENGTH, "600 mm"), "outer width of its base")
    casters: int | None = key(Count(0, 12), "how many casters carry it")
    caster_bears: float | None = key(Amount(Dimension.MASS, "120 kg"), "what each caster may carry")
    centre: float | None = key(Amount(Dimension.LENGTH, "1 m"), "height of its own centre of gravity, empty")
    foot: float | None = key(Amount(Dimension.LENGTH, "10 cm"), "height of its lowest unit above the floor")


@dataclass(frozen=True, slots=True, kw_only=True)
class Powered(Part):
    """A part that takes power."""

    fed_by: Bound | None = key(
        Names(*SOURCES, outlet=True), "where its power comes from, one name a supply; A.3 is outlet 3 of A"
    )
    supplies: int | None = key(Count(1, 16), "power supplies it has; as many as `fed by` names if not said")
    enough: int | None = key(Count(1, 16), "supplies it can't run without; one if not said")
    accepts: Quantity | None = key(
        Ranged(Dimension.VOLTAGE, "100..240 V"), "the voltages that its supplies take"
    )
    supply_gives: tuple[Rating, ...] = key(
        Ratings(), "what one of its supplies can give, by voltage where that differs", default=()
    )
    efficiency: float | str | None = key(
        Efficiency(), "how much of what its supplies take they give, or the level they are certified for"
    )
    power_factor: float | None = key(
        Amount(Dimension.NUMBER, "0.95"), "its power in W for each VA that it takes"
    )
    draws: Quantity | None = key(
        Ranged(Dimension.POWER, "18..65 W"), "power from idle to busy, taken at its plugs"
    )
    usually_draws: float | None = key(
        Amount(Dimension.POWER, "30 W"), "power on an ordinary day, between idle and busy"
    )
    comes_on_after: float | None = key(
        Amount(Dimension.TIME, "10 s"), "how long after power has returned it begins to draw"
    )
    surge: float | None = key(Amount(Dimension.CURRENT, "30 A"), "inrush current when power returns")
    power_back: str | None = key(
        Choice("on", "stays off", "as it was"), "what it does when power returns after a cut"
    )
    wakes_in: float | None = key(Amount(Dimension.TIME, "90 s"), "from power to ready")
    timed: PoweredTimed | None = key(
        POWERED_TIMED, "times that you measured; they correct those written or assumed"
    )
    stops_in: float | None = key(Amount(Dimension.TIME, "3 min"), "how long an orderly stop takes")


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit(Powered):
    """An electrical circuit behind one breaker."""

    IS: ClassVar[str] = "circuit"
    volts: float | None = key(Amount(Dimension.VOLTAGE, "230 V"), "voltage")
    breaker: float | None = key(Amount(Dimension.CURRENT, "16 A"), "what the breaker is rated for")
    for_hours: float | None = key(
        Amount(Dimension.SHARE, "80 %"),
        "the share of its breaker that a load of three hours or more may take",
    )
    bears_surge: float | None = key(
        Amount(Dimension.NUMBER, "5"), "how many times its rating its breaker bears for a moment"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Ups(Powered):
    """A battery that carries its load for a while."""

    IS: ClassVar[str] = "ups"
    runs: tuple[tuple[float, float], ...] = key(Runtimes(), "how long at which load", default=())
    carries: float | None = key(Amount(Dimension.POWER, "900 W"), "the most it can carry")
    volt_amperes: float | None = key(
        Amount(Dimension.APPARENT, "1500 VA"), "the most it can carry, apparent power"
    )
    battery: float | None = key(Amount(Dimension.ENERGY, "432 Wh"), "energy in its battery, new")
    rated_over: float | None = key(
        Amount(Dimension.TIME, "20 h"), "the time of discharge for which that energy is told"
    )
    exponent: float | None = key(
        Amount(Dimension.NUMBER, "1.2"), "the exponent of the discharge-rate law (Peukert), 1 for no loss"
    )
    left: float | None = key(Amount(Dimension.SHARE, "75 %"), "how much of its new capacity age has left it")
    usable: float | None = key(Amount(Dimension.SHARE, "80 %"), "how far its battery may be drained")
    inverter: float | None = key(
        Amount(Dimension.SHARE, "90 %"), "how much of what its battery gives arrives at its outlets"
    )
    signals_at: float | None = key(
        Amount(Dimension.TIME, "5 min"), "how long after the cut it tells the machines to stop"
    )
    tells: Bound | None = key(Names("node", "service"), "whom it tells to stop")
    over: Bound | None = key(Names("switch"), "through which switches that message goes")
    heard_by: Bound | None = key(
        Names("node", one=True),
        "the machine that is wired to it and passes that message on; itself, on the network, if not said",
    )
    then_cuts: float | None = key(
        Amount(Dimension.TIME, "10 min"),
        "how long after its signal it switches its outlets off, until the power is back and at least for a moment: "
        "so machines see power return; never if not said",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip(Powered):
    """A power strip."""

    IS: ClassVar[str] = "strip"
    outlets: int | None = key(Count(1, 96), "outlets it has")
    breaker: float | None = key(Amount(Dimension.CURRENT, "10 A"), "its own fuse or breaker, if it has one")
    staggers: float | None = key(
        Amount(Dimension.TIME, "2 s"),
        "its outlets come on one after another, so far apart, when power returns",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Enclosure(Powered):
    """A box that several nodes share, with its power supplies."""

    IS: ClassVar[str] = "enclosure"
    holds: tuple[Set, ...] = key(
        Holding("", "2 sled", "node", "switch"), "the nodes or switches in it", default=()
    )
    drives: tuple[Set, ...] = key(
        Holding("d", "12 old-2t", "drive"), "drives that it holds itself", default=()
    )
    bays: int | None = key(Count(0, 1000), "drive bays it has")


@dataclass(frozen=True, slots=True, kw_only=True)
class Node(Powered):
    """A computer."""

    IS: ClassVar[str] = "node"
    cores: int | None = key(Count(1, 4096), "processor cores")
    memory: float | None = key(Amount(Dimension.DATA, "32 GiB"), "memory")
    disk: float | None = key(
        Amount(Dimension.DATA, "1 TB"), "room for copies on its own drives, where no store is named"
    )
    accelerators: int = key(Count(0, 64), "accelerator cards", default=0)
    has: tuple[str, ...] = key(
        Listed(Text("count licence")),
        "what else a copy may want of it, such as a licence or a card",
        default=(),
    )
    bays: int | None = key(Count(0, 1000), "drive bays")
    drives: tuple[Set, ...] = key(Holding("d", "4 old-2t", "drive"), "the drives in it", default=())
    ports: Mapping[str, float | None] = key(Ports(), "network ports", default={})
    cards: Mapping[str, tuple[str, ...]] = key(
        Keyed(PortNames("a")), "cards that carry ports and fail as one: {card: [a, b]}", default={}
    )
    controller: str = key(Text("the name of a port"), "the port of its management controller", default="")
    clock_from: Bound | None = key(
        Names("service", "outside", one=True),
        "it wakes without the time, and nothing on it starts before it has it from here",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Switch(Powered):
    """A network switch."""

    IS: ClassVar[str] = "switch"
    ports: Mapping[str, float | None] = key(Ports(), "its ports", default={})
    settles_in: float | None = key(
        Amount(Dimension.TIME, "6 s"), "how long the wire takes to find a new way round"
    )
    loops_cut_by: str | None = key(
        Choice("spanning tree", "rapid spanning tree", "nothing"),
        "what keeps it from passing messages round in circles (IEEE 802.1D)",
    )
    forwards: float | None = key(
        Amount(Dimension.SPEED, "40 Gb/s"),
        "the most that it passes on at the same time, if not all its ports at once",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Drive(Part):
    """A drive."""

    IS: ClassVar[str] = "drive"
    size: float | None = key(Amount(Dimension.DATA, "2 TB"), "size")
    read_errors: float | None = key(Amount(Dimension.BIT_ERRORS, "1e-14 /bit"), "unrecoverable reads per bit")
    speed: float | None = key(Amount(Dimension.SPEED, "160 MB/s"), "sustained speed")
    draws: Quantity | None = key(Ranged(Dimension.POWER, "4..8 W"), "power from idle to busy")


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply(Part):
    """A power supply, made from the `fed by` of what it is in."""

    IS: ClassVar[str] = "supply"
    holder: ThingId = field(default=ThingId(""))
    source: ThingId = field(default=ThingId(""))


@dataclass(frozen=True, slots=True, kw_only=True)
class Card(Part):
    """A card that carries ports, made from `cards`."""

    IS: ClassVar[str] = "card"
    holder: ThingId = field(default=ThingId(""))


@dataclass(frozen=True, slots=True, kw_only=True)
class Controller(Part):
    """A management controller, alive while its machine has power, made from `controller`."""

    IS: ClassVar[str] = "controller"
    holder: ThingId = field(default=ThingId(""))
    port: str = field(default="")


@dataclass(frozen=True, slots=True, kw_only=True)
class Cable(Part):
    """A cable between two ports."""

    IS: ClassVar[str] = "cable"
    ends: tuple[tuple[ThingId, str], tuple[ThingId, str]] = field(
        default=((ThingId(""), ""), (ThingId(""), ""))
    )
    group: str = field(default="")
    speed: float | None = field(default=None)
    length: float | None = field(default=None)
    colour: str = field(default="")
    notices_in: float | None = field(default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Link(Record):
    """Cables to be laid, as written: `desk-*.a -- sw-1`."""

    run: str = key(
        Text("two ends, such as desk-*.a -- sw-1"), "two ends; without a port the next free one", needed=True
    )
    group: str = key(Text(), "links of one group between two boxes work as one", default="")
    speed: float | None = key(Amount(Dimension.SPEED, "1 Gb/s"), "speed, if less than the ports'")
    length: float | None = key(Amount(Dimension.LENGTH, "2 m"), "length")
    colour: str = key(Text(), "colour", default="")
    notices_in: float | None = key(
        Amount(Dimension.TIME, "3 s"), "how soon its group leaves out a cable that has failed"
    )


LINK = Inside(Link, short=lambda text: {"run": text}, example="desk-*.a -- sw-1")


@dataclass(frozen=True, slots=True, kw_only=True)
class Network(Thing):
    """A network: who may talk to whom over which switches."""

    IS: ClassVar[str] = "network"
    vlan: int | None = key(Count(1, 4094), "VLAN number (1 to 4094, IEEE 802.1Q)")
    subnet: str = key(Subnet(4, "10.20.10.0/24"), "addresses, IPv4", default="")
    subnet6: str = key(Subnet(6, "fd12:3456:789a:10::/64"), "addresses, IPv6", default="")
    over: Bound | None = key(Names("switch"), "the switches that carry it; all if not said")
    ports: tuple[str, ...] = key(
        PortNames("desk-*.m"),
        "the only node ports on it, such as desk-*.m; all that reach its switches if not said",
        default=(),
    )
    users_at: Bound | None = key(
        Names("switch"), "the switches where users sit; any of its switches if not said"
    )
    pool: str = key(Text("a range such as .100-.199"), "addresses given out on request", default="")
    fixed: str = key(Text("a range such as .2-.49"), "addresses given by hand", default="")
    reserved: str = key(Text("a range such as .240-.254"), "addresses kept free", default="")
    room_for: int | None = key(
        Count(1, 16_000_000),
        "how many addresses it must hold in the end, when its subnet is cut from your ranges",
    )
    pool_for: int | None = key(Count(0, 16_000_000), "how many of these are given out on request")
    grows: float | None = key(
        Amount(Dimension.SHARE, "100 %"), "how much it may grow, where `room for` does not say so"
    )
    way_out: Bound | None = key(Names(one=True), "the node or service that leads out of it")


PLACES = (Room, Rack)
POWER = (Circuit, Ups, Strip)
KINDS: Mapping[str, type[Thing]] = {
    each.IS: each for each in (Outside, Room, Rack, Circuit, Ups, Strip, Enclosure, Node, Switch, Drive)
}
"""What `is` may say."""
