"""How does one thing lean on another?"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from falsework import units
from falsework.model.declare import Record, key
from falsework.model.forms import Addresses, Amount, Bound, Count, Flag, Inside, Listed, Names
from falsework.units import Dimension, UnitError

KINDS = ("to run", "to start", "to take over", "to build", "to mend", "to restore")
"""The kinds of need, in the order in which a thing's life meets them, the everyday one first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Need(Record):
    """One thing leaning on another: on any one of those named, or on `enough` of them."""

    of: Bound = key(
        Names(), "what is leant on; several names are alternatives unless `enough` says more", needed=True
    )
    enough: int | None = key(Count(1), "how many of the named are needed; one if not said")
    for_: float | None = key(
        Amount(Dimension.TIME, "6 h"), "the hold: how long it may be unmet before it matters"
    )
    at: tuple[str, ...] = key(
        Addresses(), "the addresses that this client knows; all of the service's if not said", default=()
    )
    soft: bool = key(Flag(), "yes: without it the thing is degraded, not down", default=False)


def need_from_text(text: str) -> Mapping[str, str] | None:
    """`names`, `clock for 6 h`, `store at 10.1.1.5`, `store at 10.1.1.5 for 30 s`."""
    found: dict[str, str] = {}
    match = re.fullmatch(r"(.+) for (.+)", text)
    if match:
        try:
            units.parse(match.group(2), Dimension.TIME)
        except UnitError:
            pass
        else:
            text, found["for"] = match.group(1), match.group(2)
    match = re.fullmatch(r"(.+) at ([0-9a-fA-F.:]+)", text)
    if match and any(sign in match.group(2) for sign in ".:"):
        text, found["at"] = match.group(1), match.group(2)
    return {"of": text, **found}


_NEEDS = Listed(
    Inside(Need, short=need_from_text, example="names, clock for 6 h, or {of: [a, b], enough: 1, for: 30 s}")
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Needs(Record):
    """What a thing leans on, by kind of need. A plain list means both to run and to start."""

    run_and_start: tuple[Need, ...] = key(
        _NEEDS, "needed every moment and to start; a plain list means this", default=()
    )
    to_run: tuple[Need, ...] = key(_NEEDS, "needed every moment, but it can start before", default=())
    to_start: tuple[Need, ...] = key(_NEEDS, "needed to start, not afterwards", default=())
    to_take_over: tuple[Need, ...] = key(_NEEDS, "needed while another copy takes over", default=())
    to_build: tuple[Need, ...] = key(_NEEDS, "needed to make it from nothing", default=())
    to_mend: tuple[Need, ...] = key(
        _NEEDS, "needed to repair or replace it; as to build if not said", default=()
    )
    to_restore: tuple[Need, ...] = key(_NEEDS, "needed to bring its data back from a backup", default=())

    @property
    def awaited(self) -> tuple[Need, ...]:
        """What it serves only with, once it has started: with a hold it does without for a while."""
        return (*self.run_and_start, *(need for need in self.to_run if not need.for_))

    @property
    def mending(self) -> tuple[Need, ...]:
        """What repairing or replacing it needs: as building it where that is not said."""
        return self.to_mend or self.to_build


NEEDS = Inside(
    Needs,
    example="[names, clock for 6 h] or {to run: [...], to start: [...]}",
    listed="run and start",
)
