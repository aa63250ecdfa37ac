"""Which times were measured, and what becomes of the figures that they correct?

A figure of the lab file is a guess, the owner's or the tool's; times that were measured in drills move it. The owner's
figure stays in the file as it was written, and what all questions work with is the middle of both.
"""

from __future__ import annotations

import dataclasses
import datetime
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, ClassVar

from falsework import units
from falsework.engines.reliability.timing import SINGLE, Belief, believed, believed_between, measured
from falsework.lab import tree
from falsework.model.compound import Inside, Listed
from falsework.model.declare import Form, Record, Say, key, shown
from falsework.model.simple import scalar
from falsework.units import Dimension, Quantity, UnitError

if TYPE_CHECKING:  # parts have times of their own, so that they load this
    from falsework.model.parts import Thing

WRITTEN, ASSUMED = 4.0, 0.1
"""How many measured times a figure counts for: one that the owner wrote, and one that was assumed or worked out."""
WORKED_OUT = ("rebuilds_in", "restores_in")
"""Figures that are worked out from sizes and speeds where nobody wrote them."""
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


def timed_of(thing: Thing) -> Timed | None:
    """The measured times of a thing."""
    found = getattr(thing, "timed", None)
    return found if isinstance(found, Timed) else None


def times_of(timed: Timed) -> Mapping[str, tuple[Timing, ...]]:
    """The measured times by attribute, without those of which there are none."""
    fields = (each.name for each in dataclasses.fields(timed) if "form" in each.metadata)
    return {name: found for name in fields if (found := getattr(timed, name))}


def figure_of(thing: Thing, attribute: str) -> Quantity | float | None:
    """The figure that counts, by the attribute of the measured times that correct it."""
    found = getattr(thing, attribute)
    if attribute == "floats":
        found = found.in_ if found is not None else None
    return found if isinstance(found, Quantity | float | int) else None


def belief_of(thing: Thing, attribute: str, worked_out_s: float | None = None) -> Belief | None:
    """What is believed of a figure, measured times counted in; None where there is none, or it takes no time.

    Args:
        thing: of which.
        attribute: as that of the measured times.
        worked_out_s: what the figure is by sizes and speeds, for one of `WORKED_OUT`.
    """
    timed = timed_of(thing)
    name = attribute.replace("_", " ")
    for each in timed.corrections if timed is not None else ():
        if each.key == name:
            return each.belief
    figure = figure_of(thing, attribute)
    if figure is not None or not worked_out_s:
        return _guess(figure, written=attribute in thing.places)
    known = times_of(timed).get(attribute, ()) if timed is not None else ()
    return believed(worked_out_s, ASSUMED).updated([each.took_s for each in known])


def settled_s(thing: Thing, attribute: str, worked_out_s: float) -> float:
    """The figure that counts, of those that are worked out where nobody wrote them, seconds.

    Args:
        thing: of which.
        attribute: one of `WORKED_OUT`.
        worked_out_s: what it is by sizes and speeds; it counts as one that was assumed.
    """
    belief = belief_of(thing, attribute, worked_out_s)
    return worked_out_s if belief is None else belief.middle


def unsaid(thing: Thing, attribute: str) -> str:
    """What to say first, where the thing has no such figure that measured times could correct; empty where it has."""
    if figure_of(thing, attribute) is not None or attribute in WORKED_OUT:
        return ""
    if attribute == "floats":
        floats = getattr(thing, attribute) is not None
        return "" if floats else "say which address `floats`, or time what it does instead"
    if attribute == "takes_over":
        return "say `takes over` too, where one copy serves and another takes over"
    return f"say `{attribute.replace('_', ' ')}` too"


def corrected(thing: Thing, assumed: Collection[str]) -> tuple[dict[str, Any], tuple[Correction, ...]]:
    """New values of a thing whose figures were measured, by attribute, and what was corrected.

    Args:
        thing: as read, with defaults where its owner said nothing.
        assumed: the keys that are such defaults.
    """
    timed = timed_of(thing)
    values: dict[str, Any] = {}
    found = []
    for attribute, timings in times_of(timed).items() if timed is not None else ():
        name = attribute.replace("_", " ")
        before = figure_of(thing, attribute)
        if before is None and not (attribute == "floats" and getattr(thing, attribute) is not None):
            continue  # nothing that could be corrected; `model.checks.timing` says so
        written = name not in assumed
        times_s = tuple(each.took_s for each in timings)
        belief, after = moved(before, _guess(before, written=written), times_s)
        values[attribute] = (
            dataclasses.replace(getattr(thing, attribute), in_=after) if attribute == "floats" else after
        )
        found.append(
            Correction(key=name, before=before, written=written, times_s=times_s, belief=belief, after=after)
        )
    if found:
        values["timed"] = dataclasses.replace(timed, corrections=tuple(found))  # type: ignore[type-var]
    return values, tuple(found)


def moved(
    figure: Quantity | float | None, prior: Belief | None, times_s: Sequence[float]
) -> tuple[Belief, Quantity | float]:
    """What is believed with measured times laid on a figure, and the figure that counts then: a range stays a range.

    Args:
        figure: what counts so far, seconds.
        prior: what is believed of it; None where nobody guessed anything.
        times_s: what was measured, one at least where there is no belief.
    """
    belief = prior.updated(times_s) if prior is not None else measured(times_s)
    if not isinstance(figure, Quantity):
        return belief, belief.middle
    low, high = belief.next
    return belief, Quantity(low=low, high=high)


def as_range(figure: Quantity | float) -> Quantity:
    """A figure as a range, perhaps with equal ends."""
    return figure if isinstance(figure, Quantity) else Quantity(low=figure, high=figure)


def _guess(figure: Quantity | float | None, *, written: bool) -> Belief | None:
    weight = WRITTEN if written else ASSUMED
    if isinstance(figure, Quantity):
        if figure.low <= 0:
            return None  # a fault of the file, told elsewhere
        if figure.low == figure.high:
            return believed(figure.low, weight, spread=SINGLE)
        return believed_between(figure.low, figure.high, weight)
    return believed(float(figure), weight) if figure else None
