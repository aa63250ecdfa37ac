"""How is one key of the lab file declared, read, checked, documented and put into the schema?

A key is declared once, as a dataclass field made by `key`. Its `Form` knows how to read a node of the
file, how to say in words what it expects, and how to say the same in JSON Schema. The reader, the
reference page and the schema are all made from these declarations.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import MISSING, dataclass, field
from typing import Any, Generic, TypeVar

from falsework.errors import MOST_FAULTS, FaultList, LimitError, nearest, shortened
from falsework.lab import tree
from falsework.where import Where

MOST_NAMES = 2_000_000
"""Names of things, ports and held things that all ranges and counts of a file may stand for together."""

T = TypeVar("T")
R = TypeVar("R", bound="Record")


class Misread(Exception):
    """A node could not be read; the fault is already in the list."""


@dataclass(slots=True)
class _Told:
    """What was said so far: a kind's fault is met again in every thing of the kind, and told once."""

    seen: set[tuple[Where | None, str]] = field(default_factory=set)
    count: int = 0
    names: int = 0


@dataclass(slots=True)
class Say:
    """Where the reader is, and the list it puts faults on.

    `path` is the dotted way from the root of the file to the node at hand.
    """

    faults: FaultList
    path: str = ""
    told: _Told = field(default_factory=_Told)

    def under(self, step: str) -> Say:
        """The same list, one step further down."""
        joint = "" if not self.path or step.startswith("[") else "."
        return Say(self.faults, f"{self.path}{joint}{step}", self.told)

    def at(self, path: str) -> Say:
        """The same list, elsewhere in the file."""
        return Say(self.faults, path, self.told)

    @property
    def count(self) -> int:
        """How often a fault was met, those told before included; it grows with every fault."""
        return self.told.count

    def fault(self, where: Where | None, what: str, mend: str) -> Misread:
        """Note a fault; returns the exception to raise when nothing sensible can be read."""
        self.told.count += 1
        if (where, what) not in self.told.seen:
            if len(self.told.seen) < MOST_FAULTS:
                self.told.seen.add((where, what))
            self.faults.add(where, what, _sentence(mend), self.path)
        return Misread()

    def excuse(self) -> None:
        """Note that something is missing that another fault explains."""
        self.told.count += 1

    def room(self, count: int) -> None:
        """Note that `count` names were made of few words.

        Raises:
            LimitError: more were made so far than any lab needs.
        """
        self.told.names += count
        if self.told.names > MOST_NAMES:
            raise LimitError(
                f"the ranges and counts of the lab stand for more than {MOST_NAMES:,} names",
                "Shorten them, or split the lab.",
            )

    def meant(self, word: str, known: Iterable[str], otherwise: str) -> str:
        """Ask whether the nearest known word was meant, or say something else if none is near."""
        # Comparing words is slow, and beyond a full list nobody reads the answer.
        near = nearest(word, known) if len(self.faults) < MOST_FAULTS else None
        return f"did you mean {near!r}?" if near else otherwise


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


def key(  # a field's type is what its annotation says, whatever this returns
    form: Form[T],
    meaning: str,
    *,
    default: object = None,
    needed: bool = False,
) -> Any:  # noqa: ANN401
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


def read_record(
    record: type[R], node: tree.Node, say: Say, *, also: Iterable[str] = (), **given: object
) -> R:
    """Read a mapping into `record`, noting every unknown key, missing key and misfit.

    Args:
        record: a dataclass whose keys are declared with `key`.
        node: the mapping.
        say: place and list of faults.
        also: further keys that the caller reads itself.
        given: values of fields that are not keys, such as the thing's id.

    Raises:
        Misread: the node is no mapping, or a needed key is missing or misread.
    """
    if not isinstance(node, tree.Mapping):
        raise say.fault(node.where, f"found {shown(node)}", f"write a mapping: {{{example_keys(record)}}}")
    keys = declared(record)
    passed = set(also)
    values: dict[str, Any] = dict(given)
    places: dict[str, Where] = {}
    misread: set[str] = set()
    for entry in node.entries:
        name = entry.key.text
        if name in passed:
            places[name] = entry.value.where
            continue
        known = keys.get(name)
        if known is None:
            mend = say.meant(name, [*keys, *passed], "known keys: " + ", ".join((*passed, *keys)))
            say.fault(entry.key.where, f"no key is called {shortened(name)!r} here", mend)
            continue
        try:
            values[known.attribute] = known.form.read(entry.value, say.under(name))
            places[known.attribute] = entry.value.where
        except Misread:
            misread.add(known.attribute)
    missing = [known for known in keys.values() if known.needed and known.attribute not in values]
    for known in missing:
        if known.attribute not in misread:
            say.fault(
                node.where, f"the key {known.name!r} is missing", f"add {known.name}: {known.form.says}"
            )
    if missing:
        raise Misread
    return record(where=node.where, places=places, **values)


def a(word: str) -> str:
    """A word with its article."""
    return f"{'an' if word[:1] in 'aeio' else 'a'} {word}"


def either(words: Sequence[str]) -> str:
    """Words as alternatives: "node, pool or enclosure"."""
    return " or ".join(part for part in (", ".join(words[:-1]), *words[-1:]) if part)


def _sentence(text: str) -> str:
    """A mend as a sentence: the reader's forms give only words."""
    return f"{text[:1].upper()}{text[1:]}{'' if text.endswith(('.', '?', '!')) else '.'}"


def example_keys(record: type) -> str:
    """The first few keys of a record, for a message that shows how one looks."""
    return ", ".join(f"{name}: ..." for name in list(declared(record))[:3])


def shown(node: tree.Node) -> str:
    """The value of a node as a short quotation for a message."""
    if isinstance(node, tree.Scalar):
        return "nothing" if node.is_empty else repr(shortened(node.text))
    return "a list" if isinstance(node, tree.Sequence) else "a mapping"


def record_schema(record: type, *, also: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """A record class as a JSON Schema object that refuses unknown keys."""
    properties: dict[str, Any] = dict(also or {})
    for name, each in declared(record).items():
        properties[name] = {"description": f"{each.meaning}; write {each.form.says}", **each.form.schema()}
    needed = [name for name, each in declared(record).items() if each.needed]
    return {
        "type": "object",
        "description": " ".join((record.__doc__ or "").split()),
        "properties": properties,
        **({"required": needed} if needed else {}),
        "additionalProperties": False,
    }


def definition(record: type) -> str:
    """What a record class is called among the definitions of the schema and on the reference page."""
    word = getattr(record, "IS", None)
    return word if isinstance(word, str) else record.__name__.lower()


def reachable(roots: Iterable[type[Record]]) -> tuple[type[Record], ...]:
    """The record classes that may be written in `roots` or in what they hold, those first."""
    found: dict[type[Record], None] = {}
    waiting = list(roots)
    for record in waiting:
        if record not in found:
            found[record] = None
            waiting.extend(inner for each in declared(record).values() for inner in each.form.records())
    return tuple(found)
