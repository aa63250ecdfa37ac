"""Which sections does a lab file have, and what may stand in each?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from falsework.model.addressing import AddressBook, DomainName, OwnRanges
from falsework.model.declare import Form, Record
from falsework.model.drilling import Drill, Probe
from falsework.model.forms import Count, Keyed, Listed, Text
from falsework.model.heaps import Heap
from falsework.model.parts import (
    LINK,
    Circuit,
    Drive,
    Enclosure,
    Network,
    Node,
    Outside,
    Rack,
    Room,
    Strip,
    Switch,
    Thing,
    Ups,
)
from falsework.model.people import SPARE, Aim, Alarm, Person, StandIn, Step, Today
from falsework.model.services import Data, Pool, Secret, Service, Store


@dataclass(frozen=True, slots=True)
class Section:
    """A section that maps names to things.

    Attributes:
        name: its key in the file.
        meaning: what stands in it, in one sentence.
        holds: the classes of its things; where there are several, each thing says `is` or `kind`.
        short: the key that a plain text stands for, as in `desk-1: desktop`.
    """

    name: str
    meaning: str
    holds: tuple[type[Thing], ...]
    short: str


SECTIONS: tuple[Section, ...] = (
    Section("outside", "what the lab leans on and does not own", (Outside,), "about"),
    Section("places", "rooms and racks", (Room, Rack), "is"),
    Section("power", "circuits, batteries and strips", (Circuit, Ups, Strip), "kind"),
    Section("machines", "enclosures, nodes and switches", (Enclosure, Node, Switch), "kind"),
    Section("stores", "drives laid out as one", (Store,), "drives"),
    Section("heaps", "drives that wait to be laid out", (Heap,), "drives"),
    Section("pools", "nodes that restart each other's virtual copies", (Pool,), "hosts"),
    Section("services", "what people and other services use", (Service,), "on"),
    Section("data", "data that someone would miss", (Data,), "in"),
    Section("keys", "where secrets are kept, never what they are", (Secret,), "kept in"),
    Section("people", "who can mend things", (Person,), "works"),
    Section("alarms", "how a fault is told", (Alarm,), "leaves by"),
    Section("probes", "how it is seen that a service serves", (Probe,), "asks"),
    Section("drills", "what is tried on purpose", (Drill,), "loses"),
    Section("stand-ins", "temporary things that the owner would accept", (StandIn,), "for"),
)
NETWORKS = Section("networks", "who may talk to whom over which switches", (Network,), "subnet")
KINDS_HOLD: tuple[type[Thing], ...] = (
    Outside,
    Room,
    Rack,
    Circuit,
    Ups,
    Strip,
    Enclosure,
    Node,
    Switch,
    Drive,
)

PLAIN: Mapping[str, tuple[Form[Any], str]] = {
    "falsework": (Count(1, 1), "the version of this language; 1"),
    "lab": (Text("the name of the lab"), "the name of the lab"),
    "about": (Text(), "what the lab is for"),
}
"""Sections that hold one value."""

OTHER = {
    "kinds": "what a thing of this kind is like; say it once",
    "wire": "cables, networks, and the ranges that their addresses come from",
    "addresses": "the addresses that things have and keep, by network; `falsework addresses --write` fills it",
    "spares": "what lies on the shelf, by kind",
    "today": "how things are today",
    "order": "an order of work written by hand",
    "aims": "what must be true",
}
"""Sections of other shapes."""

ORDER = (
    "falsework",
    "lab",
    "about",
    "kinds",
    "outside",
    "places",
    "power",
    "machines",
    "wire",
    "addresses",
    "stores",
    "heaps",
    "pools",
    "services",
    "data",
    "keys",
    "people",
    "alarms",
    "probes",
    "drills",
    "spares",
    "stand-ins",
    "today",
    "order",
    "aims",
)
"""All sections in the order in which the reference page tells of them."""

CABLES = Listed(LINK)
SPARES = Keyed(SPARE)
RANGES = OwnRanges()
DOMAIN = DomainName()
ADDRESSES = AddressBook()
WIRE: Mapping[str, str] = {
    "cables": "cables, two ends each",
    "networks": "who may talk to whom over which switches",
    "ranges": "your own ranges, from which subnets are cut",
    "domain": "what names end in",
}
"""The keys of the section wire, with their meaning."""

RECORDS: tuple[type[Record], ...] = (
    *KINDS_HOLD,
    Network,
    Store,
    Heap,
    Pool,
    Service,
    Data,
    Secret,
    Person,
    Alarm,
    Probe,
    Drill,
    StandIn,
    Today,
    Step,
    Aim,
)
"""Every record that the reference page describes."""
