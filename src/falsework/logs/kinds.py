"""Which lines say the same, but for numbers, addresses and names of this one time?"""

from __future__ import annotations

import re
from typing import NamedTuple

from falsework.logs.line import Line

GAP = "#"
"""Stands for what differs from line to line."""
MOST_WORDS = 40
MOST_LETTERS = 240
_MOST_KEPT = 100_000
_LONGEST_WORD = 200
_UNIQUE = re.compile(
    r"[0-9a-fA-F]{8}-(?:[0-9a-fA-F]{4}-){3}[0-9a-fA-F]{12}"
    r"|(?:[0-9a-fA-F]{2}[:-]){5,7}[0-9a-fA-F]{2}(?![0-9a-zA-Z])"
    r"|(?<![0-9a-zA-Z])[0-9a-fA-F]{0,4}(?::[0-9a-fA-F]{0,4}){2,7}(?![0-9a-zA-Z])"
    r"|0[xX][0-9a-fA-F]+"
    r"|(?<![0-9a-zA-Z])(?=[a-fA-F]*[0-9])[0-9a-fA-F]{6,}(?![0-9a-zA-Z])"
    r"|(?<![0-9a-zA-Z])[a-fA-F]{16,}(?![0-9a-zA-Z])"
    r"|(?<![0-9a-zA-Z])(?=[a-zA-Z]*[0-9])(?=[0-9]*[a-zA-Z])[0-9a-zA-Z_]{16,}(?![0-9a-zA-Z])"
    r"|(?<![0-9a-zA-Z])(?=(?:[a-zA-Z]*[0-9]){4})[0-9a-zA-Z]{8,}(?![0-9a-zA-Z])"
    r"|[0-9]+"
)
_RUN = re.compile(r"#(?:[.:,/+-]?#)+")


class Kind(NamedTuple):
    """Lines of one host and one writer that say the same."""

    host: str
    app: str
    says: str


class Kinds:
    """Tells of lines of which kind they are; remembers words, so that most lines cost little."""

    def __init__(self) -> None:
        self._words: dict[str, str] = {}

    def of(self, line: Line) -> Kind:
        """The kind of a line."""
        return Kind(line.host, line.app, self.says(line.text))

    def says(self, text: str) -> str:
        """What a text says, with what differs from time to time left out; a long one counts by its beginning."""
        words = self._words
        found = []
        for word in text.split(None, MOST_WORDS)[:MOST_WORDS]:
            if word.isalpha() and len(word) < 16:
                found.append(word)
                continue
            masked = words.get(word)
            if masked is None:
                masked = self._masked(word)
            found.append(masked)
        return " ".join(found)[:MOST_LETTERS]

    def _masked(self, word: str) -> str:
        if len(self._words) >= _MOST_KEPT:
            self._words.clear()
        cut = word[:_LONGEST_WORD]
        masked = _RUN.sub(GAP, _UNIQUE.sub(GAP, cut))
        if len(word) == len(cut):
            self._words[word] = masked
        return masked
