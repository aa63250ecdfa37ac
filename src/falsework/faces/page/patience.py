"""How long may a client hold a connection without having asked for anything?"""

from __future__ import annotations

import asyncio
import contextlib

from uvicorn.protocols.http.h11_impl import H11Protocol

SLOWEST_HEAD_S = 20.0
"""Seconds until the first request of a connection must have arrived, but for its body."""

MOST_CONNECTIONS = 1_500
"""Open connections; more get 503. There are up to 1,000 streams of events among them."""

MOST_FILES = 4_096
"""Open files that are asked of the system: each connection is one."""


class Patient(H11Protocol):
    """Speaks HTTP as the server does, but hangs up on who connects and does not ask.

    A request that goes on and on in its headers ends here too; later ones are bounded by the server itself.
    """

    _waiting: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override] # as in the server's own
        """Begin to wait for the first request."""
        super().connection_made(transport)
        self._waiting = self.loop.call_later(SLOWEST_HEAD_S, self._enough)

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait no longer."""
        if self._waiting is not None:
            self._waiting.cancel()
        super().connection_lost(exc)

    def _enough(self) -> None:
        if self.cycle is None:
            self.transport.abort()


def make_room() -> None:
    """Ask the system for as many open files as there may be connections; where it has no such bound, nothing."""
    with contextlib.suppress(ImportError, OSError, ValueError):
        import resource

        soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
        wanted = MOST_FILES if hard == resource.RLIM_INFINITY else min(MOST_FILES, hard)
        if soft != resource.RLIM_INFINITY and soft < wanted:
            resource.setrlimit(resource.RLIMIT_NOFILE, (wanted, hard))
