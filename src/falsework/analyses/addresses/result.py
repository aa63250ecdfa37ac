"""What does a plan of addresses consist of?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from falsework.engines.addressing.prefixes import addresses, hosts
from falsework.engines.addressing.special import Prefix
from falsework.support.taken import Taken
from falsework.where import Where

How = Literal["said", "kept", "cut", "new"]
"""`said`: the lab file says it at the thing; `kept`: it stands under `addresses`, or follows from what stands there;
`cut`: cut from the owner's ranges; `new`: given now."""

What = Literal["machine", "controller", "switch", "copy", "service", "floating", "way out", "part"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Subnet:
    """The addresses of a network in one version.

    Attributes:
        prefix: the addresses.
        how: where it comes from.
        needs: how many addresses the network wants of it, growth included; 0 where nobody counts (version 6).
    """

    prefix: Prefix
    how: How
    needs: int = 0

    @property
    def size(self) -> int:
        """All its addresses."""
        return addresses(self.prefix)

    @property
    def hosts(self) -> int:
        """Those that a host may have."""
        return hosts(self.prefix)


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A stretch of a subnet that is for one purpose.

    Attributes:
        kind: `way out`, `fixed`, `pool` or `reserved`.
        first, last: its ends, as numbers; both belong to it.
        said: whether the lab file gives it these ends.
        used: how many of its addresses somebody has; 0 for a pool and what is kept free.
    """

    kind: Literal["way out", "fixed", "pool", "reserved"]
    first: int
    last: int
    said: bool
    used: int = 0

    @property
    def size(self) -> int:
        """How many addresses it has."""
        return self.last - self.first + 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """An address that somebody has.

    Attributes:
        network: where.
        thing: who: a machine, controller, switch, copy, service, ...
        what: what that is, or `way out` for an address made for leading out.
        address: in canonical text.
        version: 4 or 6.
        how: `said`, `kept` or `new`.
        name: its full name, without the last dot.
        host: the machine on which a copy on bare metal answers; empty for others.
        where: the place in the lab file that says so, or where the thing is.
    """

    network: str
    thing: str
    what: What
    address: str
    version: int
    how: How
    name: str = ""
    host: str = ""
    where: Where | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Net:
    """A network with what it was given.

    Attributes:
        name: of the network.
        vlan: its number; None where it needs none.
        vlan_new: whether it was given now.
        four, six: its subnets; None where it has none of that version.
        way_out: the address that leads out of it, or is kept for one; empty if none.
        blocks: of version 4, in the order of their addresses.
        on_it: how many have or get an address on it, copies and services included.
        where: its place.
    """

    name: str
    vlan: int | None
    vlan_new: bool
    four: Subnet | None
    six: Subnet | None
    way_out: str
    blocks: tuple[Block, ...]
    on_it: int
    where: Where

    @property
    def free(self) -> int:
        """How many fixed addresses of version 4 are left."""
        return sum(each.size - each.used for each in self.blocks if each.kind == "fixed")


@dataclass(frozen=True, slots=True, kw_only=True)
class Called:
    """A name for which an address is asked.

    Attributes:
        name: in full, without the last dot.
        addresses: what it stands for, in order.
        of: whose name it is.
        outside: whether it lies outside the lab's domain, so that no zone of ours can answer for it.
    """

    name: str
    addresses: tuple[str, ...]
    of: str
    outside: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Trouble:
    """Something that can't have an address, or a network without a subnet.

    Attributes:
        things: who.
        network: where; empty if nowhere.
        says: one sentence without its full stop.
        mend: what to do, one sentence without its full stop.
        where: the place in the lab file.
    """

    things: tuple[str, ...]
    network: str
    says: str
    mend: str
    where: Where | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Addresses:
    """The plan.

    Attributes:
        domain: what names end in.
        nets: every network, in lab order.
        given: every address, by network and thing in lab order; one that two have, such as a machine and the copy
            that answers on it, is told twice.
        called: every name with its addresses, in the order in which they are first met.
        renamed: things whose name was not free, each with the label it got.
        servers: names of who answers for names, if the lab says so.
        troubles: what could not be done.
        taken: figures that the owner did not give.
        notes: what else to know, sentences without their full stop.
    """

    domain: str
    nets: tuple[Net, ...]
    given: tuple[Given, ...]
    called: tuple[Called, ...]
    renamed: tuple[tuple[str, str], ...]
    servers: tuple[str, ...]
    troubles: tuple[Trouble, ...]
    taken: tuple[Taken, ...]
    notes: tuple[str, ...]

    @property
    def new(self) -> tuple[Given, ...]:
        """The addresses that were given now, and are kept only once they are written."""
        return tuple(each for each in self.given if each.how == "new")

    @property
    def complete(self) -> bool:
        """Whether everything has an address."""
        return not self.troubles
