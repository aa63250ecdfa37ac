"""How are a supply's ratings, its efficiency and the price of energy read?"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from falsework import units
from falsework.lab import tree
from falsework.model.declare import Form, Say, shown
from falsework.model.simple import Amount, scalar
from falsework.units import Dimension, UnitError

LEVELS = ("plain", "bronze", "silver", "gold", "platinum", "titanium")
"""Levels of efficiency that supplies are certified for, from low to high."""


@dataclass(frozen=True, slots=True)
class Rating:
    """What one supply gives at a voltage: W; the voltage is None where it is the same at all of them."""

    volts: float | None
    watts: float


class Ratings(Form[tuple[Rating, ...]]):
    """What a supply gives: `750 W`, or by voltage `{115 V: 600 W, 230 V: 750 W}`."""

    says = "a power such as 750 W, or one for each voltage as in {115 V: 600 W, 230 V: 750 W}"

    def read(self, node: tree.Node, say: Say) -> tuple[Rating, ...]:
        """The ratings, by rising voltage."""
        volts, watts = Amount(Dimension.VOLTAGE, "230 V"), Amount(Dimension.POWER, "750 W")
        if not isinstance(node, tree.Mapping):
            rating = Rating(None, watts.read(node, say))
            found: list[tuple[Rating, tree.Node]] = [(rating, node)]
        else:
            found = [
                (Rating(volts.read(entry.key, say), watts.read(entry.value, say)), entry.value)
                for entry in node.entries
            ]
        if not found:
            raise say.fault(node.where, f"found {shown(node)}", f"write {self.says}")
        for rating, at in found:
            if rating.watts <= 0 or (rating.volts is not None and rating.volts <= 0):
                raise say.fault(
                    at.where, f"found {shown(at)}", "a supply gives more than 0 W at more than 0 V"
                )
        return tuple(sorted((rating for rating, _ in found), key=lambda each: each.volts or 0.0))

    def schema(self) -> dict[str, Any]:
        """Text, or a mapping of text to text."""
        volts, watts = Amount(Dimension.VOLTAGE, "").schema(), Amount(Dimension.POWER, "").schema()
        return {"anyOf": [watts, {"type": "object", "propertyNames": volts, "additionalProperties": watts}]}


class Efficiency(Form[Any]):
    """How much of what a supply takes it gives: a level's word, or a share."""

    says = "a share such as 90 %, or one of " + ", ".join(LEVELS)

    def read(self, node: tree.Node, say: Say) -> float | str:
        """The word of a level, or the share, 0 to 1."""
        text = scalar(node, say, self.says).text
        if text in LEVELS:
            return text
        if not text[:1].isdigit():
            raise say.fault(node.where, f"found {shown(node)}", say.meant(text, LEVELS, f"write {self.says}"))
        try:
            share = units.parse(text, Dimension.SHARE)
        except UnitError as error:
            raise say.fault(node.where, error.what, error.mend) from None
        if not 0 < share <= 1:
            raise say.fault(node.where, f"found {shown(node)}", "give more than 0 and at most 100 %")
        return share

    def schema(self) -> dict[str, Any]:
        """A word or a share."""
        return {"anyOf": [{"enum": list(LEVELS)}, Amount(Dimension.SHARE, "").schema()]}


@dataclass(frozen=True, slots=True)
class Tariff:
    """What energy costs: an amount of a currency for a kilowatt-hour."""

    amount: float
    currency: str


class PerEnergy(Form[Tariff]):
    """A price of energy."""

    says = "a price such as 0.30 EUR/kWh"
    _SHAPE = re.compile(r"(\d{1,9}(?:\.\d{1,6})?) ?([^\W\d_]{1,12}|[€$£¥]) ?(?:/|per ) ?kWh")

    def read(self, node: tree.Node, say: Say) -> Tariff:
        """The price."""
        match = self._SHAPE.fullmatch(scalar(node, say, self.says).text)
        if not match:
            raise say.fault(node.where, f"found {shown(node)}", f"write {self.says}")
        return Tariff(float(match.group(1)), match.group(2))

    def schema(self) -> dict[str, Any]:
        """A string."""
        return {"type": "string", "examples": ["0.30 EUR/kWh"]}
