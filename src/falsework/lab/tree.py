"""What does a lab file say, before anybody knows what it means?

Every scalar stays text: whether "on" is a word, a truth or a name is for the field that wants it to say.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from falsework.where import Where


@dataclass(frozen=True, slots=True)
class Scalar:
    """One word or line of text.

    Attributes:
        text: as meant, quotes and escapes resolved; "" and not quoted where nothing was written.
        where: the place of its first character.
        quoted: whether it was written in quotes or as a block of text, so that "" was meant.
        start: offset in the file's text of its first character.
        end: offset just after its last.
    """

    text: str
    where: Where
    quoted: bool
    start: int
    end: int

    @property
    def is_empty(self) -> bool:
        """Whether nothing was written here."""
        return not self.text and not self.quoted


@dataclass(frozen=True, slots=True)
class Sequence:
    """A list, in the file's order; `start` and `end` as in Scalar."""

    items: tuple["Node", ...]
    where: Where
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Entry:
    """A key and what is said under it."""

    key: Scalar
    value: "Node"


@dataclass(frozen=True, slots=True)
class Mapping:
    """Keys and values, in the file's order, each key once; `start` and `end` as in Scalar."""

    entries: tuple[Entry, ...]
    where: Where
    start: int
    end: int

    def get(self, key: str) -> "Node | None":
        """Return the value under a key, or None; looks through the entries in order."""
        return next((entry.value for entry in self.entries if entry.key.text == key), None)

    def entry(self, key: str) -> Entry | None:
        """Return the entry of a key, or None; looks through the entries in order."""
        return next((entry for entry in self.entries if entry.key.text == key), None)

    def __iter__(self) -> Iterator[Entry]:
        return iter(self.entries)

    def __len__(self) -> int:
        return len(self.entries)


Node = Scalar | Sequence | Mapping


def plain(node: Node) -> object:
    """Return the tree as plain text, lists and dictionaries, places left out."""
    if isinstance(node, Scalar):
        return node.text
    if isinstance(node, Sequence):
        return [plain(item) for item in node.items]
    return {entry.key.text: plain(entry.value) for entry in node.entries}


def sort_of(node: Node) -> str:
    """Return what this sort of node is called in messages."""
    if isinstance(node, Scalar):
        return "a single value" if not node.is_empty else "nothing"
    return "a list" if isinstance(node, Sequence) else "keys with values"
