"""What becomes of a text that two people changed at the same time?

Changes of lines that do not touch each other are both taken.
Where they do, the one side stays, and what the other side has in its place is written above it as comments, so
that whoever joins the two by hand sees both, and the text says what it said.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher

CLASH = "# on disk: "
"""What a line begins with that the other side has in this place."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Merged:
    """Two changes of a text as one.

    Attributes:
        text: the joined text.
        clashes: places where both changed the same lines, differently.
    """

    text: str
    clashes: int


@dataclass(frozen=True, slots=True)
class _Change:
    """Lines `start` to `end` of the old text become others."""

    start: int
    end: int
    lines: tuple[str, ...]


def merged(old: str, mine: str, theirs: str) -> Merged:
    """Return both changes of an old text in one, line by line.

    Args:
        old: what both began with.
        mine: what one side made of it; it stays where both changed the same.
        theirs: what the other side made of it.
    """
    before = old.splitlines(keepends=True)
    ours, others = _changes(before, mine), _changes(before, theirs)
    found: list[str] = []
    clashes = at = 0
    while ours or others:
        start = min(each[0].start for each in (ours, others) if each)
        own, other, end = _together(ours, others, start)
        found.extend(before[at:start])
        one, two = (_replaced(before, changes, start, end) for changes in (own, other))
        if other and own and one != two:
            clashes += 1
            found.extend(_told(two))
        found.extend(one if own else two)
        at = end
    found.extend(before[at:])
    return Merged(text="".join(found), clashes=clashes)


def _changes(before: Sequence[str], text: str) -> list[_Change]:
    after = text.splitlines(keepends=True)
    same = 0
    while same < min(len(before), len(after)) and before[same] == after[same]:
        same += 1
    end = 0
    while end < min(len(before), len(after)) - same and before[-1 - end] == after[-1 - end]:
        end += 1
    # Lines that come very often are not matched within what differs: that would take a square of their number.
    matcher = SequenceMatcher(None, before[same : len(before) - end], after[same : len(after) - end])
    return [
        _Change(same + one, same + two, tuple(after[same + three : same + four]))
        for tag, one, two, three, four in matcher.get_opcodes()
        if tag != "equal"
    ]


def _together(
    ours: list[_Change], others: list[_Change], start: int
) -> tuple[list[_Change], list[_Change], int]:
    """Take from both lists what touches, from `start` on; returns both, and where the last of it ends."""
    own: list[_Change] = []
    other: list[_Change] = []
    end = start
    grew = True
    while grew:
        grew = False
        for waiting, taken in ((ours, own), (others, other)):
            # What only begins where the other side ended touches it too: nobody knows which comes first.
            while waiting and (waiting[0].start <= end if own or other else waiting[0].start == start):
                change = waiting.pop(0)
                taken.append(change)
                end = max(end, change.end)
                grew = True
    return own, other, end


def _replaced(before: Sequence[str], changes: Sequence[_Change], start: int, end: int) -> list[str]:
    found: list[str] = []
    at = start
    for change in changes:
        found.extend(before[at : change.start])
        found.extend(change.lines)
        at = change.end
    found.extend(before[at:end])
    return found


def _told(lines: Sequence[str]) -> list[str]:
    """Lines of the other side as comments, each as far in as it was."""
    told: list[str] = []
    for line in lines:
        said = line.rstrip("\r\n")
        ending = line[len(said) :] or "\n"
        inner = said.lstrip(" ")
        told.append(f"{said[: len(said) - len(inner)]}{CLASH}{inner}".rstrip() + ending)
    return told or [f"{CLASH.rstrip()} (these lines are gone)\n"]
