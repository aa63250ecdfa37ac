"""Which figures were assumed, for which things?"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any, TypeVar

from falsework import units
from falsework.model.declare import Declared, declared
from falsework.model.defaults import DEFAULTS, Default
from falsework.model.lab import Assumption
from falsework.model.parts import Thing, ThingId
from falsework.model.services import Service
from falsework.model.stumbling import Corrected, settled
from falsework.model.timed import Correction
from falsework.model.timing import corrected
from falsework.units import Dimension, Quantity

T = TypeVar("T", bound=Thing)


class Assumed:
    """Collects what was assumed; what is assumed alike for many things is listed once."""

    def __init__(self) -> None:
        self._things: dict[tuple[str, str, str, str], list[ThingId]] = {}

    def note(self, word: str, key: str, value: str, source: str, things: Iterable[ThingId]) -> None:
        """Note a figure that was assumed for things of one sort."""
        self._things.setdefault((word, key, value, source), []).extend(things)

    def note_default(self, record: Thing, default: Default, things: Iterable[ThingId]) -> None:
        """Note a default that was assumed for things like `record`."""
        known = declared(type(record))[default.key]
        self.note(record.IS, default.key, told(default.value, known), default.source, things)

    def note_correction(
        self, record: Thing, correction: Correction | Corrected, things: Iterable[ThingId]
    ) -> None:
        """Note a figure that something measured or counted corrected, for things like `record`."""
        self.note(record.IS, correction.key, correction.value, correction.words, things)

    def all(self) -> tuple[Assumption, ...]:
        """Everything noted, in the order of the first mention."""
        return tuple(
            Assumption(tuple(things), key, value, source)
            for (_, key, value, source), things in self._things.items()
        )


def completed(record: T) -> tuple[T, tuple[Default, ...], tuple[Correction | Corrected, ...]]:
    """The record with assumed figures where the owner gave none, and what was measured and counted laid on them.

    Returns:
        The record, the figures that were assumed and count as they are, and those that were corrected.
    """
    keys = declared(type(record))
    assumed = tuple(
        each
        for each in DEFAULTS.get(record.IS, ())
        if each.key in keys and getattr(record, keys[each.key].attribute) is None
    )
    values: dict[str, Any] = {keys[each.key].attribute: each.value for each in assumed}
    whole = dataclasses.replace(record, **values) if values else record
    guesses = [each.key for each in assumed]
    corrections: tuple[Correction | Corrected, ...]
    moved, corrections = corrected(whole, guesses)
    if isinstance(whole, Service) and (counted := settled(whole, written="stumbles" not in guesses)):
        moved |= counted
        corrections += (counted["stumbled"].corrected,)
    if not corrections:
        return whole, assumed, ()
    names = {each.key for each in corrections}
    left = tuple(each for each in assumed if each.key not in names)
    return dataclasses.replace(whole, **moved), left, corrections


@cache
def figures(of: type[Thing]) -> Mapping[str, Any]:
    """Every assumed figure of a class, by attribute: for parts of which the owner can say nothing."""
    keys = declared(of)
    return {keys[each.key].attribute: each.value for each in DEFAULTS.get(of.IS, ()) if each.key in keys}


def told(value: Quantity | float | str, key: Declared) -> str:
    """A value of a key as the file would say it, with its unit."""
    dimension = getattr(key.form, "dimension", None)
    if isinstance(value, str) or not isinstance(dimension, Dimension):
        return str(value)
    if isinstance(value, Quantity):
        return units.format_range(value, dimension)
    return units.format(value, dimension)
