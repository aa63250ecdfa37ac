"""How is one key of the lab file declared, read, checked, documented and put into the schema?

A key is declared once, as a dataclass field made by `key`. Its `Form` knows how to read a node of the
file, how to say in words what it expects, and how to say the same in JSON Schema. The reader, the
reference page and the schema are all made from these declarations.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable, Mapping
from dataclasses import MISSING, dataclass, field
from typing import Any, Generic, TypeVar

from falsework.errors import FaultList, nearest
from falsework.lab import tree
from falsework.where import Where

T = TypeVar("T")
R = TypeVar("R", bound="Record")


class Misread(Exception):
    """A node could not be read; the fault is already in the list."""


@dataclass(slots=True)
class Say:
    """Where the reader is, and the list it puts faults on.

    `path` is the dotted way from the root of the file to the node at hand.
    """

    faults: FaultList
    path: str = ""

    def under(self, step: str) -> Say:
        """The same list, one step further down."""
        return Say(self.faults, f"{self.path}.{step}" if self.path else step)

    def fault(self, where: Where | None, what: str, mend: str) -> Misread:
        """Note a fault; returns the exception to raise when nothing sensible can be read."""
        self.faults.add(where, what, mend, self.path)
        return Misread()


class Form(Generic[T]):
    """What the value of a key may look like.

    `says` completes the sentence "expected ...".
    """

    says: str = "a value"

    def read(self, node: tree.Node, say: Say) -> T:
        """The typed value of `node`.

        Raises:
            Misread: the node does not fit; the fault has been noted with its place.
        """
        raise NotImplementedError

    def schema(self) -> dict[str, Any]:
        """The form as JSON Schema (draft 2020-12)."""
        return {}

    def records(self) -> Iterable[type[Record]]:
        """The record classes that this form may hold, for the reference page."""
        return ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """A mapping in the lab file whose keys are declared.

    `where` is the place of its first key; `places` has the place of each key that was written.
    """

    where: Where
    places: Mapping[str, Where] = field(default_factory=dict, repr=False, compare=False)

    def place(self, name: str) -> Where:
        """Where key `name` was written, or the record itself if it was not."""
        return self.places.get(name, self.where)


def key(form: Form[T], meaning: str, *, default: Any = None, needed: bool = False) -> Any:
    """Declare one key: its form, its meaning in one sentence, and its default.

    The key's name in the file is the field's name with blanks for underscores (`in_` is `in`).
    """
    metadata = {"form": form, "meaning": meaning, "needed": needed}
    if isinstance(default, (dict, list)):
        made = default
        return field(default_factory=lambda: made, metadata=metadata)
    return field(default=default, metadata=metadata)


@dataclass(frozen=True, slots=True)
class Declared:
    """One declared key: what the reader, the schema and the reference page need to know."""

    attribute: str
    name: str
    form: Form[Any]
    meaning: str
    needed: bool
    default: Any


_declared: dict[type, Mapping[str, Declared]] = {}


def declared(record: type) -> Mapping[str, Declared]:
    """The declared keys of a record class by name, in order of declaration."""
    known = _declared.get(record)
    if known is None:
        keys = {}
        for each in dataclasses.fields(record):
            if "form" in each.metadata:
                name = each.name.rstrip("_").replace("_", " ")
                default = each.default if each.default is not MISSING else None
                keys[name] = Declared(
                    each.name,
                    name,
                    each.metadata["form"],
                    each.metadata["meaning"],
                    each.metadata["needed"],
                    default,
                )
        known = _declared[record] = keys
    return known


def read_record(record: type[R], node: tree.Node, say: Say, *, also: Iterable[str] = (), **given: Any) -> R:
    """Read a mapping into `record`, noting every unknown key, missing key and misfit.

    Args:
        record: a dataclass whose keys are declared with `key`.
        node: the mapping.
        say: place and list of faults.
        also: further keys that the caller has read itself.
        given: values of fields that are not keys, such as the thing's id.

    Raises:
        Misread: the node is no mapping, or a needed key is missing or misread.
    """
    if not isinstance(node, tree.Mapping):
        raise say.fault(node.where, f"found {shown(node)}", f"write a mapping: {{{example_keys(record)}}}")
    keys = declared(record)
    passed = set(also)
    values: dict[str, Any] = {}
    places: dict[str, Where] = {}
    broken = False
    for entry in node.entries:
        name = entry.key.text
        if name in passed:
            places[name] = entry.value.where
            continue
        known = keys.get(name)
        if known is None:
            near = nearest(name, [*keys, *passed])
            mend = f"did you mean {near!r}?" if near else "known keys: " + ", ".join(keys)
            say.fault(entry.key.where, f"no key is called {name!r} here", mend)
            continue
        try:
            values[known.attribute] = known.form.read(entry.value, say.under(name))
            places[known.attribute] = entry.value.where
        except Misread:
            broken = broken or known.needed
    for known in keys.values():
        if known.needed and known.attribute not in values and not broken:
            say.fault(
                node.where, f"the key {known.name!r} is missing", f"add {known.name}: {known.form.says}"
            )
            broken = True
    if broken:
        raise Misread
    return record(where=node.where, places=places, **{**given, **values})


def example_keys(record: type) -> str:
    """The first few keys of a record, for a message that shows how one looks."""
    return ", ".join(f"{name}: ..." for name in list(declared(record))[:3])


def shown(node: tree.Node) -> str:
    """The value of a node as a short quotation for a message."""
    if isinstance(node, tree.Scalar):
        text = node.text if len(node.text) <= 60 else node.text[:57] + "..."
        return repr(text) if node.text or node.quoted else "nothing"
    return "a list" if isinstance(node, tree.Sequence) else "a mapping"


def record_schema(record: type, *, also: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """A record class as a JSON Schema object that refuses unknown keys."""
    properties: dict[str, Any] = dict(also or {})
    for name, each in declared(record).items():
        properties[name] = {"description": each.meaning, **each.form.schema()}
    return {
        "type": "object",
        "properties": properties,
        "required": [name for name, each in declared(record).items() if each.needed],
        "additionalProperties": False,
    }


Parse = Callable[[str], T]
