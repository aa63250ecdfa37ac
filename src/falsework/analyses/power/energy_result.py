"""What is said of energy: how much a year, by machine, and what it costs?"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Money:
    """An amount of one currency a year.

    Attributes:
        currency: as in the lab file.
        amount: on ordinary days.
        low, high: the same if all were always idle, or always busy.
    """

    currency: str
    amount: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Used:
    """The energy of one machine, or what a battery loses of what it passes on.

    Attributes:
        name: of the machine or battery.
        loss: whether it is a battery's loss.
        watts: on an ordinary day.
        kwh: a year of such days.
        low_kwh, high_kwh: the same if it were always idle, or always busy.
        costs: by currency; empty where nobody says what energy costs there.
    """

    name: str
    loss: bool
    watts: float
    kwh: float
    low_kwh: float
    high_kwh: float
    costs: tuple[Money, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Energy:
    """The energy of a lab in a year of 8,760 hours.

    Attributes:
        used: by machine, in lab order, then what batteries lose; machines without power are left out.
        kwh: together, on ordinary days.
        low_kwh, high_kwh: if all were always idle, or always busy.
        costs: by currency.
        unpriced: sources of power that are used, and of which nobody says what energy from them costs.
        unpriced_kwh: what comes from those.
    """

    used: tuple[Used, ...]
    kwh: float
    low_kwh: float
    high_kwh: float
    costs: tuple[Money, ...]
    unpriced: tuple[str, ...]
    unpriced_kwh: float
