"""What runs in a lab, where does its state live, and how is it kept?"""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar

from falsework.model.declare import Record, key
from falsework.model.forms import (
    Addresses,
    Amount,
    Bound,
    Choice,
    Count,
    Day,
    Flag,
    Inside,
    Listed,
    Names,
    Ranged,
    Text,
)
from falsework.model.parts import Thing, ThingId
from falsework.model.stumbling import Stumbled, Stumbles
from falsework.model.timed import (
    DATA_TIMED,
    POOL_TIMED,
    SERVICE_TIMED,
    STORE_TIMED,
    DataTimed,
    PoolTimed,
    ServiceTimed,
    StoreTimed,
)
from falsework.units import Dimension, Quantity

LEVELS = ("drive", "node", "enclosure", "strip", "circuit", "switch", "rack", "room")
"""Levels at which copies or drives may be kept apart, from near to far."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Store(Thing):
    """Drives laid out as one: a mirror, a parity array, or copies spread over nodes."""

    IS: ClassVar[str] = "store"
    drives: Bound | None = key(Names("drive"), "the drives it is made of", needed=True)
    layout: str = key(
        Text("single, mirror, parity, double parity, triple parity, 3 copies, or 4+2 pieces"),
        "how data lies on them",
        needed=True,
    )
    apart: str = key(Choice(*LEVELS), "no two copies or pieces in one of these", default="drive")
    through: Bound | None = key(
        Names("node"),
        "the nodes or controllers that serve it, any of them; those the drives are in if not said",
    )
    enough: int | None = key(Count(1), "how many of `through` are needed; one if not said")
    spares: int = key(Count(0, 100), "drives waiting as spares", default=0)
    rebuild_gets: float | None = key(
        Amount(Dimension.SHARE, "50 %"), "the share of a drive's speed that the load leaves to a rebuild"
    )
    rebuilds_in: float | None = key(
        Amount(Dimension.TIME, "9 h"),
        "from a new drive in its place to the store being whole again; worked out from sizes and speeds if not said",
    )
    timed: StoreTimed | None = key(
        STORE_TIMED, "times that you measured; they correct those written or worked out"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Pool(Thing):
    """Nodes that restart each other's virtual copies."""

    IS: ClassVar[str] = "pool"
    hosts: Bound | None = key(Names("node"), "the nodes", needed=True)
    store: Bound | None = key(
        Names("store", "service", one=True), "where the copies' disks lie; on the host itself if not said"
    )
    restarts_in: float | None = key(
        Amount(Dimension.TIME, "2 min"), "from losing a host to its copies running elsewhere"
    )
    timed: PoolTimed | None = key(
        POOL_TIMED, "times that you measured; they correct those written or assumed"
    )
    keeps_free: float | None = key(
        Amount(Dimension.DATA, "4 GiB"), "memory of each host that copies may not take"
    )
    cores_shared: float | None = key(
        Amount(Dimension.SHARE, "400 %"), "how far cores may be promised twice; 400 % is four for one"
    )
    comfort: float | None = key(
        Amount(Dimension.SHARE, "80 %"), "how full a host should be at most while nothing is lost"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Size(Record):
    """What one copy takes."""

    cores: int | None = key(Count(0, 4096), "processor cores")
    memory: float | None = key(Amount(Dimension.DATA, "4 GiB"), "memory")
    disk: float | None = key(Amount(Dimension.DATA, "40 GiB"), "disk")
    accelerators: int = key(Count(0, 64), "accelerator cards", default=0)
    ports: int = key(Count(0, 64), "network ports for itself alone", default=0)
    draws: float | None = key(Amount(Dimension.POWER, "15 W"), "power that its work adds to its host")


def size_from_text(text: str) -> Mapping[str, str] | None:
    """`4 GiB`, or `2 cores 4 GiB`, or `2 cores 4 GiB 40 GB disk`."""
    match = re.fullmatch(r"(?:(\d+) cores? ?)?(?:([\d.]+ [KMGT]i?B))?(?: ([\d.]+ [KMGT]i?B) disk)?", text)
    if not match or not any(match.groups()):
        return None
    return {
        name: value for name, value in zip(("cores", "memory", "disk"), match.groups(), strict=True) if value
    }


SIZE = Inside(Size, short=size_from_text, example="2 cores 4 GiB 40 GB disk")


@dataclass(frozen=True, slots=True, kw_only=True)
class Company(Record):
    """Other services, whose copies it should or must not share something with."""

    of: Bound = key(Names("service"), "the services", needed=True)
    in_: str = key(Choice(*LEVELS[1:]), "what is shared", default="node")


def company_from_text(text: str) -> Mapping[str, str]:
    """`counts`, or `counts in enclosure`."""
    name, _, level = text.rpartition(" in ")
    return {"of": name, "in": level} if name and level in LEVELS else {"of": text}


_COMPANY = Listed(Inside(Company, short=company_from_text, example="counts in enclosure"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Floating(Record):
    """An address that moves to a copy that still serves."""

    address: tuple[str, ...] = key(Addresses(), "the address", needed=True)
    in_: float | None = key(Amount(Dimension.TIME, "4 s"), "how long the move takes")


def floating_from_text(text: str) -> Mapping[str, str] | None:
    """`10.20.10.2 in 4 s`, or the address alone."""
    address, _, time = text.partition(" in ")
    return {"address": address, "in": time} if time else {"address": address}


@dataclass(frozen=True, slots=True, kw_only=True)
class Named(Record):
    """A name that clients look up."""

    name: str = key(Text(), "the name", needed=True)
    from_: Bound | None = key(
        Names("service", "outside", one=True), "the service that answers for the name", needed=True
    )


def named_from_text(text: str) -> Mapping[str, str] | None:
    """`store.lab from names`."""
    name, _, source = text.partition(" from ")
    return {"name": name, "from": source} if source else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Flow(Record):
    """Traffic that a service sends."""

    rate: float = key(
        Amount(Dimension.SPEED, "400 Mb/s"),
        "how much all its copies together send, when it is busy",
        needed=True,
    )
    to: Bound = key(
        Names(),
        "where to, in equal parts: services, nodes, something outside, or a network for those who use it",
        needed=True,
    )


def flow_from_text(text: str) -> Mapping[str, str] | None:
    """`400 Mb/s to keeper`."""
    rate, _, end = text.partition(" to ")
    return {"rate": rate, "to": end} if end else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Service(Thing):
    """Something that people or other services use."""

    IS: ClassVar[str] = "service"
    copies: int | None = key(Count(1, 10_000), "how many copies; as many as `on` names if not said")
    on: Bound | None = key(
        Names("node", "pool", "enclosure"), "the nodes, or the pool, that its copies run on", needed=True
    )
    placed: Bound | None = key(
        Names("node"), "the hosts where its copies run today, in order, where `on` leaves a choice"
    )
    apart: str = key(Choice(*LEVELS[1:], "not"), "no two copies in one of these", default="node")
    beside: tuple[Company, ...] = key(_COMPANY, "each copy must be where a copy of these is", default=())
    away_from: tuple[Company, ...] = key(_COMPANY, "no copy may be where a copy of these is", default=())
    near: tuple[Company, ...] = key(
        _COMPANY, "each copy should be where a copy of these is, since they talk much", default=()
    )
    wants: tuple[str, ...] = key(
        Listed(Text("count licence")), "what its hosts must have, as said under `has`", default=()
    )
    serves: str = key(
        Text("any, majority, all, or at least 2"), "how many copies make it serve", default="any"
    )
    takes_over: float | None = key(
        Amount(Dimension.TIME, "40 s"),
        "one copy serves, another takes over after this; all serve at once if not said",
    )
    restarts_in: float | None = key(Amount(Dimension.TIME, "90 s"), "from having all it needs to serving")
    timed: ServiceTimed | None = key(
        SERVICE_TIMED, "times that you measured; they correct those written or assumed"
    )
    stumbles: Quantity | None = key(
        Ranged(Dimension.SHARE, "1..5 %"),
        "how often taking over or restarting does not work when it is asked for",
    )
    stumbled: Stumbled | None = key(
        Stumbles(),
        "how many take-overs or restarts did not work, of how many that you counted; they correct `stumbles`",
    )
    breaks_unseen: Quantity | None = key(
        Ranged(Dimension.RATE, "5..20 %/year"),
        "how often taking over or restarting breaks with nobody noticing",
    )
    drilled_every: float | None = key(
        Amount(Dimension.TIME, "90 days"), "how often taking over or restarting is tried on purpose"
    )
    stops_in: float | None = key(Amount(Dimension.TIME, "4 min"), "how long an orderly stop takes")
    tries: str = key(
        Choice("once", "keeps trying"), "what it does when it can't start yet", default="keeps trying"
    )
    first_up: str = key(
        Choice("any", "last to stop", "by hand"),
        "which copy may start first after all were down: any, only the last that stopped, or the one that a person picks",
        default="any",
    )
    takes: Size | None = key(SIZE, "what one copy takes of its host")
    sheds: bool = key(Flag(), "yes: may be left out when room is short", default=False)
    state_in: Bound | None = key(
        Names("store", "service", one=True), "where its state lies; with each copy if not said"
    )
    reached_at: tuple[str, ...] = key(
        Addresses(), "the fixed addresses of its copies, in their order", default=()
    )
    floats: Floating | None = key(
        Inside(Floating, short=floating_from_text, example="10.20.10.2 in 4 s"),
        "a floating address and how fast it moves",
    )
    named: Named | None = key(
        Inside(Named, short=named_from_text, example="store.lab from names"),
        "the name by which clients reach it",
    )
    over: Bound | None = key(
        Names("network"), "the networks it serves on; any that its hosts share if not said"
    )
    joins: Bound | None = key(Names("network"), "the networks between which it passes traffic")
    sends: tuple[Flow, ...] = key(
        Listed(Inside(Flow, short=flow_from_text, example="400 Mb/s to keeper")),
        "the traffic that it sends when it is busy",
        default=(),
    )
    upkeep: str = key(Text("a window such as Sun 03:00-04:00"), "when planned work may stop it", default="")


@dataclass(frozen=True, slots=True, kw_only=True)
class Backup(Record):
    """A copy kept against loss."""

    to: Bound = key(
        Names(one=True), "where it goes: a store, a node, a service, or something outside", needed=True
    )
    every: float | None = key(Amount(Dimension.TIME, "1 day"), "how often")
    keeps: float | None = key(Amount(Dimension.TIME, "30 days"), "how long a backup is kept")
    restored: datetime.date | None = key(Day(), "when a restore was last seen to work")
    needs: Bound | None = key(Names(), "what a restore can't do without, such as a key")


@dataclass(frozen=True, slots=True, kw_only=True)
class Data(Thing):
    """Data that someone would miss."""

    IS: ClassVar[str] = "data"
    of: Bound | None = key(Names("service"), "the services that are lost with it", needed=True)
    in_: Bound | None = key(
        Names(), "where it lies: a store, a node or a service; several hold it at the same time", needed=True
    )
    size: float | None = key(Amount(Dimension.DATA, "200 GiB"), "how much there is")
    grows: float | None = key(Amount(Dimension.GROWTH, "1 GiB/day"), "how fast it grows")
    behind: float | None = key(
        Amount(Dimension.TIME, "5 min"), "how far the second place of `in` lags; nothing if not said"
    )
    backed_up: tuple[Backup, ...] = key(
        Listed(Inside(Backup, short=lambda text: {"to": text}, example="{to: keep, every: 1 day}")),
        "its backups",
        default=(),
    )
    moves: str = key(
        Choice("frozen", "in use"),
        "how it goes to a new home: frozen, nobody writes while it is copied, or in use, followed until it has caught up",
        default="frozen",
    )
    may_lose: float | None = key(
        Amount(Dimension.TIME, "1 day"), "the most work that may be lost (recovery point objective)"
    )
    back_within: float | None = key(
        Amount(Dimension.TIME, "4 h"), "how soon it must be back (recovery time objective)"
    )
    restores_in: float | None = key(
        Amount(Dimension.TIME, "40 min"),
        "how long it takes to bring all of it back from a backup; worked out from its size and the speeds if not said",
    )
    timed: DataTimed | None = key(
        DATA_TIMED, "times that you measured; they correct those written or worked out"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Secret(Thing):
    """A key: where it is kept, never what it is."""

    IS: ClassVar[str] = "key"
    kept_in: Bound | None = key(
        Names(
            "outside", "room", "rack", "enclosure", "node", "switch", "drive", "store", "service", "person"
        ),
        "the things that hold it, or hold a share of it",
        needed=True,
    )
    enough: int | None = key(Count(1, 100), "how many of these open it; one if not said")
    lasts: float | None = key(Amount(Dimension.TIME, "90 days"), "how long until it expires")
    renewed_by: Bound | None = key(Names("service", "person", "outside"), "what renews it")


@dataclass(frozen=True, slots=True, kw_only=True)
class Copy(Thing):
    """One copy of a service, made from its `copies` and `on`."""

    IS: ClassVar[str] = "copy"
    service: str = field(default="")
    number: int = field(default=0)
    host: str = field(default="")
    pool: str = field(default="")


def owner(things: Mapping[ThingId, Thing], name: str) -> str:
    """The service that a copy is one of; anything else is its own."""
    thing = things.get(ThingId(name))
    return thing.service if isinstance(thing, Copy) else name
