"""What has come so far, out of things that come one after the other and stay?"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Set
from itertools import islice


class Coming:
    """Things in the order in which they come; many moments share it.

    A set of its own for each moment of a long story takes room that grows with its square.
    """

    def __init__(self, things: Iterable[str] = ()) -> None:
        """The things that are there from the start, in order."""
        self._place: dict[str, int] = {}
        self.come(things)

    def come(self, things: Iterable[str]) -> None:
        """More things come; those that are there already stay where they are."""
        for thing in things:
            self._place.setdefault(thing, len(self._place))

    def so_far(self) -> SoFar:
        """What has come by now; it does not change when more comes."""
        return SoFar(self._place, len(self._place))


class SoFar(Set[str]):
    """A set of the first few things of a `Coming`; equal to any set with the same members."""

    __slots__ = ("_count", "_place")

    def __init__(self, place: dict[str, int], count: int) -> None:
        """See `Coming.so_far`."""
        self._place, self._count = place, count

    def __contains__(self, thing: object) -> bool:
        """Whether a thing had come by then."""
        return self._place.get(thing, self._count) < self._count  # type: ignore[call-overload, no-any-return]  # any object may be asked for

    def __iter__(self) -> Iterator[str]:
        """In the order in which they came."""
        return islice(self._place, self._count)

    def __len__(self) -> int:
        """How many had come."""
        return self._count

    def __sub__(self, other: Set[object]) -> frozenset[str]:  # as `_from_iterable`
        """What has come since the other, or all that the other has not."""
        if isinstance(other, SoFar) and other._place is self._place:
            return frozenset(islice(self._place, other._count, max(self._count, other._count)))
        return frozenset(each for each in self if each not in other)

    def __hash__(self) -> int:
        """As of any set with the same members."""
        return self._hash()

    @classmethod
    def _from_iterable(cls, things: Collection[str]) -> frozenset[str]:  # type: ignore[override]  # of set operations
        return frozenset(things)
