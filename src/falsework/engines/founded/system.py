"""How is it written down that things begin once others serve?

An item *begins* once its begin clauses hold, and *serves* while it has begun and its serve clauses hold.
What has begun is a least fixed point: nothing begins because it has begun. What serves is a greatest one
within it: items that need each other only to serve wait for each other to begin, and then all serve.
So B is the least set with B = F(S(B)), where S(B) is the greatest subset of B whose serve clauses hold in it.

Some items are *offers*: they begin only if they were chosen, and choosing costs.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, kw_only=True)
class Clause:
    """At least `enough` of the items `of` must serve, or where `begun` is said, have begun.

    Attributes:
        of: positions of items; one that is named twice counts once.
        enough: 0 holds always, more than there are items never.
        begun: having begun is enough.
    """

    of: tuple[int, ...]
    enough: int
    begun: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class System:
    """Items with clauses.

    Attributes:
        names: of the items, n_items.
        begin: for each item the clauses that must hold for it to begin.
        serve: for each item the clauses that must hold all the time while it serves.
        costs: by item, what choosing it costs, a whole number, 0 or more; items that are no offer are not in it.
    """

    names: tuple[str, ...]
    begin: tuple[tuple[Clause, ...], ...]
    serve: tuple[tuple[Clause, ...], ...]
    costs: Mapping[int, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """What begins and serves, and in which round.

    Attributes:
        begun: for each item the round in which it begins, from 0; -1 where it never does. An item begins by
            what serves or has begun in earlier rounds: the rounds are a certificate that nothing begins
            because of itself.
        serves: for each item the round from which it serves, not before it has begun; -1 where it never does.
    """

    begun: tuple[int, ...]
    serves: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """The cheapest offers that let every goal serve.

    Attributes:
        chosen: positions of offers, ascending; empty where nothing does it.
        cost: what they cost together.
        bound: no choice costs less than this.
        reach: what begins and serves with them; with every offer chosen where nothing does it.
        stuck: goals that do not serve even with every offer.
    """

    chosen: tuple[int, ...]
    cost: int
    bound: int
    reach: Reach
    stuck: tuple[int, ...]

    @property
    def proven(self) -> bool:
        """Whether nothing cheaper exists."""
        return not self.stuck and self.bound == self.cost
