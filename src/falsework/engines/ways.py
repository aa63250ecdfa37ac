"""What can be reached, and which is the shortest way on to something, or back to where one began?"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Hashable, Iterable
from typing import TypeVar

T = TypeVar("T", bound=Hashable)


def shortest_way(
    start: T, steps: Callable[[T], Iterable[T]], ends: Callable[[T], bool], *, most: int | None = None
) -> tuple[T, ...]:
    """The shortest way of one step or more to where `ends` holds.

    Args:
        start: where it begins; it may lead back there.
        steps: what follows each, in an order that decides between ways of the same length.
        ends: whether the way ends there.
        most: steps that it may have; any number if not given.

    Returns:
        The way with both its ends; empty if there is none.

    Cost:
        A breadth-first search.
    """
    before: dict[T, T] = {}
    far = {start: 0}
    waiting = deque([start])
    while waiting:
        at = waiting.popleft()
        if most is not None and far[at] >= most:
            return ()
        for each in steps(at):
            if ends(each):
                way = [each, at]
                while way[-1] != start:
                    way.append(before[way[-1]])
                return tuple(reversed(way))
            if each not in far:
                far[each] = far[at] + 1
                before[each] = at
                waiting.append(each)
    return ()


def shortest_circle(start: T, steps: Callable[[T], Iterable[T]], *, most: int | None = None) -> tuple[T, ...]:
    """The shortest way from something back to itself, ending where it began; empty if there is none."""
    return shortest_way(start, steps, lambda each: each == start, most=most)


def reach(
    starts: Iterable[T], steps: Callable[[T], Iterable[T]], *, most: int | None = None
) -> tuple[T, ...]:
    """Everything that can be reached over any number of steps, the starts first, nearest first.

    Args:
        starts: where it begins.
        steps: what follows each.
        most: nothing more is followed once so many are found; all is if not given.
    """
    found = dict.fromkeys(starts)
    waiting = deque(found)
    while waiting and (most is None or len(found) < most):
        for each in steps(waiting.popleft()):
            if each not in found:
                found[each] = None
                waiting.append(each)
    return tuple(found)
