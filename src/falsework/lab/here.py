"""Which keys lead to where somebody is typing, in a text that may not be readable yet?

A reader that stops at the first thing it does not understand is of no help here.
This one only follows indentation, brackets, dashes and colons, takes what it can and never complains.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from falsework.lab.slips import DEEPEST

LONGEST_TEXT = 500_000
LONGEST_LINE = 4_000
"""Characters; in longer ones nobody types by hand, and looking through them takes time."""

Slot = Literal["key", "value", ""]
_Mode = Literal["line", "flow", "tail"]

_KEY = re.compile(
    r"""("(?:[^"\\\n]|\\.)*"|'(?:[^'\n]|'')*'|(?![#\[\]{},&*!|>'"%@`]|[-?:]\s)(?:(?!\s\#)[^\n])*?):(?=\s|$)"""
)
_DASH = re.compile(r"-(?: +|$)")
_QUOTED = re.compile(r""""(?:[^"\\]|\\.)*+"|'(?:[^']|'')*+'""")
_BLANK = re.compile(r"(?:\s|(?:(?<=\s)|^)#[^\n]*)*")
_PLAIN_IN_FLOW = re.compile(r"(?:[^,\[\]{}:#\n]|:(?![\s,\[\]{}]|$)|(?<!\s)#)+")
_REST_IN_FLOW = re.compile(r"(?:[^,\[\]{}:#\n]|:(?![\s,\[\]{}]|$)|(?<!\s)#)*")
_REST_OF_KEY = re.compile(r"(?:[^:#\n]|:(?!\s|$)|(?<!\s)#)*")
_REST_OF_VALUE = re.compile(r"(?:[^#\n]|(?<!\s)#)*")
_COLON = re.compile(r"[ \t]*:(?=[\s,\[\]{}]|$)")
_NEXT = re.compile(r"[^\n]*\n(?:[ \t\r]*(?:#[^\n]*)?\n)*( *)(\S?)")


@dataclass(frozen=True, slots=True)
class Level:
    """Keys that stand side by side, or the entries of a list, on the way to a place.

    Attributes:
        step: the key, or None in a list, under which the way goes on; "" where it ends between keys.
        said: the keys that stand here, with their values where these are single ones, else "".
    """

    step: str | None
    said: Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Here:
    """Where somebody is typing.

    Attributes:
        slot: whether a key or a value stands there; "" where it is neither, or can't be told.
        levels: the way there from the top of the file, the nearest last.
        typed: what of it is typed so far.
        rest: what of it stands behind the place.
        has_colon: whether a colon follows already.
        may_be_key: of a value: whether a key with a value may stand there as well.
        may_be_value: of a key: whether it would be the first under its own, so that a value may stand there.
    """

    slot: Slot
    levels: tuple[Level, ...] = ()
    typed: str = ""
    rest: str = ""
    has_colon: bool = False
    may_be_key: bool = False
    may_be_value: bool = False

    @property
    def path(self) -> tuple[str | None, ...]:
        """The keys that lead there, None for an entry of a list."""
        return tuple(level.step for level in self.levels if level.step != "")


NOWHERE = Here(slot="")


def here(before: str, after: str = "") -> Here:
    """Say where somebody is typing.

    Args:
        before: the text before the place.
        after: the text behind it.

    Cost:
        O(length before it), and of what follows only as much as belongs to the same entry.
    """
    if len(before) + len(after) > LONGEST_TEXT:
        return NOWHERE
    scan = _Scan()
    found = scan.place(before)
    if not found.slot:
        return NOWHERE
    pattern = _REST_IN_FLOW if scan.in_flow else _REST_OF_KEY if found.slot == "key" else _REST_OF_VALUE
    match = pattern.match(after)
    # Of a key only the word itself: one behind a blank may be the next, whose comma is still to come.
    rest = match[0].rstrip() if match and (after[:1].strip() or found.slot == "value") else ""
    colon = _COLON.match(after, len(rest)) if found.slot == "key" else None
    if found.slot == "key" and not scan.in_flow and not rest and not colon and not scan.fits(after):
        return NOWHERE
    frames = tuple(scan.frames)
    steps = [None if each.is_list else each.key for each in frames]
    if found.slot == "key":
        steps[-1] = ""
    scan.onwards(after, colon.end() if colon else len(rest), has_colon=colon is not None)
    for frame in frames:
        frame.said.pop("", None)
    return Here(
        slot=found.slot,
        levels=tuple(Level(step, frame.said) for step, frame in zip(steps, frames, strict=True)),
        typed=found.typed,
        rest=rest,
        has_colon=colon is not None,
        may_be_key=found.may_be_key,
        may_be_value=found.may_be_value,
    )


def mappings(text: str, section: str) -> Mapping[str, Mapping[str, str]]:
    """The names that a section maps to keys, with what is said of each in single values."""
    begin = re.search(rf"^{re.escape(section)}:", text, re.MULTILINE)
    if begin is None or len(text) > LONGEST_TEXT:
        return {}
    end = re.compile(r"^[^\s#]", re.MULTILINE).search(text, begin.end())
    scan = _Scan()
    scan.place(text[begin.start() : end.start() if end else len(text)] + "\n")
    scan.close_all()
    return scan.closed


@dataclass(slots=True, eq=False)
class _Frame:
    """Keys side by side, or a list, that is still open; `key` is the one whose value is being read."""

    is_list: bool
    indent: int
    in_flow: bool
    key: str = ""
    in_value: bool = False  # between brackets: behind the colon
    has_value: bool = False
    said: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _Found:
    slot: Slot
    typed: str = ""
    may_be_key: bool = False
    may_be_value: bool = False


_NOTHING = _Found("")


class _Scan:
    """Follows a text; `frames` is what is open where it has come to."""

    def __init__(self) -> None:
        self.frames = [_Frame(False, 0, False)]
        self.closed: dict[str, Mapping[str, str]] = {}
        self._mode: _Mode = "line"
        self._found = _NOTHING
        self._text_above: int | None = None  # a block of text goes on while lines are further in than this
        self._until: _Frame | None = None

    @property
    def in_flow(self) -> bool:
        """Whether it has come to between brackets."""
        return self.frames[-1].in_flow

    def place(self, text: str) -> _Found:
        """Follow a text to its end; what is being typed there."""
        self._run(text, 0)
        if self._mode == "line" and (not text or text.endswith("\n")):
            self._between("", 0)
        return self._found

    def onwards(self, text: str, at: int, *, has_colon: bool) -> None:
        """Go on with the text behind the place, to learn what else the same entry says."""
        self._until = self.frames[2] if len(self.frames) > 2 else self.frames[-1]
        top = self.frames[-1]
        if self.in_flow:
            self._mode = "flow"
            top.in_value = top.in_value or has_colon
        elif has_colon:
            top.key = ""
            end = text.find("\n", at)
            at = self._value(text, at, len(text) if end < 0 else end, top.indent)
        else:
            self._mode = "tail"
        self._run(text, at)

    def fits(self, after: str) -> bool:
        """Whether a key may be put on this line without taking what follows for its own."""
        match = _NEXT.match(after + "\n")
        if match is None or not match[2]:
            return True
        column, top = len(match[1]), self.frames[-1]
        if top.said or len(self.frames) == 1:
            return column < top.indent if match[2] == "-" else column <= top.indent
        # It would be the first under its key: nothing else may stand there already.
        above = self.frames[-2]
        if match[2] == "-":
            return column <= above.indent if above.is_list else column < above.indent
        return column == top.indent or column <= above.indent

    def close_all(self) -> None:
        """Take all that is open as ended."""
        while len(self.frames) > 1:
            self._pop()

    # -- where it is, line by line -----------------------------------------------------------------------

    def _run(self, text: str, at: int) -> None:
        while at < len(text):
            self._found = _NOTHING
            if self._mode == "line":
                at = self._line(text, at)
            elif self._mode == "flow":
                at = self._flow(text, at)
            else:
                at = self._next_line(text.find("\n", at), text)
            if len(self.frames) > DEEPEST:  # no reader follows it there
                self._found, self._mode = _NOTHING, "tail"
                return
            if self._until is not None and self._until not in self.frames:
                return

    def _next_line(self, end: int, text: str) -> int:
        if end < 0 or end >= len(text):
            return len(text)
        self._mode = "line"
        return end + 1

    def _line(self, text: str, at: int) -> int:
        end = text.find("\n", at)
        end = len(text) if end < 0 else end
        if end - at > LONGEST_LINE:
            return self._next_line(end, text)
        line = text[at:end].rstrip("\r")
        inner = line.lstrip(" ")
        indent = len(line) - len(inner)
        if self._text_above is not None:
            if not inner or indent > self._text_above:
                return self._next_line(end, text)
            self._text_above = None
        if not inner.strip():
            if end == len(text):
                self._between("", indent)
            return self._next_line(end, text)
        if inner[0] == "#":
            return self._next_line(end, text)
        return self._node(text, at + indent, end, indent)

    def _node(self, text: str, at: int, end: int, column: int) -> int:
        """Dashes, then a key, or a value on a line of its own."""
        in_list = False
        while dash := _DASH.match(text, at, end):
            self._item(column)
            if dash.end() == end:
                if end == len(text) and end > at + 1:
                    self._found = _Found("value", may_be_key=True)
                return self._next_line(end, text)
            column, at, in_list = column + dash.end() - at, dash.end(), True
        key = _KEY.match(text, at, end)
        if key:
            self._key(column, _unquoted(key[1]))
            return self._value(text, key.end(), end, column)
        if text[at] in "[{":
            return self._opened(at)
        typed = text[at:end]
        if end == len(text) and typed[0] not in "\"'|>&*!%@`-?" and " #" not in typed:
            if in_list:
                self._found = _Found("value", typed, may_be_key=True)
            else:
                self._between(typed, column)
        return self._next_line(end, text)

    def _between(self, typed: str, column: int) -> None:
        """Somebody begins a line at a column: among which keys would it be?"""
        self._leave(column)
        top = self.frames[-1]
        if top.indent == column and not top.is_list:
            self._found = _Found("key", typed)
        elif top.indent < column and not top.has_value and (top.key or top.is_list):
            top.has_value = True
            self.frames.append(_Frame(False, column, False))
            self._found = _Found("key", typed, may_be_value=True)

    def _value(self, text: str, at: int, end: int, column: int) -> int:
        """What stands behind a key and its colon, to the end of the line or to where a bracket opens."""
        begin = at
        while at < end and text[at] in " \t\r":
            at += 1
        top = self.frames[-1]
        if at >= end:
            if end == len(text) and at > begin:
                self._found = _Found("value")
            return self._next_line(end, text)
        top.has_value = text[at] not in "#&!"
        if text[at] in "|>":
            self._text_above = column
        elif text[at] in "[{":
            return self._opened(at)
        elif text[at] in "\"'":
            quoted = _QUOTED.match(text, at)
            if quoted:
                top.said[top.key] = _unquoted(quoted[0])
                self._mode = "tail"
                return quoted.end()
        elif text[at] not in "#&*!":
            plain = _REST_OF_VALUE.match(text, at, end)
            if plain and plain.end() == len(text):
                self._found = _Found("value", plain[0])
            elif plain:
                top.said[top.key] = plain[0].strip()
        return self._next_line(end, text)

    # -- between brackets --------------------------------------------------------------------------------

    def _opened(self, at: int) -> int:
        self._mode = "flow"
        return at

    def _flow(self, text: str, at: int) -> int:
        """One sign or word between brackets."""
        blank = _BLANK.match(text, at)
        begin, at = at, blank.end() if blank else at
        if at >= len(text):
            # Behind a comment sign nothing is typed that counts.
            comment = (
                "#" in text[text.rfind("\n", begin) + 1 :] and "#" in text[begin:] and not text.endswith("\n")
            )
            self._found = _NOTHING if comment or text.endswith(":") else self._between_brackets("")
            return at
        line = text.rfind("\n", begin, at) + 1
        if line and self.in_flow and at - line <= self._owner.indent and self._looks_like_a_line(text, at):
            while self.in_flow:  # somebody forgot to close it
                self._pop()
            self._mode = "line"
            return line
        sign = text[at]
        if sign in "[{":
            self.frames[-1].has_value = True
            self.frames.append(_Frame(sign == "[", -1, True))
        elif sign in "]}":
            self._pop()
            if not self.in_flow:
                self._mode = "tail"
        elif sign == ",":
            self.frames[-1].key, self.frames[-1].in_value = "", False
        elif sign == ":":
            self.frames[-1].in_value = True
        else:
            return self._word(text, at)
        if at + 1 == len(text) and self.in_flow and sign in "[{,":
            self._found = self._between_brackets("")
        return at + 1

    def _word(self, text: str, at: int) -> int:
        quoted = _QUOTED.match(text, at) if text[at] in "\"'" else None
        if text[at] in "\"'" and quoted is None:
            return len(text)
        plain = quoted or _PLAIN_IN_FLOW.match(text, at)
        if plain is None:
            return at + 1
        if plain.end() == len(text) and not quoted:
            self._found = self._between_brackets(plain[0])
            return plain.end()
        top, word = self.frames[-1], _unquoted(plain[0].strip())
        if not top.is_list:
            if top.in_value:
                top.said[top.key] = word
            else:
                top.key = word
                top.said.setdefault(word, "")
        return plain.end()

    def _between_brackets(self, typed: str) -> _Found:
        top = self.frames[-1]
        return _Found("value" if top.is_list or top.in_value else "key", typed)

    @property
    def _owner(self) -> _Frame:
        return next(frame for frame in reversed(self.frames) if not frame.in_flow)

    def _looks_like_a_line(self, text: str, at: int) -> bool:
        end = text.find("\n", at)
        end = len(text) if end < 0 else end
        return end - at <= LONGEST_LINE and bool(_KEY.match(text, at, end) or _DASH.match(text, at, end))

    # -- what is open ------------------------------------------------------------------------------------

    def _leave(self, column: int) -> None:
        """End what lies further in than a key at a column."""
        while len(self.frames) > 1 and (
            self.frames[-1].indent > column or (self.frames[-1].is_list and self.frames[-1].indent == column)
        ):
            self._pop()

    def _key(self, column: int, name: str) -> None:
        self._leave(column)
        if self.frames[-1].is_list or self.frames[-1].indent < column:
            self.frames[-1].has_value = True
            self.frames.append(_Frame(False, column, False))
        top = self.frames[-1]
        top.key, top.has_value = name, False
        top.said.setdefault(name, "")

    def _item(self, column: int) -> None:
        while len(self.frames) > 1 and self.frames[-1].indent > column:
            self._pop()
        if not (self.frames[-1].is_list and self.frames[-1].indent == column):
            self.frames[-1].has_value = True
            self.frames.append(_Frame(True, column, False))
        self.frames[-1].has_value = False

    def _pop(self) -> None:
        frame = self.frames.pop()
        if len(self.frames) == 2 and not frame.is_list:
            self.closed[self.frames[-1].key] = frame.said


def _unquoted(text: str) -> str:
    if len(text) > 1 and text[0] in "\"'" and text[-1] == text[0]:
        return text[1:-1].replace("''", "'") if text[0] == "'" else text[1:-1]
    return text
