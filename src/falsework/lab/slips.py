"""What slip of the pen lies behind a YAML syntax error, in plain words?

The parser says what it expected; people want to know what they mistyped.
So the text around the place decides, and the parser's words only choose where to look.
"""

import re
from dataclasses import dataclass
from typing import Any

from falsework.errors import shortened

_NO_SPACE = re.compile(r"^\s*(?:- +)*(?P<key>[^\s#'\"\[\]{},:][^#'\"\[\]{},:]*):(?P<value>[^\s:/][^#]*)")


@dataclass(frozen=True, slots=True)
class Slip:
    """A mistake in the writing; line and column from 1."""

    line: int
    column: int
    what: str
    mend: str


DEEPEST = 32
"""Levels of nesting; a lab needs fewer than ten."""

LONGEST_KEY = 1024
"""Characters; the bound is that of YAML (section 8.2.2 of its version 1.2.2)."""

TOO_DEEP = (
    f"nested more than {DEEPEST} levels deep",
    "A lab file needs no more than ten levels: look for a bracket or an indentation gone astray.",
)
NO_KEY = (
    "a key is missing before the colon",
    "Write a name before it, or put the text in quotes if the colon belongs to a value.",
)


def explain(text: str, error: Any, unclosed: Any = None) -> Slip:  # noqa: ANN401 - untyped library
    """Return what was most likely mistyped.

    Args:
        text: the whole file.
        error: a YAMLError of the parser.
        unclosed: the parser's mark of the innermost bracket or brace still open there, or None.
    """
    mark = getattr(error, "problem_mark", None)
    opening = getattr(error, "context_mark", None)
    if mark is None:
        return Slip(1, 1, "this is not YAML text", "Name a lab file, which is YAML text.")
    problem = str(getattr(error, "problem", None) or "")
    context = str(getattr(error, "context", None) or "")
    if unclosed is not None and mark.index >= len(text.rstrip()):
        # What lacks at the end of a file is what would close the bracket.
        return _Look(text, "expected", "while parsing a flow", mark, unclosed).slip()
    return _Look(text, problem, context, mark, opening or mark).slip()


def _indent(line: str) -> int:
    return len(line) - len(line.lstrip(" "))


class _Look:
    """A closer look at the place of a syntax error."""

    def __init__(self, text: str, problem: str, context: str, mark: Any, opening: Any) -> None:  # noqa: ANN401
        self._text = text
        self._problem = problem
        self._context = context
        self._at: int = min(mark.index, len(text))
        self._line: int = mark.line + 1
        self._column: int = mark.column + 1
        self._from: int = min(opening.index, len(text))
        self._from_line: int = opening.line + 1
        self._from_column: int = opening.column + 1
        self._sign = text[self._at : self._at + 1]

    def slip(self) -> Slip:
        """Try the commonest slips first."""
        return (
            self._depth()
            or self._tab()
            or self._open_quote()
            or self._escape()
            or self._pattern()
            or self._bracket_in_word()
            or self._open_bracket()
            or self._no_key()
            or self._bad_beginning()
            or self._no_space()
            or self._second_colon()
            or self._stray_item()
            or self._stray_text()
            or self._indentation()
            or self._here("this cannot be read as YAML", "Compare this line with those around it.")
        )

    def _here(self, what: str, mend: str) -> Slip:
        return Slip(self._line, self._column, what, mend)

    def _there(self, what: str, mend: str) -> Slip:
        return Slip(self._from_line, self._from_column, what, mend)

    def _line_of(self, at: int) -> str:
        begin = self._text.rfind("\n", 0, at) + 1
        end = self._text.find("\n", at)
        return self._text[begin : end if end >= 0 else len(self._text)].rstrip("\r")

    def _depth(self) -> Slip | None:
        return self._here(*TOO_DEEP) if "nesting depth" in self._problem else None

    def _tab(self) -> Slip | None:
        line = self._line_of(self._at)
        indent = line[: len(line) - len(line.lstrip())]
        if "\t" not in indent and self._sign != "\t":
            return None
        column = indent.find("\t") + 1 if "\t" in indent else self._column
        return Slip(
            self._line, column, "a tab stands where spaces are expected", "Indent with spaces, two a level."
        )

    def _open_quote(self) -> Slip | None:
        if "quoted scalar" not in self._context or "escape" in self._problem:
            return None
        if "end of stream" not in self._problem and "document" not in self._problem:
            return None
        quote = self._text[self._from : self._from + 1] or "'"
        return self._there(
            f"the quote {quote} opened here is never closed",
            f"Close it with {quote} on the same line."
            + (" An apostrophe within single quotes is written twice: ''." if quote == "'" else ""),
        )

    def _escape(self) -> Slip | None:
        if "escape" not in self._problem and "hexdecimal" not in self._problem:
            return None
        # One parser points at the backslash, the other at the sign after it.
        column = self._column if self._sign == "\\" else self._column - 1
        return Slip(
            self._line,
            column,
            "a backslash within double quotes begins a special sign, and this one is not known",
            "Use single quotes, in which a backslash means itself, or write it twice.",
        )

    def _pattern(self) -> Slip | None:
        for word in ("alias", "anchor", "tag"):
            if f"scanning an {word}" in self._context or f"scanning a {word}" in self._context:
                sign = self._text[self._from : self._from + 1]
                return self._there(
                    f"a value cannot begin with {sign!r}",
                    "Put it in quotes, for example '*.a'." if sign == "*" else "Put it in quotes.",
                )
        return None

    def _bracket_in_word(self) -> Slip | None:
        before = self._text[self._at - 1 : self._at]
        if self._sign not in "[{" or not self._sign or not before or before in " \t\n,[{":
            return None
        within = "flow" in self._context
        close = {"[": "]", "{": "}"}[self._sign]
        where = "within brackets or braces " if within else ""
        return self._here(
            f"{self._sign!r} in the middle of a word {where}is read as the beginning of something new",
            f"Put the whole word in quotes, for example 'twin{self._sign}1{close}'."
            if within
            else "Put the whole value in quotes.",
        )

    def _open_bracket(self) -> Slip | None:
        if "parsing a flow" not in self._context or "expected" not in self._problem:
            return None
        if "node" in self._context:
            return None
        sign = self._text[self._from : self._from + 1]
        close = {"[": "]", "{": "}"}.get(sign)
        if close is None:
            return None
        kind = "list" if sign == "[" else "group of keys"
        return self._there(
            f"the {kind} opened with {sign!r} here is not closed, or lacks a comma, before line {self._line}",
            f"Close it with {close!r}, and put a comma between its entries.",
        )

    def _no_key(self) -> Slip | None:
        before = self._line_of(self._at)[: self._column - 1].strip()
        after = self._text[self._at + 1 : self._at + 2]
        if self._sign != ":" or after.strip() or not (before == "" or before[-1] in "{,-"):
            return None
        return self._here(*NO_KEY)

    def _bad_beginning(self) -> Slip | None:
        starts = "cannot start any token" in self._problem
        nothing = "node content" in self._problem or ("flow node" in self._context)
        if not (starts or nothing) or not self._sign:
            return None
        if self._sign in ",]}":
            return self._here(
                f"something is missing before {self._sign!r}",
                f"Take the {self._sign!r} away, or fill in what is missing.",
            )
        if self._sign == "\n":
            return None
        return self._here(f"a value cannot begin with {self._sign!r}", "Put the value in quotes.")

    def _no_space(self) -> Slip | None:
        for at, line in ((self._from, self._from_line), (self._at, self._line)):
            here = self._line_of(at)
            found = _NO_SPACE.match(here)
            if found and ": " not in here:
                key, value = found["key"], found["value"].strip()
                return Slip(
                    line,
                    found.start("key") + 1,
                    f"{shortened(f'{key}:{value}')!r} has no space after its colon",
                    f"Write {shortened(f'{key}: {value}')!r}.",
                )
        if "expected ':'" not in self._problem:
            return None
        word = self._line_of(self._from)[self._from_column - 1 :].strip()
        return self._there(
            f"{shortened(word)!r} has no colon after it",
            "Write a colon and a value after it, or '- ' before it if it belongs to a list.",
        )

    def _second_colon(self) -> Slip | None:
        if "mapping values" not in self._problem:
            return None
        line = self._line_of(self._at)
        if self._column > LONGEST_KEY:
            return Slip(
                self._line,
                len(line) - len(line.lstrip()) + 1,
                f"{shortened(line.lstrip())!r} is longer than a key may be",
                "Write a short name, and the text behind its colon.",
            )
        if re.search(r":\s", line[: self._column - 1]):
            return self._here(
                "a second ': ' stands on this line",
                "Put the value in quotes, or write the keys in braces: {one: 1, two: 2}.",
            )
        above = self._line_of(self._text.rfind("\n", 0, self._at))
        if ":" not in above and above.strip() and "#" not in above and _indent(above) >= _indent(line):
            word = above.strip().removeprefix("- ")
            column = len(above) - len(above.lstrip()) + 1
            return Slip(
                self._line - 1,
                column,
                f"{shortened(word)!r} has no colon after it",
                "Write a colon and a value after it, or '- ' before it if it belongs to a list.",
            )
        return self._here(
            "this line is indented below a line that already has a value",
            "Indent it like the line above, or take the value above away.",
        )

    def _stray_item(self) -> Slip | None:
        if "sequence entries" not in self._problem:
            return None
        return self._here(
            "a list cannot begin on the line of its key",
            "Put each '- ' on a line of its own below the key, or write the list as [one, two].",
        )

    def _stray_text(self) -> Slip | None:
        line = self._line_of(self._at)
        before = line[: self._column - 1].strip()
        if "parsing a block" not in self._context or not before:
            return None
        if self._sign in "]}":
            return self._here(f"{self._sign!r} closes nothing", "Take it away, or open it before.")
        return self._here(
            f"{shortened(line[self._column - 1 :].strip())!r} stands after a value that is already complete",
            "Put the whole value in quotes, or take this away.",
        )

    def _indentation(self) -> Slip | None:
        if "parsing a block" not in self._context and "document start" not in self._problem:
            return None
        if self._text[self._from : self._from + 1] == "-" and self._sign != "-":
            return self._here(
                "a key follows where the list above goes on",
                "Begin the line with '- ', or indent it like the key that the list belongs to.",
            )
        return self._here(
            "this line does not line up with those above it",
            "Indent it with as many spaces as the lines it belongs to.",
        )
