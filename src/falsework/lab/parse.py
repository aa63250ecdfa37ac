"""How does the text of one lab file become a tree that knows its places?

The events of PyYAML are used and nothing above them: no tags, no aliases, no guessing of types.
Its C parser is taken where the machine has it, else its Python parser, which is slower and
stricter about tabs and gives the same tree otherwise.
The record "Which YAML parser" among the decisions tells why not another.
"""

import gc
import importlib
import re
from typing import Any, NamedTuple

from falsework.errors import FaultList, shortened
from falsework.lab.slips import DEEPEST, NO_KEY, TOO_DEEP, explain
from falsework.lab.tree import Entry, Mapping, Node, Scalar, Sequence
from falsework.where import Where

MOST_VALUES = 300_000
"""Keys, values and lists in all files together: far more than a lab of thousands of machines says."""

_FORBIDDEN = re.compile(
    "\r(?!\n)|[^\t\n\r\x20-\x7e\xa0-\u2027\u202a-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]"
)


class _Stop(Exception):
    """The rest of this file cannot be read; why is already noted."""


class Parsed(NamedTuple):
    """What one file says: its root, or None when there is none fit to look at; how many values it holds."""

    root: Mapping | None
    values: int


def parse(text: str, name: str, faults: FaultList, *, most: int = MOST_VALUES, pure: bool = False) -> Parsed:
    """Return what one file says, and note every fault found in it.

    Args:
        text: the whole file, without byte order mark.
        name: how the file is called in places.
        faults: where faults are noted; all that can be told apart are told.
        most: how many values it may hold.
        pure: whether to use the Python parser even where the C parser is present.

    Returns:
        The root, only to be trusted if no fault was noted, and the values seen.

    Cost:
        O(length); about half a kilobyte of memory a value.
    """
    bad = _FORBIDDEN.search(text)
    if bad:
        _note_forbidden(text, name, bad.start(), faults)
        return Parsed(None, 0)
    builder = _Builder(text, name, faults, _Library(pure=pure), most)
    # Only tuples of text and numbers are made, no cycles: the collector would walk them in vain.
    was_on = gc.isenabled()
    gc.disable()
    try:
        return Parsed(builder.document(), builder.values)
    except _Stop:
        return Parsed(None, builder.values)
    finally:
        if was_on:
            gc.enable()


class _Library:
    """The names we use of the untyped YAML library, looked up once."""

    def __init__(self, *, pure: bool) -> None:
        yaml: Any = importlib.import_module("yaml")
        fast = yaml.__with_libyaml__ and not pure
        self.parser: Any = importlib.import_module("yaml._yaml").CParser if fast else yaml.SafeLoader
        self.error: Any = yaml.YAMLError
        self.scalar: Any = yaml.ScalarEvent
        self.alias: Any = yaml.AliasEvent
        self.sequence: Any = yaml.SequenceStartEvent
        self.sequence_end: Any = yaml.SequenceEndEvent
        self.mapping_end: Any = yaml.MappingEndEvent
        self.end: Any = yaml.StreamEndEvent


class _Builder:
    """One walk over the parser's events."""

    def __init__(self, text: str, name: str, faults: FaultList, library: _Library, most: int) -> None:
        self._text = text
        self._name = name
        self._faults = faults
        self._library = library
        self._event = library.parser(text).get_event
        self._most = most
        self.values = 0
        self._open: list[Any] = []
        self._repeats = 0
        self._first_repeat: tuple[Where, str] | None = None
        self._tags = 0
        self._first_tag: tuple[Where, str] | None = None

    def document(self) -> Mapping | None:
        """Return the root mapping of the one document."""
        try:
            return self._document()
        finally:
            self._tell_repeats_and_tags()

    def _document(self) -> Mapping | None:
        self._next()  # the stream begins
        event = self._next()
        if type(event) is self._library.end:
            self._faults.add(Where(self._name, 1, 1), "the file is empty", _BEGIN)
            return None
        if event.version or event.tags:
            self._faults.add(
                self._where(event.start_mark),
                "a line beginning with '%' is not understood here",
                "Leave it out: a lab file needs no directives.",
            )
        event = self._next()
        root = self._node(event, 1)
        self._next()  # the document ends
        event = self._next()
        if type(event) is not self._library.end:
            self._faults.add(
                self._where(event.start_mark),
                "a second document begins here",
                "A lab file is one document: take the '---' away, or put what follows in a file of its own.",
            )
            raise _Stop
        if isinstance(root, Mapping):
            return root
        empty = isinstance(root, Scalar) and root.is_empty
        self._faults.add(Where(self._name, 1, 1) if empty else root.where, *_not_a_mapping(root))
        return None

    def _next(self) -> Any:  # noqa: ANN401
        try:
            return self._event()
        except self._library.error as error:
            slip = explain(self._text, error, self._open[-1] if self._open else None)
            self._faults.add(Where(self._name, slip.line, slip.column), slip.what, slip.mend)
            raise _Stop from None

    def _where(self, mark: Any) -> Where:  # noqa: ANN401
        return Where(self._name, mark.line + 1, mark.column + 1)

    def _node(self, event: Any, depth: int) -> Node:  # noqa: ANN401
        self.values += 1
        if self.values > self._most:
            self._faults.add(
                Where(self._name, 1, 1),
                f"the lab holds more than {MOST_VALUES} values",
                "Say equal things once under kinds and give counts or ranges, not every part.",
            )
            raise _Stop
        mark = event.start_mark
        where = Where(self._name, mark.line + 1, mark.column + 1)
        kind = type(event)
        if kind is self._library.alias:
            self._note_repeat(where, f"*{event.anchor}")
            return Scalar(f"*{event.anchor}", where, True, mark.index, event.end_mark.index)
        if event.anchor is not None:
            self._note_repeat(where, f"&{event.anchor}")
        if event.tag is not None:
            self._note_tag(where, event.tag.replace("tag:yaml.org,2002:", "!!"))
        if kind is self._library.scalar:
            return Scalar(event.value, where, event.style in _QUOTED, mark.index, event.end_mark.index)
        if depth > DEEPEST:
            self._faults.add(where, *TOO_DEEP)
            raise _Stop
        if kind is self._library.sequence:
            return self._sequence(event, where, depth)
        return self._mapping(event, where, depth)

    def _sequence(self, event: Any, where: Where, depth: int) -> Sequence:  # noqa: ANN401
        items: list[Node] = []
        start = event.start_mark.index
        in_brackets = self._text[start] == "["
        if in_brackets:
            self._open.append(event.start_mark)
        end = start + 1
        event = self._next()
        while type(event) is not self._library.sequence_end:
            items.append(self._node(event, depth + 1))
            end = items[-1].end
            event = self._next()
        if in_brackets:
            self._open.pop()
            end = event.end_mark.index
        return Sequence(tuple(items), where, start, end)

    def _mapping(self, event: Any, where: Where, depth: int) -> Mapping:  # noqa: ANN401
        entries: list[Entry] = []
        seen: dict[str, Where] = {}
        start = event.start_mark.index
        in_braces = self._text[start] == "{"
        if in_braces:
            self._open.append(event.start_mark)
        end = start + 1
        event = self._next()
        while type(event) is not self._library.mapping_end:
            key = self._node(event, depth + 1)
            value = self._node(self._next(), depth + 1)
            event = self._next()
            if not isinstance(key, Scalar):
                self._faults.add(
                    key.where,
                    "a list or a group of keys stands where one key is expected",
                    "Write a single name before the colon; put it in quotes if it begins with [ or {.",
                )
                end = value.end
                continue
            if isinstance(value, Scalar) and value.is_empty:
                value = self._empty(key, value)
            self._check_key(key, seen)
            entries.append(Entry(key, value))
            end = value.end
        if in_braces:
            self._open.pop()
            end = event.end_mark.index
        return Mapping(tuple(entries), where, start, end)

    def _check_key(self, key: Scalar, seen: dict[str, Where]) -> None:
        if key.text == "<<" and not key.quoted:
            self._note_repeat(key.where, "<<")
        elif key.is_empty:
            self._faults.add(key.where, *NO_KEY)
        elif key.text in seen:
            self._faults.add(
                key.where,
                f"{shortened(key.text)!r} is said twice; the first time at {seen[key.text]}",
                "Keep one of the two, or join them.",
            )
        else:
            seen[key.text] = key.where

    def _empty(self, key: Scalar, value: Scalar) -> Scalar:
        """Put an empty value just after its colon; the two parsers disagree about where it is."""
        text, at = self._text, key.end
        while at < value.start and text[at] in " \t":
            at += 1
        if text[at : at + 1] == ":":
            at += 1
        else:
            at = key.end
            if not key.quoted and ":" in key.text:
                name, _, rest = key.text.partition(":")
                self._faults.add(
                    key.where,
                    f"{shortened(key.text)!r} has no space after its colon",
                    f"Write {shortened(f'{name}: {rest}')!r}.",
                )
        if at > value.start or "\n" in text[key.end : at]:
            return value
        where = Where(self._name, key.where.line, key.where.column + at - key.start)
        return Scalar("", where if key.text.count("\n") == 0 else value.where, False, at, at)

    def _note_repeat(self, where: Where, sign: str) -> None:
        self._repeats += 1
        if self._first_repeat is None:
            self._first_repeat = (where, sign)

    def _note_tag(self, where: Where, tag: str) -> None:
        self._tags += 1
        if self._first_tag is None:
            self._first_tag = (where, tag)

    def _tell_repeats_and_tags(self) -> None:
        """Tell each trick once a file: a bomb of ten thousand would drown everything else."""
        if self._first_repeat is not None:
            where, sign = self._first_repeat
            others = f" (and {self._repeats - 1} more of this sort)" if self._repeats > 1 else ""
            self._faults.add(
                where,
                f"{shortened(sign)!r} repeats a value in another place{others}, which a lab file does not do",
                "Say what equal things have in common once, under kinds."
                " If it is meant as text, such as a pattern, put it in quotes.",
            )
        if self._first_tag is not None:
            where, tag = self._first_tag
            others = f" (and {self._tags - 1} more of this sort)" if self._tags > 1 else ""
            self._faults.add(
                where,
                f"{shortened(tag)!r} gives a value a type{others}, which a lab file does not do",
                "Take it away. If it is meant as text, put it in quotes.",
            )


_QUOTED = frozenset({"'", '"', "|", ">"})
_BEGIN = "Begin with a section such as 'machines:' and say below it what you have."


def _not_a_mapping(root: Scalar | Sequence) -> tuple[str, str]:
    if isinstance(root, Sequence):
        return "the file is a list at its outermost", _BEGIN
    if root.is_empty:
        return "the file is empty", _BEGIN
    return f"the file is a single value, {shortened(root.text)!r}", _BEGIN


def _note_forbidden(text: str, name: str, at: int, faults: FaultList) -> None:
    line = text.count("\n", 0, at) + 1
    where = Where(name, line, at - text.rfind("\n", 0, at))
    sign = text[at]
    if sign == "\0":
        faults.add(
            where, "the file is not text: it holds a zero byte", "Name a lab file, which is YAML text."
        )
    else:
        faults.add(
            where,
            f"the invisible character U+{ord(sign):04X} cannot stand in a lab file",
            "Delete it; it often comes in with text copied from a web page or a terminal.",
        )
