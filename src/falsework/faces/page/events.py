"""How do all open pages learn at once that something is new?"""

from __future__ import annotations

import asyncio
import contextlib
import itertools
import json
import secrets
from collections.abc import Awaitable, Callable, Mapping, MutableMapping
from typing import Any
from urllib.parse import parse_qs

from falsework.faces.page.refusing import Refusal, header, raw, refuse

MOST_CLIENTS = 1_000
"""Open streams; who comes later is asked to come again."""

MOST_KINDS = 64
"""Kinds of events that wait for one client; the oldest give way."""

BEAT_S = 15.0
"""Seconds of silence after which a stream shows that it is alive."""

SLOWEST_S = 60.0
"""Seconds for which a client may take nothing; then it is let go."""

_Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]
_Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]


class Hub:
    """Gives each event to every client that listens, encoded once.

    A client that reads slowly holds nobody up: of each kind only the newest waits for it.
    The hub is itself the ASGI application that answers with the stream; all its methods but those
    that end in `_soon` are called on the thread of the event loop.
    """

    def __init__(
        self, *, most: int = MOST_CLIENTS, beat_s: float = BEAT_S, slowest_s: float = SLOWEST_S
    ) -> None:
        self.run = secrets.token_hex(6)
        self._most = most
        self._beat_s = beat_s
        self._slowest_s = slowest_s
        self._count = 0
        self._clients: set[_Client] = set()
        self._newest: dict[str, tuple[int, bytes]] = {}
        self._closed = False
        self._loop: asyncio.AbstractEventLoop | None = None

    def __len__(self) -> int:
        """Return how many clients listen."""
        return len(self._clients)

    @property
    def mark(self) -> str:
        """What a page drawn now gives as `since`, so as to miss nothing that comes after."""
        return f"{self.run}-{self._count}"

    def publish(self, event: str, data: object, *, kind: str | None = None, keep: bool = True) -> None:
        """Give an event to every client.

        Args:
            event: its name.
            data: text, or what JSON can say.
            kind: events of one kind replace each other while they wait; by default those of one name.
            keep: whether the newest of its kind is also for clients that connect later.
        """
        self._count += 1
        text = data if isinstance(data, str) else json.dumps(data, separators=(",", ":"))
        piece = encoded(event, text, self.mark)
        kind = kind or event
        self._newest.pop(kind, None)
        if keep:
            while len(self._newest) >= MOST_KINDS:
                del self._newest[next(iter(self._newest))]
            self._newest[kind] = (self._count, piece)
        for client in self._clients:
            client.give(kind, piece)

    def publish_soon(self, event: str, data: object, *, kind: str | None = None, keep: bool = True) -> None:
        """Do the same from another thread; before the first client and after the end nobody hears it."""
        if self._loop is not None and not self._closed:
            with contextlib.suppress(RuntimeError):  # the loop may end meanwhile
                self._loop.call_soon_threadsafe(lambda: self.publish(event, data, kind=kind, keep=keep))

    def begin(self) -> None:
        """Note the loop that events are published on."""
        self._loop = asyncio.get_running_loop()

    def close(self) -> None:
        """End every stream, and let nobody in any more."""
        self._closed = True
        for client in self._clients:
            client.end()

    def close_soon(self) -> None:
        """Do the same from another thread, or from a handler of signals."""
        if self._loop is not None:
            with contextlib.suppress(RuntimeError):
                self._loop.call_soon_threadsafe(self.close)

    async def __call__(self, scope: MutableMapping[str, Any], receive: _Receive, send: _Send) -> None:
        """Answer one client with the stream."""
        if self._loop is None:
            self.begin()
        if self._closed or len(self._clients) >= self._most:
            await refuse(scope, send, _FULL)
            return
        if scope["method"] == "HEAD":
            await send({"type": "http.response.start", "status": 200, "headers": _HEADERS})
            await send({"type": "http.response.body", "body": b""})
            return
        client = _Client()
        for kind, piece in self._missed(_since(scope)):
            client.give(kind, piece)
        self._clients.add(client)
        watch = asyncio.ensure_future(_until_gone(receive, client))
        try:
            await self._stream(client, send)
        finally:
            self._clients.discard(client)
            watch.cancel()

    async def _stream(self, client: _Client, send: _Send) -> None:
        hello = json.dumps({"run": self.run, "mark": self.mark})
        await send({"type": "http.response.start", "status": 200, "headers": _HEADERS})
        await self._put(send, b"retry: 1000\n\n" + encoded("hello", hello, ""))
        while True:
            try:
                async with asyncio.timeout(self._beat_s):
                    await client.waiting.wait()
                pieces = client.take()
            except TimeoutError:
                pieces = b": still here\n\n"
            if client.ended:
                break
            try:
                await self._put(send, pieces)
            except TimeoutError:
                self._clients.discard(client)  # its last word waits on, for it alone
                break
        await send({"type": "http.response.body", "body": b"", "more_body": False})

    async def _put(self, send: _Send, piece: bytes) -> None:
        async with asyncio.timeout(self._slowest_s):
            await send({"type": "http.response.body", "body": piece, "more_body": True})

    def _missed(self, since: str) -> list[tuple[str, bytes]]:
        if not since:
            return []
        run, _, count = since.rpartition("-")
        seen = int(count) if run == self.run and count.isdecimal() else 0
        return [(kind, piece) for kind, (number, piece) in self._newest.items() if number > seen]


class _Client:
    """What waits for one client: of each kind the newest, in the order in which they came."""

    __slots__ = ("_pieces", "ended", "waiting")

    def __init__(self) -> None:
        self._pieces: dict[str, bytes] = {}
        self.waiting = asyncio.Event()
        self.ended = False

    def give(self, kind: str, piece: bytes) -> None:
        self._pieces.pop(kind, None)
        if len(self._pieces) >= MOST_KINDS:
            del self._pieces[next(iter(self._pieces))]
        self._pieces[kind] = piece
        self.waiting.set()

    def take(self) -> bytes:
        self.waiting.clear()
        taken = b"".join(self._pieces.values())
        self._pieces.clear()
        return taken

    def end(self) -> None:
        self.ended = True
        self.waiting.set()


def encoded(event: str, data: str, mark: str) -> bytes:
    """An event as a stream of server-sent events has it.

    Args:
        event: its name, without line ends.
        data: any text; each of its lines becomes a line.
        mark: its id, or "" for none.
    """
    lines = [f"event: {event}"]
    if mark:
        lines.append(f"id: {mark}")
    # The stream knows three ways to end a line; what str.splitlines knows besides is text.
    text = data.replace("\r\n", "\n").replace("\r", "\n")
    lines += [f"data: {line}" for line in text.split("\n")]
    return ("\n".join(lines) + "\n\n").encode("utf-8", "replace")


def _since(scope: Mapping[str, Any]) -> str:
    last = header(scope, b"last-event-id")
    if last:
        return last
    asked = parse_qs(scope.get("query_string", b"").decode("latin-1"))
    return next(itertools.islice(asked.get("since", ()), 1), "")


async def _until_gone(receive: _Receive, client: _Client) -> None:
    while (await receive())["type"] != "http.disconnect":
        pass
    client.end()


_HEADERS = raw(
    (
        ("content-type", "text/event-stream; charset=utf-8"),
        ("cache-control", "no-store"),
        ("connection", "close"),  # a stream that has ended is not followed by another request
    )
)
_FULL = Refusal(
    status=503,
    what="too many pages listen, or the page is being closed",
    mend="Close some, or try again in a few seconds.",
    headers=(("retry-after", "5"),),
)
