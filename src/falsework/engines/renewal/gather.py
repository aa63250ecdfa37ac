"""How is work done in numbered blocks, until that is enough or somebody says stop?"""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterable
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

T = TypeVar("T")
T_co = TypeVar("T_co", covariant=True)


class Block(Protocol[T_co]):
    """Work that depends on nothing but the number of its block."""

    def __call__(self, number: int, /) -> T_co:
        """The result of one block."""
        ...


class Workers(Protocol):
    """Whoever works blocks: this process, several, or several machines."""

    def __call__(self, block: Block[T], numbers: Iterable[int], /) -> Generator[T, None, None]:
        """The results in the order of the numbers, as they come."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Gathered(Generic[T]):
    """What was worked.

    Attributes:
        results: of the blocks from 0 on, without a gap.
        enough: whether it was enough before all blocks were worked.
        stopped: whether somebody said stop.
    """

    results: tuple[T, ...]
    enough: bool
    stopped: bool


def here(block: Block[T], numbers: Iterable[int]) -> Generator[T, None, None]:
    """Work the blocks in this process."""
    for number in numbers:
        yield block(number)


def gather(
    workers: Workers,
    block: Block[T],
    most: int,
    *,
    enough: Callable[[tuple[T, ...]], bool] = lambda _: False,
    progress: Callable[[int, int], None] | None = None,
) -> Gathered[T]:
    """Work blocks 0, 1, 2, ... until that is enough.

    What comes back depends on the blocks only, never on who worked them or how fast: results are looked at in
    the order of their numbers, and what was worked beyond enough is thrown away.

    Args:
        workers: who works.
        block: the work.
        most: how many blocks at the most.
        enough: asked after each block, with all results so far.
        progress: told how many blocks are done, of how many.
    """
    results: list[T] = []
    coming = workers(block, range(most))
    try:
        for result in coming:
            results.append(result)
            if progress is not None:
                progress(len(results), most)
            if enough(tuple(results)):
                return Gathered(results=tuple(results), enough=True, stopped=False)
    except KeyboardInterrupt:
        return Gathered(results=tuple(results), enough=False, stopped=True)
    finally:
        coming.close()
    return Gathered(results=tuple(results), enough=False, stopped=False)
