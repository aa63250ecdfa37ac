"""Which forms may the value of a key have?"""

from __future__ import annotations

import datetime
import ipaddress
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from falsework import units
from falsework.errors import LimitError, nearest
from falsework.lab import tree
from falsework.model import names
from falsework.model.declare import Form, Misread, Record, Say, read_record, record_schema, shown
from falsework.units import Dimension, Quantity, UnitError
from falsework.where import Where

T = TypeVar("T")
R = TypeVar("R", bound=Record)

MOST_COPIES = 10_000


def scalar(node: tree.Node, say: Say, says: str) -> tree.Scalar:
    """The node as a non-empty scalar, or a fault."""
    if not isinstance(node, tree.Scalar) or (not node.text and not node.quoted):
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
        if not re.fullmatch(r"\d{1,12}", text) or not self.low <= int(text) <= self.high:
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
        return {"type": ["string", "number"], "description": f"expected {self.says}"}


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
        return {"type": ["string", "number"], "description": f"expected {self.says}"}


class Choice(Form[str]):
    """One of a few words."""

    def __init__(self, *words: str) -> None:
        self.words = words
        self.says = "one of " + ", ".join(words)

    def read(self, node: tree.Node, say: Say) -> str:
        """The word."""
        text = scalar(node, say, self.says).text
        if text not in self.words:
            near = nearest(text, self.words)
            mend = f"did you mean {near!r}?" if near else f"write {self.says}"
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


@dataclass(frozen=True, slots=True)
class Refs:
    """References as written: a pattern each with its place. `build` replaces them by ids."""

    patterns: tuple[tuple[str, Where], ...]


@dataclass(frozen=True, slots=True)
class Bound:
    """References after `build`: ids in lab order of each pattern, with the place of the first."""

    ids: tuple[str, ...]
    where: Where


class Names(Form[Any]):
    """References to things: a name, a pattern, or a list of them.

    Args:
        of: the words (`is`) of the things that may be named; empty for any.
        one: exactly one thing must be meant.
        outlet: a number after the last dot may name an outlet or port of the thing.
    """

    def __init__(self, *of: str, one: bool = False, outlet: bool = False) -> None:
        self.of = of
        self.one = one
        self.outlet = outlet
        what = " or ".join(of) if of else "thing"
        self.says = (
            f"the name of a {what}" if one else f"the name of a {what}, a pattern such as desk-*, or a list"
        )

    def read(self, node: tree.Node, say: Say) -> Any:
        """The patterns with their places."""
        items = node.items if isinstance(node, tree.Sequence) and not self.one else (node,)
        found: list[tuple[str, Where]] = []
        for item in items:
            text = scalar(item, say, self.says).text
            found.append((text, item.where))
        if not found:
            raise say.fault(node.where, "found an empty list", f"write {self.says}")
        return Refs(tuple(found))

    def schema(self) -> dict[str, Any]:
        """A string or a list of strings."""
        if self.one:
            return {"type": ["string", "number"]}
        return {
            "anyOf": [
                {"type": ["string", "number"]},
                {"type": "array", "items": {"type": ["string", "number"]}},
            ]
        }


class Listed(Form[tuple[T, ...]], Generic[T]):
    """A list of one form; a single value stands for a list of one."""

    def __init__(self, each: Form[T]) -> None:
        self.each = each
        self.says = f"{each.says}, or a list of them"

    def read(self, node: tree.Node, say: Say) -> tuple[T, ...]:
        """The values in order; what can't be read is left out and noted."""
        items = node.items if isinstance(node, tree.Sequence) else (node,)
        found: list[T] = []
        for number, item in enumerate(items):
            try:
                found.append(self.each.read(item, say.under(f"[{number}]")))
            except Misread:
                continue
        return tuple(found)

    def schema(self) -> dict[str, Any]:
        """One or an array."""
        return {"anyOf": [self.each.schema(), {"type": "array", "items": self.each.schema()}]}

    def records(self) -> Iterable[type[Record]]:
        """Those of its items."""
        return self.each.records()


class Keyed(Form[Mapping[str, T]], Generic[T]):
    """A mapping from free names (counted names expand) to one form."""

    def __init__(self, each: Form[T], *, says: str = "") -> None:
        self.each = each
        self.says = says or f"a mapping from names to {each.says}"

    def read(self, node: tree.Node, say: Say) -> Mapping[str, T]:
        """The values by expanded name."""
        if not isinstance(node, tree.Mapping):
            raise say.fault(node.where, f"found {shown(node)}", f"write {self.says}")
        found: dict[str, T] = {}
        for entry in node.entries:
            under = say.under(entry.key.text)
            try:
                value = self.each.read(entry.value, under)
                for name, _ in expanded(entry.key, under):
                    if name in found:
                        under.fault(entry.key.where, f"{name!r} stands here twice", "keep one of them")
                    found[name] = value
            except Misread:
                continue
        return found

    def schema(self) -> dict[str, Any]:
        """An object with free keys."""
        return {"type": "object", "additionalProperties": self.each.schema()}

    def records(self) -> Iterable[type[Record]]:
        """Those of its values."""
        return self.each.records()


class Inside(Form[R], Generic[R]):
    """A record written as a mapping, or in a short form as text.

    Args:
        record: the class.
        short: turns the text into a mapping of keys to texts, or returns None if it does not fit.
        example: how the short form looks.
    """

    def __init__(
        self,
        record: type[R],
        *,
        short: Callable[[str], Mapping[str, str] | None] | None = None,
        example: str = "",
        listed: str = "",
    ) -> None:
        self.record, self.short, self.listed = record, short, listed
        self.says = f"such as {example}" if example else f"a mapping of {record.__name__.lower()} keys"

    def read(self, node: tree.Node, say: Say) -> R:
        """The record."""
        if self.listed and isinstance(node, tree.Sequence):
            node = _mapping(node, {self.listed: node})
        elif self.short and isinstance(node, tree.Scalar):
            parts = self.short(scalar(node, say, self.says).text)
            if parts is None:
                raise say.fault(node.where, f"found {shown(node)}", f"write it {self.says}")
            node = _mapping(
                node,
                {
                    name: tree.Scalar(text, node.where, True, node.start, node.end)
                    for name, text in parts.items()
                },
            )
        return read_record(self.record, node, say)

    def schema(self) -> dict[str, Any]:
        """A reference to the record's definition, or the short form."""
        whole = {"$ref": f"#/$defs/{self.record.__name__}"}
        other: list[dict[str, Any]] = []
        if self.short:
            other.append({"type": ["string", "number"], "description": self.says})
        if self.listed:
            other.append({"type": "array"})
        return {"anyOf": [*other, whole]} if other else whole

    def records(self) -> Iterable[type[Record]]:
        """The record."""
        return (self.record,)


def _mapping(like: tree.Node, entries: Mapping[str, tree.Node]) -> tree.Mapping:
    made = tuple(
        tree.Entry(tree.Scalar(name, like.where, False, like.start, like.start), node)
        for name, node in entries.items()
    )
    return tree.Mapping(made, like.where, like.start, like.end)


def expanded(name: tree.Scalar, say: Say) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Every name that a counted name stands for, with its counters; faults noted."""
    try:
        found = names.spread(name.text)
    except ValueError as error:
        raise say.fault(name.where, str(error), "write it as in desk-1..4 or sled-a..b") from None
    except LimitError as error:
        raise say.fault(name.where, error.what, error.mend) from None
    if not names.sound(found[0][0]):
        raise say.fault(
            name.where,
            f"{name.text!r} can't be a name",
            "use letters, digits, dashes, dots and blanks; ranges as in desk-1..4",
        )
    return found


@dataclass(frozen=True, slots=True)
class Set:
    """So many things of one kind, with the names they get inside their holder."""

    names: tuple[str, ...]
    kind: str
    where: Where
    over: tree.Mapping | None = None


class Holding(Form[tuple[Set, ...]]):
    """Things held inside another: `4 old-2t`, a list of such, or names with kinds."""

    def __init__(self, prefix: str, example: str) -> None:
        self.prefix = prefix
        self.says = f"a count and a kind, such as {example}, or names with kinds"

    def read(self, node: tree.Node, say: Say) -> tuple[Set, ...]:
        """The sets in order; counted ones are numbered on, through the whole list."""
        found: list[Set] = []
        if isinstance(node, tree.Mapping):
            for entry in node.entries:
                under = say.under(entry.key.text)
                inner = tuple(name for name, _ in expanded(entry.key, under))
                over = entry.value if isinstance(entry.value, tree.Mapping) else None
                kind = "" if over else scalar(entry.value, under, "the name of a kind").text
                found.append(Set(inner, kind, entry.value.where, over))
            return tuple(found)
        items = node.items if isinstance(node, tree.Sequence) else (node,)
        number = 0
        for item in items:
            text = scalar(item, say, self.says).text
            match = re.fullmatch(r"(\d{1,9})(?: x)? (.+)", text)
            count = int(match.group(1)) if match else 1
            if not 0 < count <= MOST_COPIES:
                raise say.fault(item.where, f"found {shown(item)}", f"a count from 1 to {MOST_COPIES:,}")
            inner = tuple(f"{self.prefix}{number + step + 1}" for step in range(count))
            number += count
            found.append(Set(inner, match.group(2) if match else text, item.where))
        return tuple(found)

    def schema(self) -> dict[str, Any]:
        """Text, list or mapping."""
        text = {"type": "string"}
        return {"anyOf": [text, {"type": "array", "items": text}, {"type": "object"}]}


class Ports(Form[Mapping[str, float | None]]):
    """Ports: a count, a speed, `8 x 1 Gb/s`, or names with speeds."""

    says = "a count, a speed, both as in 8 x 1 Gb/s, or names with speeds as in {a..b: 1 Gb/s}"

    def read(self, node: tree.Node, say: Say) -> Mapping[str, float | None]:
        """Port names in order, each with its speed in bit/s, or None where it was not said."""
        if isinstance(node, tree.Mapping):
            speeds = Keyed(Amount(Dimension.SPEED, "1 Gb/s"), says=self.says).read(node, say)
            return dict(speeds)
        text = scalar(node, say, self.says).text
        match = re.fullmatch(r"(?:(\d{1,9})(?: x |$))?(.+)?", text)
        count = int(match.group(1)) if match and match.group(1) else 1
        speed = match.group(2) if match else text
        if not 0 < count <= MOST_COPIES:
            raise say.fault(node.where, f"found {shown(node)}", f"a count from 1 to {MOST_COPIES:,}")
        try:
            value = units.parse(speed, Dimension.SPEED) if speed else None
        except UnitError as error:
            raise say.fault(node.where, error.what, f"write {self.says}") from None
        return {str(number + 1): value for number in range(count)}

    def schema(self) -> dict[str, Any]:
        """Number, text or mapping."""
        return {"anyOf": [{"type": ["string", "integer"]}, {"type": "object"}]}


class Runtimes(Form[tuple[tuple[float, float], ...]]):
    """A runtime curve: `{300 W: 22 min, 600 W: 9 min}`."""

    says = "loads with runtimes, such as {300 W: 22 min, 600 W: 9 min}"

    def read(self, node: tree.Node, say: Say) -> tuple[tuple[float, float], ...]:
        """Pairs of load in W and runtime in s, by rising load; runtimes must fall."""
        if not isinstance(node, tree.Mapping) or not node.entries:
            raise say.fault(node.where, f"found {shown(node)}", f"write {self.says}")
        power, time = Amount(Dimension.POWER, "300 W"), Amount(Dimension.TIME, "22 min")
        pairs = sorted((power.read(entry.key, say), time.read(entry.value, say)) for entry in node.entries)
        if any(later[1] > sooner[1] for sooner, later in zip(pairs, pairs[1:], strict=False)):
            raise say.fault(node.where, "a larger load runs longer here", "check the pairs of the curve")
        return tuple(pairs)

    def schema(self) -> dict[str, Any]:
        """A mapping of text to text."""
        return {"type": "object", "additionalProperties": {"type": "string"}}


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


def definitions(roots: Iterable[type[Record]]) -> dict[str, Any]:
    """Every record reachable from `roots` as a JSON Schema definition by class name."""
    found: dict[str, Any] = {}
    waiting = list(roots)
    while waiting:
        record = waiting.pop()
        if record.__name__ in found:
            continue
        found[record.__name__] = record_schema(record)
        from falsework.model.declare import declared

        for each in declared(record).values():
            waiting.extend(each.form.records())
    return dict(sorted(found.items()))
