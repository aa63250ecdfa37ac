"""What breaks, how is it found, and what does its mending wait for?"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from falsework.engines.renewal.hours import Floats, Hours

Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shock:
    """A cause that strikes at random, and all units that it breaks at the same moment.

    Attributes:
        rate: strikes a second, at a constant rate.
        units: numbers of the units; one for a cause that is a unit's own.
    """

    rate: float
    units: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Server:
    """Someone who mends, one unit at a time, first found first mended.

    Attributes:
        hours: when work may begin; once begun it goes on.
        comes_s: from being called, or from the hours' beginning, to the work's beginning, seconds.
    """

    hours: Hours = field(default_factory=Hours)
    comes_s: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """Replacements of one kind; each one taken is ordered again at once.

    Attributes:
        shelf: how many lie ready at the beginning.
        lead_s: from order to arrival, seconds.
    """

    shelf: int
    lead_s: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plan:
    """A system of units that break and are mended.

    A broken unit is found, then waits for a replacement, then for a server, then is worked on, then is whole.

    Attributes:
        n_units: how many units there are.
        shocks: what breaks them. A unit that is broken already is not broken again.
        work_s: (n_units,) the work that a mending takes on average, seconds.
        spread: (n_units,) standard deviation of its logarithm (lognormal); 0 where it is always the same.
        memoryless: (n_units,) the work is drawn exponentially instead.
        found_s: (n_units,) seconds until found while a watch works.
        unseen_s: (n_units,) seconds until found while none does.
        watches: groups of units; a watch works while all of its group do. With no group given, a watch
            always works.
        looked_at_s: (n_units,) every so many seconds all broken ones are found; infinite for never.
        servers: who mends.
        can: (n_units, n_servers) who may mend which unit; a unit that nobody may mend mends by itself.
        held_s: (n_units,) the longest a mending holds its server, seconds; the rest goes on alone.
        stocks: kinds of replacement.
        stock: (n_units,) the kind that a mending takes; -1 for none.
    """

    n_units: int
    shocks: tuple[Shock, ...]
    work_s: Floats
    spread: Floats
    memoryless: Bools
    found_s: Floats
    unseen_s: Floats
    watches: tuple[tuple[int, ...], ...]
    looked_at_s: Floats
    servers: tuple[Server, ...]
    can: Bools
    held_s: Floats
    stocks: tuple[Stock, ...]
    stock: Ints

    def __post_init__(self) -> None:
        n = self.n_units
        shapes = {
            "work_s": (n,),
            "spread": (n,),
            "memoryless": (n,),
            "found_s": (n,),
            "unseen_s": (n,),
            "looked_at_s": (n,),
            "can": (n, len(self.servers)),
            "held_s": (n,),
            "stock": (n,),
        }
        for name, shape in shapes.items():
            values = getattr(self, name)
            if values.shape != shape:
                raise ValueError(f"{name} has shape {values.shape}, not {shape}")
            if name not in ("memoryless", "can", "stock") and not (values >= 0).all():
                raise ValueError(f"{name} holds a number below 0, or none")
        if (self.stock >= len(self.stocks)).any():
            raise ValueError(f"stock names a kind beyond the {len(self.stocks)} given")
        if any(not (shock.rate >= 0) or not shock.units for shock in self.shocks):
            raise ValueError("a shock has a rate below 0, or no unit")


def plan(
    rates: Floats,
    work_s: Floats,
    *,
    shocks: tuple[Shock, ...] = (),
    spread: float | Floats = 0.0,
    memoryless: bool | Bools = False,
    found_s: float | Floats = 0.0,
    unseen_s: float | Floats | None = None,
    watches: tuple[tuple[int, ...], ...] = (),
    looked_at_s: float | Floats = np.inf,
    servers: tuple[Server, ...] = (),
    can: Bools | None = None,
    held_s: float | Floats = np.inf,
    stocks: tuple[Stock, ...] = (),
    stock: Ints | None = None,
) -> Plan:
    """A plan, with one number for all units where all are alike.

    Args:
        rates: (n_units,) each unit's own breaks a second.
        work_s: see `Plan`.
        shocks: causes that several units share, besides `rates`.
        spread: see `Plan`.
        memoryless: see `Plan`.
        found_s: see `Plan`.
        unseen_s: as `found_s` if not given.
        watches: see `Plan`.
        looked_at_s: see `Plan`.
        servers: see `Plan`.
        can: every server every unit if not given.
        held_s: see `Plan`.
        stocks: see `Plan`.
        stock: none if not given.
    """
    n = len(rates)
    own = tuple(Shock(rate=float(rate), units=(unit,)) for unit, rate in enumerate(rates) if rate > 0)
    return Plan(
        n_units=n,
        shocks=own + shocks,
        work_s=np.asarray(work_s, dtype=float),
        spread=_each(spread, n),
        memoryless=np.broadcast_to(np.asarray(memoryless, dtype=bool), (n,)),
        found_s=_each(found_s, n),
        unseen_s=_each(found_s if unseen_s is None else unseen_s, n),
        watches=watches,
        looked_at_s=_each(looked_at_s, n),
        servers=servers,
        can=np.ones((n, len(servers)), dtype=bool) if can is None else can,
        held_s=_each(held_s, n),
        stocks=stocks,
        stock=np.full(n, -1) if stock is None else stock,
    )


def _each(value: float | Floats, n: int) -> Floats:
    return np.broadcast_to(np.asarray(value, dtype=float), (n,))
