"""What is said of the room that is left when something is lost?"""

from __future__ import annotations

from dataclasses import dataclass

from falsework.where import Where

RESOURCES = ("cores", "memory", "disk", "accelerators")
"""What is packed, in the order of an `Amounts`; memory and disk in byte."""

Amounts = tuple[float, float, float, float]
"""By resource; infinity where nobody said how much there is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Restart:
    """A copy that runs elsewhere after a loss: it lost its host, or made room and came back.

    Attributes:
        copy: its id.
        start: the host that it was on.
        end: the host that it finds room on.
    """

    copy: str
    start: str
    end: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Homeless:
    """A copy that may not be left out and finds no room.

    Attributes:
        copy: its id.
        service: of which it is one.
        takes: what it takes.
        largest: of each resource the most that any one host has left that it may run on, once the others that
            restart have their room and all that may be left out are.
        missing: what it takes above `largest`, 0 where that does.
        free: of each resource what these hosts have left together.
        reason: `nowhere` (no host is left that it may run on), `short` (all that is left together is too little),
            `pieces` (together there is enough, on no host is), `mixed` (one host has this, another that, none has both)
            or `apart` (where it fits, a copy runs that it must be apart from).
        helped: whether all would fit if the copies that still run were moved too; None where the search gave up.
        alone: whether any host that is left could take it if nothing else ran there.
        give: the host that would need least more to take it, beside all that have their room; empty where more of
            anything helps on none.
        lacks: what that host would need more.
        where: the place in the lab file that says what it takes.
    """

    copy: str
    service: str
    takes: Amounts
    largest: Amounts
    missing: Amounts
    free: Amounts
    reason: str
    helped: bool | None
    alone: bool
    give: str
    lacks: Amounts
    where: Where | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """What a host has left, once all that restarts has.

    Attributes:
        host: its id.
        left: by resource; below 0 where what runs there takes more than there is.
    """

    host: str
    left: Amounts


@dataclass(frozen=True, slots=True, kw_only=True)
class PoolLeft:
    """One pool after one loss.

    Attributes:
        pool: its name.
        gone: its hosts that are gone, or that see none of the wire.
        restarts: copies that run elsewhere, in lab order.
        left_out: copies that may be left out and are, in lab order.
        homeless: copies that find no room, in lab order.
        holes: what each host that is left has left, most memory first, then most cores.
        sure: whether the search for a packing came to its end; if not, a copy may be called homeless that a cleverer
            packing would house.
    """

    pool: str
    gone: tuple[str, ...]
    restarts: tuple[Restart, ...]
    left_out: tuple[str, ...]
    homeless: tuple[Homeless, ...]
    holes: tuple[Hole, ...]
    sure: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class After:
    """What one loss does to the room.

    Attributes:
        lost: the part.
        pools: those that it takes a host from, in lab order.
    """

    lost: str
    pools: tuple[PoolLeft, ...]

    @property
    def homeless(self) -> tuple[Homeless, ...]:
        """Every copy that finds no room, over all pools."""
        return tuple(each for pool in self.pools for each in pool.homeless)


@dataclass(frozen=True, slots=True, kw_only=True)
class More:
    """How many more copies fit on a pool so that after every loss there is still room for all.

    Attributes:
        pool: its name.
        of: the service whose copies they would be, or the size as it was asked for.
        least: so many fit; `hosts` shows how.
        most: more than so many do not fit; None where the count was given up.
        hosts: where the first `least` would run, one host each.
        where: the place of the service in the lab file.
    """

    pool: str
    of: str
    least: int
    most: int | None
    hosts: tuple[str, ...]
    where: Where | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """Something that lies on a store.

    Attributes:
        what: the data, or the copy whose disk it is.
        sort: `data`, `backup` (one whole copy of it; what earlier ones add is not known) or `disk`.
        size: in byte; None where nobody said.
        grows: byte a second.
    """

    what: str
    sort: str
    size: float | None
    grows: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Heal:
    """What a store can do about a loss, by itself, before anybody mends.

    Attributes:
        lost: the domain or the drive that is gone.
        drives: the drives that go with it.
        survives: whether its data are all there still.
        heals: whether it can be made whole again from what is left.
        reason: why not: `lost` (there is nothing to heal from), `domains` (too few are left to keep the pieces apart),
            `room` (what is left is too small), `spare` (a whole new drive has to be put in); empty where it heals.
        usable: how much data it holds at most then, in byte; 0 where not even one stripe can be laid whole.
        rewritten: byte that must be written to make it whole again, onto what is left or onto what is put in.
        floor_s: it takes no less than this; None where nobody said how fast anything is.
        slowest: what that floor comes from.
    """

    lost: str
    drives: tuple[str, ...]
    survives: bool
    heals: bool
    reason: str
    usable: float
    rewritten: float
    floor_s: float | None
    slowest: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Domain:
    """Drives of a store that count as one: no two copies or pieces lie in it.

    Attributes:
        name: of what they share, or of the drive itself.
        size: byte.
        drives: ids.
    """

    name: str
    size: float
    drives: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreRoom:
    """How much a store holds, and whether it heals.

    Attributes:
        store: its name.
        layout: as in the lab file.
        apart: the level of its domains.
        domains: in lab order; spares that wait are in none.
        out: drives that are out today, or in something that is; they count to the sizes, and not to what heals.
        raw: byte of all its working drives.
        usable: byte of data that fit; None where a drive has no size.
        held: what lies on it, in lab order.
        full_in_s: when it is full as it grows now; 0 where it is already, infinity where it does not grow.
        unsized: drives of which nobody said how large they are.
        heals: after the loss of each domain, and of each drive where several make a domain.
        where: its place in the lab file.
    """

    store: str
    layout: str
    apart: str
    domains: tuple[Domain, ...]
    out: tuple[str, ...]
    raw: float
    usable: float | None
    held: tuple[Held, ...]
    full_in_s: float
    unsized: tuple[str, ...]
    heals: tuple[Heal, ...]
    where: Where | None

    @property
    def used(self) -> float:
        """Byte that lie on it, as far as somebody said."""
        return sum(each.size or 0.0 for each in self.held)

    @property
    def over(self) -> float:
        """Byte that lie on it above what it holds."""
        return max(self.used - self.usable, 0.0) if self.usable is not None else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomLeft:
    """The room of a whole lab.

    Attributes:
        aimed: whether the losses are those that aims name.
        after: each loss that was looked at.
        more: what could be added, by pool and service, in lab order.
        counted: whether that was counted for the services, or there are none.
        overfull: hosts on which more runs than they have, with nothing lost; what is left of what is too little.
        stores: in lab order.
        unsized: services on a pool of which nobody said what a copy takes.
    """

    aimed: bool
    after: tuple[After, ...]
    more: tuple[More, ...]
    counted: bool
    overfull: tuple[Hole, ...]
    stores: tuple[StoreRoom, ...]
    unsized: tuple[str, ...]

    @property
    def fits(self) -> bool:
        """Whether every copy that may not be left out has room after every loss, and every store holds what lies on it."""
        return not any(each.homeless for each in self.after) and not any(each.over for each in self.stores)
