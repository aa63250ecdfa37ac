"""Where does a moment lie on an axis of days whose idle hours are cut out, as a long beam is drawn with a break?"""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

Span = tuple[datetime.datetime, datetime.datetime]

BREAK = 13.0
"""Width of a break, where there is room for it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A stretch of time in which something is done.

    Attributes:
        begins, ends: in time.
        left, right: on the sheet.
    """

    begins: datetime.datetime
    ends: datetime.datetime
    left: float
    right: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Folded:
    """Pieces from left to right, breaks between them."""

    pieces: tuple[Piece, ...]

    def x(self, moment: datetime.datetime) -> float:
        """Where a moment lies; one in a break lies within it, by its share."""
        first, last = self.pieces[0], self.pieces[-1]
        if moment <= first.begins:
            return first.left
        before = first
        for piece in self.pieces:
            if moment < piece.begins:
                return _share(moment, before.ends, piece.begins, before.right, piece.left)
            if moment <= piece.ends:
                return _share(moment, piece.begins, piece.ends, piece.left, piece.right)
            before = piece
        return last.right


def folded(spans: Iterable[Span], *, left: float, right: float, apart: datetime.timedelta) -> Folded:
    """An axis on which the spans have all the room but for the breaks.

    Args:
        spans: when something is done, in any order; they may overlap.
        left: where it begins on the sheet.
        right: where it ends.
        apart: spans closer than this are one piece.
    """
    merged = _merged(sorted(spans), apart)
    gap = min(BREAK, (right - left) * 0.3 / max(len(merged) - 1, 1))
    room = right - left - gap * (len(merged) - 1)
    lengths = [(ends - begins).total_seconds() for begins, ends in merged]
    # A piece of a few minutes beside days would be a hair: each gets a little before lengths share the rest.
    whole = sum(lengths)
    least = min(10.0, room * 0.4 / len(merged)) if whole > 0 else room / len(merged)
    each_s = (room - least * len(merged)) / whole if whole > 0 else 0.0
    pieces, x = [], left
    for (begins, ends), length in zip(merged, lengths, strict=True):
        wide = least + length * each_s
        pieces.append(Piece(begins=begins, ends=ends, left=x, right=x + wide))
        x += wide + gap
    return Folded(pieces=tuple(pieces))


def _merged(spans: Sequence[Span], apart: datetime.timedelta) -> list[Span]:
    found: list[Span] = []
    for begins, ends in spans:
        if found and begins - found[-1][1] <= apart:
            found[-1] = (found[-1][0], max(found[-1][1], ends))
        else:
            found.append((begins, ends))
    return found


def _share(
    moment: datetime.datetime,
    begins: datetime.datetime,
    ends: datetime.datetime,
    left: float,
    right: float,
) -> float:
    whole = (ends - begins).total_seconds()
    return left + (right - left) * ((moment - begins).total_seconds() / whole if whole > 0 else 0.0)
