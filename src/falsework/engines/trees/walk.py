"""In which order can things be worked out that lean on each other, and do they lean in a circle?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

_NEW, _OPEN, _DONE = 0, 1, 2


class Circle(Exception):
    """Things lean on each other in a circle.

    Args:
        members: in order: each leans on the next, the last on the first.
    """

    def __init__(self, members: tuple[int, ...]) -> None:
        self.members = members
        super().__init__(members)


class Walk:
    """A walk over numbered things, each after all it leans on; never deep, however long a chain.

    Args:
        leans_on: for each thing the numbers of those it leans on.
    """

    def __init__(self, leans_on: Sequence[Sequence[int]]) -> None:
        self._leans_on = leans_on
        self._state = bytearray(len(leans_on))

    def below(self, roots: Iterable[int]) -> list[int]:
        """Return the roots and all below them that no earlier call returned, lowest first.

        Raises:
            Circle: there is one below the roots.

        Cost:
            O(things + leanings), over all calls together.
        """
        state, leans_on, order = self._state, self._leans_on, list[int]()
        for root in roots:
            if state[root]:
                continue
            state[root] = _OPEN
            way, rest = [root], [iter(leans_on[root])]
            while way:
                for below in rest[-1]:
                    if state[below] == _NEW:
                        state[below] = _OPEN
                        way.append(below)
                        rest.append(iter(leans_on[below]))
                        break
                    if state[below] == _OPEN:
                        raise Circle(tuple(way[way.index(below) :]))
                else:
                    state[way[-1]] = _DONE
                    order.append(way.pop())
                    rest.pop()
        return order
