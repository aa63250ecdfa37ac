"""How is a single value read: a word, a count, a quantity, a date, an address?"""

from __future__ import annotations

import datetime
import ipaddress
import re
from dataclasses import dataclass
from typing import Any

from falsework import units
from falsework.lab import tree
from falsework.model.declare import Form, Say, shown
from falsework.units import Dimension, Quantity, ThreePoint, UnitError


def scalar(node: tree.Node, say: Say, says: str) -> tree.Scalar:
    """The node as a non-empty scalar, or a fault."""
    if not isinstance(node, tree.Scalar) or node.is_empty:
        raise say.fault(node.where, f"found {shown(node)}", f"write {says}")
    return node


class Text(Form[str]):
    """Free text."""

    def __init__(self, says: str = "text") -> None:
        self.says = says

    def read(self, node: tree.Node, say: Say) -> str:
        """The text as it stands."""
        return scalar(node, say, self.says).text

    def schema(self) -> dict[str, Any]:
        """A string, or a number that is taken as one."""
        return {"type": ["string", "number"]}


class Count(Form[int]):
    """A whole number within bounds."""

    def __init__(self, low: int = 0, high: int = 1_000_000) -> None:
        self.low, self.high = low, high
        self.says = f"a whole number from {low} to {high:,}"

    def read(self, node: tree.Node, say: Say) -> int:
        """The number."""
        text = scalar(node, say, self.says).text
        if not re.fullmatch("[0-9]{1,12}", text) or not self.low <= int(text) <= self.high:
            raise say.fault(node.where, f"found {shown(node)}", f"write {self.says}")
        return int(text)

    def schema(self) -> dict[str, Any]:
        """An integer."""
        return {"type": "integer", "minimum": self.low, "maximum": self.high}


class Amount(Form[float]):
    """A quantity with its unit, in base units."""

    def __init__(self, dimension: Dimension, example: str) -> None:
        self.dimension = dimension
        self.says = f"a value with its unit, such as {example}"

    def read(self, node: tree.Node, say: Say) -> float:
        """The value in base units of the dimension."""
        text = scalar(node, say, self.says).text
        try:
            return units.parse(text, self.dimension)
        except UnitError as error:
            raise say.fault(node.where, error.what, error.mend) from None

    def schema(self) -> dict[str, Any]:
        """A string; the unit is part of it."""
        return {"$ref": f"#/$defs/{quantity(self.dimension)}"}


class Ranged(Form[Quantity]):
    """A quantity that may be a range, low..high."""

    def __init__(self, dimension: Dimension, example: str) -> None:
        self.dimension = dimension
        self.says = f"a value or a range with its unit, such as {example}"

    def read(self, node: tree.Node, say: Say) -> Quantity:
        """The range in base units; a plain value has equal ends."""
        text = scalar(node, say, self.says).text
        try:
            return units.parse_range(text, self.dimension)
        except UnitError as error:
            raise say.fault(node.where, error.what, error.mend) from None

    def schema(self) -> dict[str, Any]:
        """A string; the unit is part of it."""
        return {"$ref": f"#/$defs/{quantity(self.dimension, ranges=True)}"}


class Guess(Form[ThreePoint]):
    """A quantity guessed at three points: at least, most likely, at most."""

    def __init__(self, dimension: Dimension, example: str) -> None:
        self.dimension = dimension
        self.says = f"a value, or at least..most likely..at most with one unit, such as {example}"

    def read(self, node: tree.Node, say: Say) -> ThreePoint:
        """The three points in base units; a plain value has equal ones."""
        text = scalar(node, say, self.says).text
        try:
            return units.parse_three(text, self.dimension)
        except UnitError as error:
            raise say.fault(node.where, error.what, error.mend) from None

    def schema(self) -> dict[str, Any]:
        """A string; the unit is part of it."""
        return {"$ref": f"#/$defs/{quantity(self.dimension, three=True)}"}


def quantity(dimension: Dimension, *, ranges: bool = False, three: bool = False) -> str:
    """What a quantity is called among the definitions of the schema."""
    last = "guess" if three else "or range" if ranges else "value"
    return f"{dimension.name.lower().replace('_', ' ')} {last}"


@dataclass(frozen=True, slots=True)
class Seen:
    """Failures that were counted, and how long was watched in all, seconds.

    Attributes:
        failures: how many.
        watched_s: how long all of the kind were watched together.
        until: the moment until which it was counted, in UTC as written; empty if not said.
    """

    failures: int
    watched_s: float
    until: str = ""


class Watched(Form[Seen]):
    """What was counted: so many failures in so long, perhaps until some moment."""

    says = "a count and a time, such as 2 in 40 years, or 2 in 40 years until 2026-11-26"

    def read(self, node: tree.Node, say: Say) -> Seen:
        """The count, and the time in seconds."""
        text = scalar(node, say, self.says).text
        text, _, until = text.partition(" until ")
        count, _, time = text.partition(" in ")
        if not re.fullmatch("[0-9]{1,6}", count.strip()) or not time:
            raise say.fault(node.where, f"found {shown(node)}", f"write {self.says}")
        try:
            watched = units.parse(time, Dimension.TIME)
        except UnitError as error:
            raise say.fault(node.where, error.what, error.mend) from None
        if watched <= 0:
            raise say.fault(node.where, f"found {shown(node)}", "say how long was watched, such as 40 years")
        return Seen(int(count), watched, moment_of(until, node, say, self.says))

    def schema(self) -> dict[str, Any]:
        """A string."""
        return {"type": "string", "pattern": "^[0-9]+ in .+"}


def moment_of(text: str, node: tree.Node, say: Say, says: str) -> str:
    """A moment in UTC as it was written, or nothing; anything else is a fault of the node."""
    try:
        zoned = bool(text) and datetime.datetime.fromisoformat(text).tzinfo is not None
    except ValueError:
        raise say.fault(node.where, f"found {shown(node)}", f"write {says}") from None
    if zoned:
        raise say.fault(node.where, f"found {shown(node)}", "write the moment in UTC, without a zone")
    return text


class Choice(Form[str]):
    """One of a few words."""

    def __init__(self, *words: str) -> None:
        self.words = words
        self.says = "one of " + ", ".join(words)

    def read(self, node: tree.Node, say: Say) -> str:
        """The word."""
        text = scalar(node, say, self.says).text
        if text not in self.words:
            mend = say.meant(text, self.words, f"write {self.says}")
            raise say.fault(node.where, f"found {shown(node)}", mend)
        return text

    def schema(self) -> dict[str, Any]:
        """An enumeration."""
        return {"enum": list(self.words)}


class Flag(Form[bool]):
    """Yes or no."""

    says = "yes or no"

    def read(self, node: tree.Node, say: Say) -> bool:
        """True for yes."""
        text = scalar(node, say, self.says).text
        if text not in ("yes", "no"):
            raise say.fault(node.where, f"found {shown(node)}", "write yes or no")
        return text == "yes"

    def schema(self) -> dict[str, Any]:
        """Words, or the booleans that editors make of them."""
        return {"enum": ["yes", "no", True, False]}


class Day(Form[datetime.date]):
    """A date."""

    says = "a date, such as 2026-05-31"

    def read(self, node: tree.Node, say: Say) -> datetime.date:
        """The date, ISO 8601."""
        text = scalar(node, say, self.says).text
        try:
            return datetime.date.fromisoformat(text)
        except ValueError:
            raise say.fault(node.where, f"found {shown(node)}", f"write {self.says}") from None

    def schema(self) -> dict[str, Any]:
        """A date string."""
        return {"type": "string", "format": "date"}


class Addresses(Form[tuple[str, ...]]):
    """IP addresses, one or a list."""

    says = "an address such as 10.20.10.5, or a list"

    def read(self, node: tree.Node, say: Say) -> tuple[str, ...]:
        """The addresses in canonical text."""
        items = node.items if isinstance(node, tree.Sequence) else (node,)
        return tuple(self._one(item, say) for item in items)

    def _one(self, node: tree.Node, say: Say) -> str:
        text = scalar(node, say, self.says).text
        try:
            return str(ipaddress.ip_address(text))
        except ValueError:
            raise say.fault(node.where, f"found {shown(node)}", f"write {self.says}") from None

    def schema(self) -> dict[str, Any]:
        """A string or a list."""
        return {"anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}}]}


class Subnet(Form[str]):
    """An IP network in prefix notation."""

    def __init__(self, version: int, example: str) -> None:
        self.version = version
        self.says = f"a subnet such as {example}"

    def read(self, node: tree.Node, say: Say) -> str:
        """The network in canonical text; host bits must be zero (RFC 4632)."""
        text = scalar(node, say, self.says).text
        try:
            network = ipaddress.ip_network(text)
        except ValueError as error:
            raise say.fault(node.where, f"found {shown(node)}: {error}", f"write {self.says}") from None
        if network.version != self.version:
            raise say.fault(node.where, f"found {shown(node)}", f"write {self.says}")
        return str(network)

    def schema(self) -> dict[str, Any]:
        """A string."""
        return {"type": "string"}
