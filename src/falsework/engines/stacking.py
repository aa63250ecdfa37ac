"""Where do blocks go into a column that is partly full, so that their weight lies as low as can be?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

MOST_STEPS = 50_000
"""Blocks that are put in while orders are tried: enough for all orders of seven different ones, 5,040."""
_SLACK = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Stacked:
    """A way to fill a column.

    Attributes:
        at: for each block the height of its lower edge; None where it found no room.
        least: whether no other way gets as many in and lies lower.
    """

    at: tuple[float | None, ...]
    least: bool


def stacked(
    height: float, taken: Sequence[tuple[float, float]], blocks: Sequence[tuple[float, float]]
) -> Stacked:
    """Put blocks into the free places of a column, the sum of mass x height of their centres the least.

    Args:
        height: of the column.
        taken: lower and upper edge of what is there already; may overlap.
        blocks: height and mass of each.

    Returns:
        As many blocks as any order of putting each into the lowest place where it fits gets in, those as low as can
        be. That is the best there is: put the blocks of any way, from the lowest up, each into the lowest place where
        it fits, and none lies higher than it did.

    Cost:
        One filling where there is one free place with room for all: the densest lowest is the best there, as an exchange
        of neighbours shows. Else all different orders, up to `MOST_STEPS` blocks put in; where there are more, the best
        so far, the first of which is the one by density, and `least` is then false.
    """
    gaps = _gaps(height, taken)
    by_density = sorted(range(len(blocks)), key=lambda at: (-blocks[at][1] / max(blocks[at][0], _SLACK), at))
    best = _filled(gaps, blocks, by_density)
    if len(gaps) == 1 and None not in best:
        return Stacked(at=best, least=True)
    worth = _worth(best, blocks)
    for tried, order in enumerate(_orders(blocks, by_density)):
        if tried * len(blocks) > MOST_STEPS:
            return Stacked(at=best, least=False)
        found = _filled(gaps, blocks, order)
        if _worth(found, blocks) < worth:
            best, worth = found, _worth(found, blocks)
    return Stacked(at=best, least=True)


def _gaps(height: float, taken: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """The free places, from the bottom."""
    found, at = [], 0.0
    for low, high in sorted(taken):
        if min(low, height) > at + _SLACK:
            found.append((at, min(low, height)))
        at = max(at, high)
    if height > at + _SLACK:
        found.append((at, height))
    return tuple(found)


def _filled(
    gaps: Sequence[tuple[float, float]], blocks: Sequence[tuple[float, float]], order: Sequence[int]
) -> tuple[float | None, ...]:
    """Each block, in this order, in the lowest place where it fits."""
    free = list(gaps)
    at: list[float | None] = [None] * len(blocks)
    for number in order:
        for position, (low, high) in enumerate(free):
            if high - low >= blocks[number][0] - _SLACK:
                at[number] = low
                free[position] = (low + blocks[number][0], high)
                break
    return tuple(at)


def _worth(at: Sequence[float | None], blocks: Sequence[tuple[float, float]]) -> tuple[int, float]:
    """Less is better: blocks left out, then mass x height of the centres of the others."""
    left = sum(1 for each in at if each is None)
    moment = sum(
        mass * (low + tall / 2) for low, (tall, mass) in zip(at, blocks, strict=True) if low is not None
    )
    return left, round(moment, 9)


def _orders(blocks: Sequence[tuple[float, float]], first: Sequence[int]) -> Iterator[list[int]]:
    """Every order in which blocks that are alike keep theirs, the densest first ones early."""
    waiting: dict[tuple[float, float], list[int]] = {}
    for number in first:
        waiting.setdefault(blocks[number], []).append(number)

    def further(chosen: list[int]) -> Iterator[list[int]]:
        if len(chosen) == len(blocks):
            yield chosen
            return
        for those in waiting.values():
            if those:
                number = those.pop(0)
                yield from further([*chosen, number])
                those.insert(0, number)

    yield from further([])
