"""Which numbers are left of a span once others are taken out?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

Span = tuple[int, int]
"""The first and the last of some numbers that follow each other."""


def without(spans: Iterable[Span], taken: Iterable[Span]) -> tuple[Span, ...]:
    """What is left of spans, in order.

    Args:
        spans: apart from each other, in any order.
        taken: in any order; they may overlap.
    """
    holes = sorted(taken)
    found: list[Span] = []
    for low, high in sorted(spans):
        at = low
        for first, last in holes:
            if last < at:
                continue
            if first > high:
                break
            if first > at:
                found.append((at, first - 1))
            at = last + 1
        if at <= high:
            found.append((at, high))
    return tuple(found)


def count(spans: Iterable[Span]) -> int:
    """How many numbers there are in spans that are apart."""
    return sum(high - low + 1 for low, high in spans)


def inside(number: int, spans: Iterable[Span]) -> bool:
    """Whether a number lies in one of them."""
    return any(low <= number <= high for low, high in spans)


def numbers(spans: Sequence[Span]) -> Iterator[int]:
    """Every number of them, in order."""
    for low, high in spans:
        yield from range(low, high + 1)


def highest_run(spans: Sequence[Span], length: int) -> Span | None:
    """The highest numbers that follow each other, so many of them, or None."""
    for low, high in sorted(spans, reverse=True):
        if high - low + 1 >= length:
            return high - length + 1, high
    return None
