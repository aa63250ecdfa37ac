"""What has to be placed where, under which rules, and what does a placement cost?

Items go into bins. Some rules are hard; what is wished for costs, at one of several levels, of which an earlier
one always outweighs all later ones. All quantities are whole numbers, so that a sum is a sum on every machine.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

NOWHERE = -1
"""The bin of an item that is in none yet, and the domain of a bin that a rule does not speak of."""
HARD = -1
"""The level of a rule that must hold."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Apart:
    """No two of these items lie in one domain.

    Attributes:
        name: what the rule is called when it is told.
        items: which items.
        domain: by bin, the number of its domain; NOWHERE where the rule does not bind.
    """

    name: str
    items: tuple[int, ...]
    domain: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """All these items lie in one domain; bins without a domain are not for them."""

    name: str
    items: tuple[int, ...]
    domain: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """These items lie in at least so many domains."""

    name: str
    items: tuple[int, ...]
    domain: tuple[int, ...]
    at_least: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Near:
    """Each domain that holds one of `items` holds one of `to` as well.

    Attributes:
        level: HARD, or the level at which each item that has none of `to` in its domain costs `weight`.
    """

    name: str
    items: tuple[int, ...]
    to: tuple[int, ...]
    domain: tuple[int, ...]
    level: int = HARD
    weight: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class AtMost:
    """Of these items at most `most` lie in these bins.

    Attributes:
        level: HARD, or the level at which it costs `weight`, once, if there are more.
    """

    name: str
    items: tuple[int, ...]
    bins: tuple[int, ...]
    most: int
    level: int = HARD
    weight: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Shared:
    """The bins together use at most `capacity` of a resource, besides what each has of its own."""

    name: str
    bins: tuple[int, ...]
    resource: int
    capacity: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Loss:
    """These bins may go together: then every item in them that `restarts` finds a place in the bins that are left.

    It is put whole into one bin that it is allowed in, where capacity and every `Apart` rule among the items
    that still run and those that are placed anew hold. Items that keep running stay where they are. Items that
    may be left out (`sheds`) take no room then and need none.

    Attributes:
        level: HARD, or the level at which each item that finds no place costs `weight`.
    """

    name: str
    bins: tuple[int, ...]
    level: int = HARD
    weight: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """Costs `weight` x the sum over bins of max(0, target x free(resource) - free(against))."""

    resource: int
    against: int
    target: int
    level: int
    weight: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Moves:
    """What it costs that items lie elsewhere than at the start.

    Attributes:
        level: where it counts.
        each: (n_items,) for each moved item; an item that was nowhere does not move.
        busiest: x the largest number of moved items in any one group.
        way: (n_bins, n_bins) from bin to bin, or None.
        way_weight: x the sum of `way` over moved items.
    """

    level: int
    each: Ints
    busiest: int = 0
    way: NDArray[np.integer] | None = None
    way_weight: int = 0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Comfort:
    """Costs `weight[resource]` for each unit of use above `upto`, in each bin.

    Attributes:
        level: where it counts.
        upto: (n_bins, n_resources).
        weight: (n_resources,).
    """

    level: int
    upto: Ints
    weight: Ints


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Problem:
    """Items to be put into bins.

    Attributes:
        levels: what each level is called, the weightiest first.
        item_names, bin_names, resource_names: for telling.
        size: (n_items, n_resources) what each item takes.
        capacity: (n_bins, n_resources) what each bin has.
        twice: (n_resources,) where a moved item counts in its old bin as well as in its new one.
        group: (n_items,) numbers from 0; items of one group are equal in kind, not in size.
        start: (n_items,) the bin of each item today, or NOWHERE.
        allowed: (n_items, n_bins), or None where every bin is allowed to all.
        restarts: (n_items,) items that find another place when their bin is lost.
        sheds: (n_items,) items that may be left out when room is short.
    """

    levels: tuple[str, ...]
    item_names: Sequence[str]
    bin_names: Sequence[str]
    resource_names: tuple[str, ...]
    size: Ints
    capacity: Ints
    twice: Bools
    group: Ints
    start: Ints
    allowed: Bools | None = None
    restarts: Bools | None = None
    sheds: Bools | None = None
    apart: tuple[Apart, ...] = ()
    together: tuple[Together, ...] = ()
    spread: tuple[Spread, ...] = ()
    near: tuple[Near, ...] = ()
    at_most: tuple[AtMost, ...] = ()
    shared: tuple[Shared, ...] = ()
    losses: tuple[Loss, ...] = ()
    comfort: tuple[Comfort, ...] = ()
    balance: tuple[Balance, ...] = ()
    moves: tuple[Moves, ...] = ()

    @property
    def restarting(self) -> Bools:
        """(n_items,) items that find another place when their bin is lost: all where nobody says."""
        return np.ones(self.n_items, dtype=np.bool_) if self.restarts is None else self.restarts

    @property
    def shedding(self) -> Bools:
        """(n_items,) items that may be left out when room is short: none where nobody says."""
        return np.zeros(self.n_items, dtype=np.bool_) if self.sheds is None else self.sheds

    @property
    def n_items(self) -> int:
        """How many items there are."""
        return int(self.size.shape[0])

    @property
    def n_bins(self) -> int:
        """How many bins there are."""
        return int(self.capacity.shape[0])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Placement:
    """The best placement that was found.

    Attributes:
        bin_of: (n_items,) the bin of each item.
        cost: by level.
        bound: by level, what no placement that is as good at the levels before can be under; as `cost` where
            the level is proven. Once a level is not proven, the bounds after it speak of what was settled for there.
        seconds: how long it took.
    """

    bin_of: Ints
    cost: tuple[int, ...]
    bound: tuple[int, ...]
    seconds: float

    @property
    def proven(self) -> bool:
        """Whether no placement is better."""
        return self.cost == self.bound


@dataclass(frozen=True, slots=True, kw_only=True)
class Impossible:
    """No placement keeps every hard rule.

    Attributes:
        because: names of rules, and of items whose size or allowed bins matter, that no placement keeps together;
            leaving any one of them out lets the others be kept, if `smallest`.
        smallest: whether that was proven.
    """

    because: tuple[str, ...]
    smallest: bool
