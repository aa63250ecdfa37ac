"""Does a server greet with the words that are expected?"""

from __future__ import annotations

from falsework.record.seen import Told
from falsework.stopwatch.desk import Desk, Target, Try
from falsework.stopwatch.wire import Talk

MOST_BYTES = 4_096
"""A greeting is no longer than this."""


class _Greeting(Talk):
    """A connection that is only listened to."""

    __slots__ = ("_heard", "_words")

    def __init__(self, probe: int, desk: Desk, target: Target, words: str) -> None:
        self._words = words
        self._heard = b""
        super().__init__(probe, desk, target)

    def heard(self, desk: Desk, data: bytes) -> None:
        """Listen on until the words are there, or can't come any more."""
        self._heard += data
        if self._words in self._heard[:MOST_BYTES].decode("utf-8", "replace").casefold():
            desk.tell(self, Told.YES)
        elif not data or len(self._heard) > MOST_BYTES:
            desk.tell(self, Told.NO, "the words are not in it" if self._heard else "closed without a word")


class Greeted:
    """Opens a connection and waits for words.

    A connection alone is made by the system, also for a server that hangs: its greeting shows that it does not.

    Args:
        expects: words of the greeting.
    """

    __slots__ = ("_words",)

    def __init__(self, expects: str) -> None:
        self._words = expects.strip().casefold()

    def ask(self, desk: Desk, probe: int, target: Target) -> Try | None:
        """Listen once."""
        greeting = _Greeting(probe, desk, target, self._words)
        return None if greeting.over else greeting

    def close(self, desk: Desk) -> None:
        """Tries share nothing."""
