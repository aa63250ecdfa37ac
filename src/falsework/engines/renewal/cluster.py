"""Who works blocks when one machine is not enough? The only file that needs the extra `cluster`."""

from __future__ import annotations

from collections import deque
from collections.abc import Generator, Iterable
from dataclasses import dataclass
from typing import Any, TypeVar

from falsework.engines.renewal.gather import Block
from falsework.errors import MissingExtra, QuestionError

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Cluster:
    """The workers of a scheduler that is running already; the block must be picklable.

    Attributes:
        address: of the scheduler, such as `tcp://10.20.10.9:8786`.
        wait_s: how long to wait for an answer from it, seconds.
    """

    address: str
    wait_s: float = 10.0

    def __call__(self, block: Block[T], numbers: Iterable[int]) -> Generator[T, None, None]:
        """The results in the order of the numbers; closing this stops the work.

        Raises:
            MissingExtra: the extra is not installed.
            QuestionError: no scheduler answers there.
        """
        with self._client() as client:
            ahead = 2 * max(sum(client.ncores().values()), 1)
            waiting: deque[Any] = deque()
            try:
                for number in numbers:
                    waiting.append(client.submit(block, number, pure=False))
                    if len(waiting) > ahead:
                        yield waiting.popleft().result()
                while waiting:
                    yield waiting.popleft().result()
            finally:
                client.cancel(list(waiting))

    def _client(self) -> Any:  # noqa: ANN401 - the library has no types
        try:
            from distributed import Client
        except ImportError:
            raise MissingExtra(
                what="work on a cluster needs an extra that is not installed",
                mend="Install it with: pip install 'falsework[cluster]'.",
            ) from None
        try:
            return Client(self.address, timeout=self.wait_s)  # type: ignore[no-untyped-call]  # it has no types
        except (OSError, ValueError) as error:
            raise QuestionError(
                what=f"no scheduler answers at {self.address!r} ({type(error).__name__})",
                mend="Start one there, or leave the address out to work on this machine.",
            ) from None
