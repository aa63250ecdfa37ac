"""How are several values read: references, lists, mappings, records?"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from falsework.errors import LimitError, shortened
from falsework.lab import tree
from falsework.model import names
from falsework.model.declare import (
    Form,
    Misread,
    Record,
    Say,
    a,
    declared,
    definition,
    either,
    read_record,
    shown,
)
from falsework.model.simple import scalar
from falsework.where import Where

T = TypeVar("T")
R = TypeVar("R", bound=Record)


@dataclass(frozen=True, slots=True)
class Refs:
    """References as written: a pattern each with its place. `build` replaces them by ids."""

    patterns: tuple[tuple[str, Where], ...]


@dataclass(frozen=True, slots=True)
class Bound:
    """References after `build`: ids in lab order of each pattern, with the place of the first.

    Attributes:
        ids: what is meant.
        where: the place of the first reference.
        outlets: for each of the ids the outlet that was named with it, or None; empty where none was.
    """

    ids: tuple[str, ...]
    where: Where
    outlets: tuple[int | None, ...] = ()

    @property
    def plugs(self) -> tuple[tuple[str, int | None], ...]:
        """Each of the ids with its outlet, or None."""
        return tuple(zip(self.ids, self.outlets or (None,) * len(self.ids), strict=True))


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
        what = a(either(of) or "thing")
        self.says = (
            f"the name of {what}" if one else f"the name of {what}, a pattern such as desk-*, or a list"
        )

    def read(self, node: tree.Node, say: Say) -> Any:  # noqa: ANN401 - Refs now, and Bound once bound
        """The patterns with their places."""
        items = node.items if isinstance(node, tree.Sequence) and not self.one else (node,)
        found: list[tuple[str, Where]] = []
        for item in items:
            text = scalar(item, say, self.says).text
            if len(text) > names.LONGEST:
                raise say.fault(item.where, f"{shown(item)} is too long to be a name", f"write {self.says}")
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
                        raise under.fault(entry.key.where, f"{name!r} stands here twice", "keep one of them")
                    found[name] = value
            except Misread:
                continue
        return found

    def schema(self) -> dict[str, Any]:
        """An object with free keys."""
        return {
            "type": "object",
            "propertyNames": {"pattern": names.NAME_PATTERN},
            "additionalProperties": self.each.schema(),
        }

    def records(self) -> Iterable[type[Record]]:
        """Those of its values."""
        return self.each.records()


class Inside(Form[R], Generic[R]):
    """A record written as a mapping, or in a short form as text.

    Args:
        record: the class.
        short: turns the text into a mapping of keys to texts, or returns None if it does not fit.
        example: how the short form looks.
        listed: the key that a plain text or list stands for.
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
        self.says = f"it as in {example}" if example else f"a mapping of {record.__name__.lower()} keys"

    def read(self, node: tree.Node, say: Say) -> R:
        """The record."""
        if self.listed and not isinstance(node, tree.Mapping):
            node = mapping_of(node, {self.listed: node})
        elif self.short and isinstance(node, tree.Scalar):
            parts = self.short(scalar(node, say, self.says).text)
            if parts is None:
                raise say.fault(node.where, f"found {shown(node)}", f"write {self.says}")
            node = mapping_of(
                node,
                {
                    name: tree.Scalar(text, node.where, True, node.start, node.end)
                    for name, text in parts.items()
                },
            )
        return read_record(self.record, node, say)

    def schema(self) -> dict[str, Any]:
        """A reference to the record's definition, or the short form."""
        whole: dict[str, Any] = {"$ref": f"#/$defs/{definition(self.record)}"}
        other: list[dict[str, Any]] = []
        if self.short:
            other.append({"type": ["string", "number"]})
        if self.listed:
            other.append(declared(self.record)[self.listed].form.schema())
        return {"anyOf": [*other, whole]} if other else whole

    def records(self) -> Iterable[type[Record]]:
        """The record."""
        return (self.record,)


def mapping_of(like: tree.Node, entries: Mapping[str, tree.Node]) -> tree.Mapping:
    """What a short form stands for: a mapping that was not written, at the place of what was."""
    return tree.Mapping(
        tuple(
            tree.Entry(tree.Scalar(name, like.where, False, like.start, like.start), node)
            for name, node in entries.items()
        ),
        like.where,
        like.start,
        like.end,
    )


def expanded(name: tree.Scalar, say: Say) -> names.Counted:
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
            f"{shortened(name.text)!r} can't be a name",
            "use letters, digits, dashes, dots and blanks; ranges as in desk-1..4",
        )
    say.room(len(found))
    return found
