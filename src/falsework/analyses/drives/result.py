"""What is found out about ways to lay out drives?"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from falsework.engines.durability.chain import Durability
from falsework.support.taken import Taken
from falsework.units import Quantity
from falsework.where import Where


class Apart(StrEnum):
    """What may hold only one piece of each datum; IN_ONE where all pieces lie in one machine."""

    IN_ONE = "one machine"
    NODE = "node"
    ENCLOSURE = "enclosure"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stick:
    """One drive, as far as layouts mind it.

    Attributes:
        name: its name.
        kind: of drives that nobody can tell apart.
        size_bytes: its size.
        rate: failures a year.
        read_errors: sectors that can't be read, per bit read.
        speed: byte/s.
        draws_w: from idle to busy.
        batch: empty for none.
        in_common: share of its failures that its batch has in common.
        bay: the machine whose bay it is in, or goes into; empty where it is in none yet.
    """

    name: str
    kind: str
    size_bytes: float
    rate: Quantity
    read_errors: float
    speed: float
    draws_w: Quantity
    batch: str
    in_common: Quantity
    bay: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bays:
    """Free bays of one machine.

    Attributes:
        holder: the node, or the enclosure that holds drives itself.
        free: how many.
        nodes: that serve drives in them; any of these is enough.
        enclosure: what it shares with its neighbours; itself where it shares nothing.
        bytes_per_s: what gets in or out of it over the wire.
    """

    holder: str
    free: int
    nodes: tuple[str, ...]
    enclosure: str
    bytes_per_s: float

    def domain(self, apart: Apart) -> str:
        """What a piece that lies in it counts as one with."""
        return self.enclosure if apart is Apart.ENCLOSURE else self.holder


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Drives that save each other's data.

    Attributes:
        sticks: all that hold data, each in its bay.
        data: how many pieces of each datum are needed; 1 for copies. For parity: drives less `check`.
        check: how many may be gone.
        apart: what holds one piece only.
        spares: drives that wait in the same machine.
    """

    sticks: tuple[Stick, ...]
    data: int
    check: int
    apart: Apart
    spares: tuple[Stick, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A way to lay out drives, before its figures are known.

    Attributes:
        scheme: `mirror`, `parity`, `double parity`, `triple parity`, `single`, `3 copies`, `4+2 pieces`.
        apart: as in its groups.
        groups: one or more; data lies over all of them.
        spares: drives that wait; where pieces lie over the network, drives' worth of room that is kept free.
        usable_bytes: how much data fits on it.
        idle: drives of the heap that it leaves over.
    """

    scheme: str
    apart: Apart
    groups: tuple[Group, ...]
    spares: int
    usable_bytes: float
    idle: tuple[str, ...] = ()

    @property
    def sticks(self) -> tuple[Stick, ...]:
        """All its drives, of each group the waiting ones last."""
        return tuple(each for group in self.groups for each in (*group.sticks, *group.spares))


@dataclass(frozen=True, slots=True, kw_only=True)
class Survives:
    """How many may be lost at once, whichever they are, while the data is still there and can be reached.

    Attributes:
        drives, nodes, enclosures: how many.
    """

    drives: int
    nodes: int
    enclosures: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Heals:
    """How much data may lie on it if it is to make itself whole again without a new drive, after the worst loss of a sort.

    Attributes:
        drive_bytes, node_bytes, enclosure_bytes: so much; 0 where it can't at all.
    """

    drive_bytes: float
    node_bytes: float
    enclosure_bytes: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """A way to lay out drives with its figures.

    Attributes:
        number: in the order in which they are told, from 1.
        plan: which drives are where.
        survives: at once.
        heals: by itself, and how full it may be for that.
        usual, low, high: how durable with the figures as taken, and at both ends of what is disputed.
        rebuild_s: of one drive, the slowest, once it has begun.
        begins_s: what passes before, on the average: until somebody has put in a new drive; 0 with a spare.
        read_errors: sectors that can't be read in that rebuild, expected.
        read_chance: the chance that there is one or more.
        cut_off: how often a year the loss of one node or enclosure makes the data unreachable until it is mended.
        watts: of its drives, from idle to busy.
        price: of its drives where all are known, as written sums by currency; empty else.
        front: whether no other is better in one respect and worse in none.
    """

    number: int
    plan: Plan
    survives: Survives
    heals: Heals
    usual: Durability
    low: Durability
    high: Durability
    rebuild_s: float
    begins_s: float
    read_errors: float
    read_chance: float
    cut_off: float
    watts: Quantity
    price: str
    front: bool

    @property
    def usable_bytes(self) -> float:
        """How much data fits on it."""
        return self.plan.usable_bytes

    @property
    def drives(self) -> int:
        """How many drives it takes, waiting ones included."""
        return len(self.plan.sticks)


@dataclass(frozen=True, slots=True, kw_only=True)
class Disputed:
    """A figure that the field disputes.

    Attributes:
        what: the figure.
        low_says, high_says: what it is at either end.
        source: who says what.
        low, high: the chance of loss of the layout that is recommended, at either end.
        other_low, other_high: the number of the layout that would be recommended instead there; None for the same.
    """

    what: str
    low_says: str
    high_says: str
    source: str
    low: float
    high: float
    other_low: int | None
    other_high: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What the layout must give.

    Attributes:
        room_bytes: how much data must fit; None for as much as goes.
        most_lost: how many drives at once it must survive.
    """

    room_bytes: float | None
    most_lost: int


@dataclass(frozen=True, slots=True, kw_only=True)
class HeapLayouts:
    """All sensible layouts of a heap.

    Attributes:
        heap: its name.
        sticks: its drives that have a size.
        unsized: those that have none, and are left out.
        bays: where they may go.
        wanted: what is asked of a layout.
        tried: how many ways were looked at for their room and what they survive.
        layouts: those with figures, on the front first, then by what they survive, room and chance.
        complete: whether it was not stopped before all were looked at.
        recommended: the number of the layout that is recommended; None where none gives what is wanted.
        nearest: where none does, the one that comes nearest.
        needed: where none does, what would be needed, clauses.
        reason: why it is recommended, a clause; empty where none is.
        trades: what the next two have for them and against them, sentences without full stops.
        disputed: the figures in dispute.
        taken: figures that were taken where the owner gave none.
        where: its place in the lab file.
    """

    heap: str
    sticks: tuple[Stick, ...]
    unsized: tuple[str, ...]
    bays: tuple[Bays, ...]
    wanted: Wanted
    tried: int
    layouts: tuple[Layout, ...]
    complete: bool
    recommended: int | None
    nearest: int | None
    needed: tuple[str, ...]
    reason: str
    trades: tuple[str, ...]
    disputed: tuple[Disputed, ...]
    taken: tuple[Taken, ...]
    where: Where | None


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreOdds:
    """How durable a store of the lab is as it is laid out today.

    Attributes:
        store: its name.
        layout: as the lab file says it.
        usable_bytes: how much data fits on it; None where a drive has no size.
        survives: drives, whichever they are.
        usual, low, high: how durable; None where a drive has no size.
        rebuild_s, begins_s, read_errors, read_chance: as for a layout.
        by_speed_s: the rebuild as sizes and speeds alone have it, whatever was written or measured of it.
        exposed_s: mean time a year with no redundancy left.
        heals: whether it makes itself whole again after the loss of any one drive, without a new one.
        last: whether that rebuild is made with no redundancy left.
        where: its place in the lab file.
    """

    store: str
    layout: str
    usable_bytes: float | None
    survives: int
    usual: Durability | None
    low: Durability | None
    high: Durability | None
    rebuild_s: float
    by_speed_s: float
    begins_s: float
    read_errors: float
    read_chance: float
    exposed_s: float
    heals: bool
    last: bool
    where: Where | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Drives:
    """All of it.

    Attributes:
        heaps: in lab order, those that were asked for.
        stores: in lab order; with the heaps of a question, none.
        taken: figures that were taken for the stores.
    """

    heaps: tuple[HeapLayouts, ...]
    stores: tuple[StoreOdds, ...]
    taken: tuple[Taken, ...]

    @property
    def all_taken(self) -> tuple[Taken, ...]:
        """Every figure that was taken, for heaps and for stores."""
        of_heaps = (each for heap in self.heaps for each in heap.taken)
        return tuple(dict.fromkeys([*of_heaps, *self.taken]))

    @property
    def met(self) -> bool:
        """Whether every heap has a layout that gives what is wanted."""
        return all(heap.recommended is not None for heap in self.heaps)
