"""What stands under `timed`: times that were measured of a thing, and what they make of its figures."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, field
from typing import Any, ClassVar

from falsework import units
from falsework.engines.reliability.timing import Belief
from falsework.lab import tree
from falsework.model.compound import Inside, Listed
from falsework.model.declare import Form, Record, Say, key, shown
from falsework.model.simple import scalar
from falsework.units import Dimension, Quantity, UnitError

LONGEST_S = 100 * units.YEAR_S


@dataclass(frozen=True, slots=True)
class Timing:
    """One time that was measured.

    Attributes:
        took_s: how long it took, seconds, above 0.
        on: when, as written: a date, or a date and the time of the day in UTC; empty if not said.
    """

    took_s: float
    on: str = ""

    @property
    def on_moment(self) -> datetime.datetime:
        """When, however it was written.

        Raises:
            ValueError: it was not said.
        """
        return datetime.datetime.fromisoformat(self.on)


class Timings(Form[Timing]):
    """A measured time, with the day or the moment if the owner likes."""

    says = "a time that was measured, such as 28 s or 28 s on 2026-11-26"

    def read(self, node: tree.Node, say: Say) -> Timing:
        """The time, and when it was measured."""
        try:
            return timing_of(scalar(node, say, self.says).text)
        except UnitError as error:
            raise say.fault(node.where, error.what or f"found {shown(node)}", error.mend) from None

    def schema(self) -> dict[str, Any]:
        """A string."""
        return {"type": "string", "pattern": "^[0-9.]"}


def timing_of(text: str) -> Timing:
    """A measured time from words: `28 s`, or `28 s on 2026-11-26 07:35:12`.

    Raises:
        UnitError: it is none; what is wrong is empty where no more can be said than that.
    """
    words, _, on = text.partition(" on ")
    took_s = units.parse(words, Dimension.TIME)
    if not 0 < took_s <= LONGEST_S:
        raise UnitError("", "a time that was measured is above 0")
    try:
        moment = datetime.datetime.fromisoformat(on) if on else None
    except ValueError:
        raise UnitError("", f"write {Timings.says}") from None
    if moment is not None and moment.tzinfo is not None:
        raise UnitError("", "write the moment in UTC, without a zone")
    return Timing(took_s, on)


_TIMES = Listed(Timings())


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """A figure, before and after measured times were laid on it.

    Attributes:
        key: the key of the lab file that it corrects.
        before: what was said or assumed, seconds; None where nothing was.
        written: whether the owner said it.
        times_s: what was measured, seconds.
        belief: what is believed now.
        after: the figure that counts, seconds.
    """

    key: str
    before: Quantity | float | None
    written: bool
    times_s: tuple[float, ...]
    belief: Belief
    after: Quantity | float

    @property
    def weight(self) -> float:
        """How many measured times the figure before counts for."""
        return self.belief.weight - len(self.times_s)

    @property
    def value(self) -> str:
        """The figure that counts, in words."""
        return units.format_range(as_range(self.after), Dimension.TIME)

    @property
    def words(self) -> str:
        """Where it comes from, in words."""
        count = len(self.times_s)
        times = "once" if count == 1 else "twice" if count == 2 else f"{count} times"
        if self.before is None:
            return f"measured {times}"
        before = units.format_range(as_range(self.before), Dimension.TIME)
        who = "the file" if self.written else "what is assumed"
        return f"measured {times}; the {before} of {who} counts as {self.weight:g} more"


@dataclass(frozen=True, slots=True, kw_only=True)
class Timed(Record):
    """Times that were measured; they correct the figures of the same names."""

    corrections: tuple[Correction, ...] = field(default=(), compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class ServiceTimed(Timed):
    """Times that were measured of a service."""

    IS: ClassVar[str] = "times of a service"
    takes_over: tuple[Timing, ...] = key(_TIMES, "how long taking over took", default=())
    restarts_in: tuple[Timing, ...] = key(_TIMES, "how long a restart took", default=())
    floats: tuple[Timing, ...] = key(_TIMES, "how long its floating address took to move", default=())


@dataclass(frozen=True, slots=True, kw_only=True)
class PoolTimed(Timed):
    """Times that were measured of a pool."""

    IS: ClassVar[str] = "times of a pool"
    restarts_in: tuple[Timing, ...] = key(
        _TIMES, "how long it took from losing a host to its copies running elsewhere", default=()
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class PartTimed(Timed):
    """Times that were measured of a part."""

    IS: ClassVar[str] = "times of a part"
    mends_in: tuple[Timing, ...] = key(_TIMES, "how long repairs took once begun", default=())


@dataclass(frozen=True, slots=True, kw_only=True)
class PoweredTimed(PartTimed):
    """Times that were measured of a part with a plug."""

    IS: ClassVar[str] = "times of a part with a plug"
    wakes_in: tuple[Timing, ...] = key(_TIMES, "how long it took from power to ready", default=())


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreTimed(Timed):
    """Times that were measured of a store."""

    IS: ClassVar[str] = "times of a store"
    rebuilds_in: tuple[Timing, ...] = key(
        _TIMES, "how long it took from a new drive in its place to the store being whole again", default=()
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class DataTimed(Timed):
    """Times that were measured of data."""

    IS: ClassVar[str] = "times of data"
    restores_in: tuple[Timing, ...] = key(
        _TIMES, "how long it took to bring all of it back from a backup", default=()
    )


SERVICE_TIMED = Inside(ServiceTimed, example="{takes over: [28 s, 33 s on 2026-11-26]}")
POOL_TIMED = Inside(PoolTimed, example="{restarts in: [95 s]}")
PART_TIMED = Inside(PartTimed, example="{mends in: [3 h]}")
POWERED_TIMED = Inside(PoweredTimed, example="{mends in: [3 h], wakes in: [95 s]}")
STORE_TIMED = Inside(StoreTimed, example="{rebuilds in: [9 h]}")
DATA_TIMED = Inside(DataTimed, example="{restores in: [41 min]}")


def as_range(figure: Quantity | float) -> Quantity:
    """A figure as a range, perhaps with equal ends."""
    return figure if isinstance(figure, Quantity) else Quantity(low=figure, high=figure)
