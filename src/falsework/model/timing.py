"""What becomes of the figures that measured times correct?

A figure of the lab file is a guess, the owner's or the tool's; times that were measured in drills move it. The owner's
figure stays in the file as it was written, and what all questions work with is the middle of both.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Collection, Mapping, Sequence
from typing import Any

from falsework.engines.reliability.timing import SINGLE, Belief, believed, believed_between, measured
from falsework.model.parts import Thing
from falsework.model.timed import Correction, Timed, Timing
from falsework.units import Quantity

WRITTEN, ASSUMED = 4.0, 0.1
"""How many measured times a figure counts for: one that the owner wrote, and one that was assumed or worked out."""
WORKED_OUT = ("rebuilds_in", "restores_in")
"""Figures that are worked out from sizes and speeds where nobody wrote them."""


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


def _guess(figure: Quantity | float | None, *, written: bool) -> Belief | None:
    weight = WRITTEN if written else ASSUMED
    if isinstance(figure, Quantity):
        if figure.low <= 0:
            return None  # a fault of the file, told elsewhere
        if figure.low == figure.high:
            return believed(figure.low, weight, spread=SINGLE)
        return believed_between(figure.low, figure.high, weight)
    return believed(float(figure), weight) if figure else None
