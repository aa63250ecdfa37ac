"""How is it said that something is wrong: where, what, and how to mend it?"""

import difflib
import heapq
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from falsework.where import Where

MOST_FAULTS = 200
"""More faults than this in one go help nobody; the rest are only counted."""

_LONGEST_WORD = 80
_MOST_CANDIDATES = 2_000
_LONGEST_PATH = 240


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong in a lab file.

    Attributes:
        where: the place, or None when no place can be named.
        what: what is wrong, with the value shown; no full stop at the end.
        mend: how to mend it, as whole sentences; may be empty.
        path: the way to it through the file's keys, such as "machines.desk-1.fed by".
    """

    where: Where | None
    what: str
    mend: str
    path: str = ""

    def __str__(self) -> str:
        place = " ".join(
            piece
            for piece in (
                str(self.where) if self.where else "",
                f"({shortened(self.path, _LONGEST_PATH)})" if self.path else "",
            )
            if piece
        )
        said = _sentences(self.what, self.mend)
        return f"{place}: {said}" if place else said


class FalseworkError(Exception):
    """The one family: whatever is outside it is a defect of ours."""


class LabError(FalseworkError):
    """The lab file is wrong.

    Args:
        faults: in any order; kept sorted by place, each once.
        more: faults that were counted but not kept.
    """

    def __init__(self, faults: Iterable[Fault], more: int = 0) -> None:
        self.faults: tuple[Fault, ...] = tuple(sorted(set(faults), key=_order))
        self.more = more
        super().__init__(self.faults, more)

    def __str__(self) -> str:
        lines = [str(fault) for fault in self.faults]
        if self.more:
            lines.append(f"... and {self.more} more. Mend these first, then look again.")
        return "\n".join(lines)


class _Spoken(FalseworkError):
    """An error without a place, told in two parts."""

    def __init__(self, what: str, mend: str) -> None:
        self.what = what
        self.mend = mend
        super().__init__(what, mend)

    def __str__(self) -> str:
        return _sentences(self.what, self.mend)


class QuestionError(_Spoken):
    """The lab is fine, what is asked of it is not."""


class LimitError(_Spoken):
    """Too big: `what` names the bound, `mend` how to raise it or how to ask for less."""


class RecordError(QuestionError):
    """The record can't be read, or not written just now."""


class MissingExtra(_Spoken):
    """An optional part of the tool is asked for and not installed."""


class FaultList:
    """Collects faults, so that a file can be mended in one round."""

    def __init__(self) -> None:
        self._kept: dict[Fault, None] = {}
        self._more = 0

    def __len__(self) -> int:
        """Return how many faults were found, those only counted included."""
        return len(self._kept) + self._more

    @property
    def faults(self) -> tuple[Fault, ...]:
        """The faults kept, in the order they were found."""
        return tuple(self._kept)

    @property
    def more(self) -> int:
        """How many were counted beyond those kept."""
        return self._more

    def add(self, where: Where | None, what: str, mend: str, path: str = "") -> None:
        """Note a fault; the same one twice counts once."""
        fault = Fault(where, what, mend, path)
        if fault in self._kept:
            return
        if len(self._kept) < MOST_FAULTS:
            self._kept[fault] = None
        else:
            self._more += 1

    def extend(self, error: LabError) -> None:
        """Take over the faults of an error caught elsewhere."""
        for fault in error.faults:
            self.add(fault.where, fault.what, fault.mend, fault.path)
        self._more += error.more

    def raise_if_any(self) -> None:
        """Raise every fault at once.

        Raises:
            LabError: at least one fault was added.
        """
        if self._kept:
            raise LabError(self._kept, self._more)


def nearest(word: str, known: Iterable[str]) -> str | None:
    """Return the known word that `word` was most likely meant to be, or None.

    Cost:
        Bounded: of very many known words only those that begin and end most alike are compared.
    """
    if len(word) > _LONGEST_WORD:
        return None
    candidates: dict[str, str] = {}
    for name in known:
        candidates.setdefault(name.casefold(), name)
    wanted = word.casefold()
    if wanted in candidates:
        return candidates[wanted]
    folded: Iterable[str] = candidates
    if len(candidates) > _MOST_CANDIDATES:
        folded = heapq.nlargest(_MOST_CANDIDATES, candidates, key=lambda name: _alike(wanted, name))
    close = difflib.get_close_matches(wanted, [n for n in folded if len(n) <= _LONGEST_WORD], n=1)
    return candidates[close[0]] if close else None


def listed(names: Iterable[str], most: int = 8) -> str:
    """Return names as people list them: "a, b, c and 12 more"."""
    every = list(names)
    shown = ", ".join(every[:most])
    return f"{shown} and {len(every) - most} more" if len(every) > most else shown


def few(names: Sequence[str], most: int = 4) -> str:
    """Return a few names in words: "a, b and c", "a, b, c, d and 3 more"; nothing of none."""
    if len(names) > most or len(names) < 2:
        return listed(names, most)
    return f"{', '.join(names[:-1])} and {names[-1]}"


def counted(number: int, word: str, many: str = "") -> str:
    """Return a number with its word: "1 part", "2 parts"."""
    return f"{number:,} {word}" if number == 1 else f"{number:,} {many or word + 's'}"


def capital(clause: str) -> str:
    """Return a clause with a capital at its start, as a sentence has that gets its end elsewhere.

    What is plainly a name, with a digit, a dot or a dash in it, stays as its owner wrote it.
    """
    if not clause.partition(" ")[0].strip(",:;").isalpha():
        return clause
    return f"{clause[:1].upper()}{clause[1:]}"


def sentence(clause: str) -> str:
    """Return a clause as a sentence: with a capital, and a full stop if it has no end yet."""
    said = capital(clause)
    return said if said.endswith((".", "!", "?", ":")) else f"{said}."


def shortened(text: str, most: int = 60) -> str:
    """Return a value fit to be shown on one line: cut in the middle of nothing, no control characters."""
    line = "".join(c if c.isprintable() else " " for c in text[: most + 1])
    return line if len(text) <= most else line[: most - 3] + "..."


def _alike(word: str, other: str) -> int:
    """Count the letters two words share at their beginning and at their end."""
    begin = 0
    for a, b in zip(word, other, strict=False):
        if a != b:
            break
        begin += 1
    end = 0
    for a, b in zip(reversed(word), reversed(other), strict=False):
        if a != b:
            break
        end += 1
    return begin + end


def _order(fault: Fault) -> tuple[object, ...]:
    place = fault.where or Where("", 0, 0)
    return (*place, fault.path, fault.what, fault.mend)


def _sentences(what: str, mend: str) -> str:
    stop = "" if what.endswith((".", "!", "?", ":")) else "."
    return f"{what}{stop} {mend}".rstrip()
