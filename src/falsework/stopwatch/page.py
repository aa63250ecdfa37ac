"""Is a page served, with the status and the words that are expected?"""

from __future__ import annotations

import re
from dataclasses import dataclass

import h11

from falsework.model.asks import USUAL_PORTS, Ask, Sort
from falsework.record.seen import Told
from falsework.stopwatch.certificates import pin_of
from falsework.stopwatch.desk import Desk, Target, Try
from falsework.stopwatch.tls import SecretTalk
from falsework.stopwatch.wire import Talk

MOST_BYTES = 262_144
"""No more of an answer is read than this."""
_STATUS = re.compile(r"(?:status )?([1-5][0-9]{2})", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What is asked for, and what a good answer is.

    Attributes:
        request: the request's bytes.
        status: the only good status; 0 for any below 400.
        words: what must be in the answer, small letters; empty for nothing.
    """

    request: bytes
    status: int
    words: str


class _Reading:
    """Reads one answer as it comes in."""

    __slots__ = ("_begins", "_body", "_connection", "_many", "_status", "_wanted")

    def __init__(self, wanted: Wanted) -> None:
        self._wanted = wanted
        self._connection = h11.Connection(h11.CLIENT)
        self._connection.send(h11.Request(method="GET", target="/", headers=[("Host", "-")]))
        self._connection.send(h11.EndOfMessage())
        self._body: list[bytes] = []
        self._begins = b""
        self._many = 0
        self._status = 0

    def heard(self, data: bytes) -> tuple[Told, str] | None:
        """What is told, as soon as that is known."""
        self._many += len(data)
        self._begins = self._begins or data[:5]
        try:
            self._connection.receive_data(data)
            while True:
                event = self._connection.next_event()
                if isinstance(event, h11.Response):
                    self._status = event.status_code
                    no = self._status_no()
                    if no:
                        return Told.NO, no
                elif isinstance(event, h11.Data):
                    if self._wanted.words:
                        self._body.append(bytes(event.data))
                elif isinstance(event, h11.EndOfMessage):
                    return self._judged()
                elif event is h11.NEED_DATA or event is h11.PAUSED:
                    break
                elif isinstance(event, h11.ConnectionClosed):
                    return Told.NO, "closed without an answer"
        except h11.RemoteProtocolError:
            if not self._many:
                return Told.NO, "closed without an answer"
            if not self._begins.startswith(b"HTTP/"):
                return Told.NO, "an answer that is no HTTP"
            return Told.NO, "a broken answer" if data else "cut off"
        if self._many > MOST_BYTES:
            return self._judged() if self._status else (Told.NO, "a beginning without an end")
        return None

    def _status_no(self) -> str:
        wanted = self._wanted.status
        good = self._status == wanted if wanted else self._status < 400
        return "" if good else f"status {self._status}"

    def _judged(self) -> tuple[Told, str]:
        words = self._wanted.words
        if words and words not in b"".join(self._body).decode("utf-8", "replace").casefold():
            return Told.NO, "the words are not in it"
        return Told.YES, ""


class _Page(Talk):
    """A page asked for in the open."""

    __slots__ = ("_reading", "_wanted")

    def __init__(self, probe: int, desk: Desk, target: Target, wanted: Wanted) -> None:
        self._wanted = wanted
        self._reading = _Reading(wanted)
        super().__init__(probe, desk, target)

    def opened(self, desk: Desk) -> None:
        """Ask for it."""
        self.say(desk, self._wanted.request)

    def heard(self, desk: Desk, data: bytes) -> None:
        """Read on."""
        told = self._reading.heard(data)
        if told is not None:
            desk.tell(self, *told)


class _SecretPage(SecretTalk):
    """A page asked for in secret."""

    __slots__ = ("_reading", "_wanted", "_warning")

    def __init__(
        self, probe: int, desk: Desk, target: Target, wanted: Wanted, *, host: str, pin: str
    ) -> None:
        self._wanted = wanted
        self._reading = _Reading(wanted)
        self._warning = ""
        super().__init__(probe, desk, target, host=host, pin=pin)

    def welcome(self, desk: Desk, warning: str) -> None:
        """Ask for it."""
        self._warning = warning
        self.say(desk, self._wanted.request)

    def heard(self, desk: Desk, data: bytes) -> None:
        """Read on."""
        told = self._reading.heard(data)
        if told is not None:
            desk.tell(self, told[0], told[1] or self._warning)


class Page:
    """Asks for a page, follows nothing it points to, and reads a quarter of a megabyte of it at most.

    Args:
        ask: the page.
        expects: `status 200`, `sha256` and the sum of the one certificate that is good, or words of the answer.
    """

    __slots__ = ("_host", "_pin", "_secret", "_wanted")

    def __init__(self, ask: Ask, expects: str) -> None:
        self._secret = ask.sort is Sort.HTTPS
        self._host = ask.host
        self._pin = pin_of(expects) if self._secret else ""
        status = _STATUS.fullmatch(expects.strip())
        words = "" if status or self._pin else expects.strip().casefold()
        self._wanted = Wanted(request=_request(ask), status=int(status[1]) if status else 0, words=words)

    def ask(self, desk: Desk, probe: int, target: Target) -> Try | None:
        """Ask for it once."""
        page: Talk
        if self._secret:
            page = _SecretPage(probe, desk, target, self._wanted, host=self._host, pin=self._pin)
        else:
            page = _Page(probe, desk, target, self._wanted)
        return None if page.over else page

    def close(self, desk: Desk) -> None:
        """Tries share nothing."""


def _request(ask: Ask) -> bytes:
    host = f"[{ask.host.partition('%')[0]}]" if ":" in ask.host else ask.host
    headers = [
        ("Host", host if ask.port == USUAL_PORTS[ask.sort] else f"{host}:{ask.port}"),
        ("User-Agent", "falsework stopwatch"),
        ("Accept", "*/*"),
        ("Accept-Encoding", "identity"),
        ("Connection", "close"),
    ]
    connection = h11.Connection(h11.CLIENT)
    request = connection.send(h11.Request(method="GET", target=ask.about or "/", headers=headers))
    assert request is not None
    return request
