"""Which requests may the page answer, and what must its answers forbid the browser?"""

from __future__ import annotations

import contextlib
import hmac
import ipaddress
import logging
import os
import secrets
import socket
from collections.abc import Awaitable, Callable, Mapping, MutableMapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import parse_qsl, urlencode

from falsework.errors import FalseworkError
from falsework.faces.page.body import Gone, announced, whole
from falsework.faces.page.refusing import Refusal, header, raw, refusal_of, refuse

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
Application = Callable[[Scope, Receive, Send], Awaitable[None]]

LONGEST_ADDRESS = 16 * 1024
"""Bytes of path and question; several hundred parts fit."""

LARGEST_HEADERS = 32 * 1024
"""Bytes of all headers together."""

WRITE_HEADER = b"x-falsework"
"""Who writes names the run's token here; a form on another site can't set it."""

_READING = ("GET", "HEAD")
_log = logging.getLogger("falsework.page")


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """Where the page is served.

    Attributes:
        host: the address or name it was bound to, as the socket says it.
        port: of TCP.
        token: of this run.
    """

    host: str
    port: int
    token: str

    @property
    def is_loopback(self) -> bool:
        """Whether only this machine can reach it."""
        return is_loopback(self.host)

    @property
    def address(self) -> str:
        """Where a browser finds it, with the token where one is asked for."""
        host = self.host
        if host in ("0.0.0.0", "::", ""):
            host = _outward()
        shown = f"[{host}]" if ":" in host else host
        return f"http://{shown}:{self.port}/" + ("" if self.is_loopback else f"?token={self.token}")

    @property
    def cookie(self) -> str:
        """The name of the cookie that holds the token; cookies know no ports, so it does."""
        return f"falsework-{self.port}"


def is_loopback(host: str) -> bool:
    """Whether an address or name means this machine and nothing else."""
    try:
        return ipaddress.ip_address(host.strip("[]").partition("%")[0]).is_loopback
    except ValueError:
        return host.lower().rstrip(".") == "localhost"


def _outward() -> str:
    """An address of this machine that others may reach."""
    with contextlib.suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        probe.connect(("192.0.2.1", 9))  # nothing is sent: the system only chooses the way it would go
        return str(probe.getsockname()[0])
    return "127.0.0.1"


def guarded(application: Application, bound: Bound) -> Application:
    """Return an application that answers only what it may, and says so in its headers.

    It goes outermost, around everything that could fail.
    The request's state gets `nonce`, for the one style element that a whole page may hold, and `token`.

    Args:
        application: answers what is let through; a write reaches it with its body whole.
        bound: where it is served.
    """

    async def guard(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": 1008})
            return
        if scope["type"] != "http":
            await application(scope, receive, send)
            return
        nonce = secrets.token_urlsafe(16)
        answer = _Answer(send, headers(nonce, alone=bound.is_loopback))
        try:
            refusal = refused(scope, bound)
            if refusal is None and scope["method"] not in _READING:
                body = await whole(scope, receive)
                if isinstance(body, Refusal):
                    refusal = body
                else:
                    receive = _given(body, receive)
            if refusal is not None:
                await refuse(scope, answer, refusal)
                return
            state = {**scope.get("state", {}), "nonce": nonce, "token": bound.token}
            await application({**scope, "state": state}, receive, answer)
        except Gone:
            return
        except Exception as error:
            # What Starlette has answered for already it raises again, so that somebody may note it: here.
            if not isinstance(error, FalseworkError):
                _log.error("%s: %s", scope["path"], error, exc_info=bool(os.environ.get("FALSEWORK_DEBUG")))
            if not answer.begun:
                await refuse(scope, answer, refusal_of(error))

    return guard


def refused(scope: Mapping[str, Any], bound: Bound) -> Refusal | None:
    """Return why a request may not be answered, or None; looks at everything but the body."""
    return _too_long(scope) or _host(scope, bound) or _entry(scope, bound) or _write(scope, bound)


def _too_long(scope: Mapping[str, Any]) -> Refusal | None:
    path = scope.get("raw_path") or scope["path"].encode("utf-8", "replace")
    if len(path) + len(scope.get("query_string", b"")) > LONGEST_ADDRESS:
        return Refusal(
            status=414,
            what="the address is too long",
            mend="Take fewer parts out at once.",
            headers=(("connection", "close"),),
        )
    if sum(len(name) + len(value) for name, value in scope["headers"]) > LARGEST_HEADERS:
        return Refusal(
            status=431,
            what="the headers of the request are too large",
            mend="Delete the cookies that this browser keeps for this machine, and try again.",
            headers=(("connection", "close"),),
        )
    return None


def _host(scope: Mapping[str, Any], bound: Bound) -> Refusal | None:
    # A site elsewhere may let its name mean this machine; its pages then count as of this origin, but for
    # the name, which the browser tells here.
    if _is_own(header(scope, b"host") or "", bound):
        return None
    return Refusal(
        status=421,
        what="the page is not served under this name",
        mend=f"Open {Bound(host=bound.host, port=bound.port, token='').address.partition('?')[0]} instead.",
    )


def _is_own(given: str, bound: Bound) -> bool:
    name, port = given, "80"
    if given.startswith("["):
        name, _, rest = given[1:].partition("]")
        port = rest.removeprefix(":") or "80"
    elif ":" in given:
        name, _, port = given.partition(":")
    if port != str(bound.port):
        return False
    name = name.lower().rstrip(".")
    if bound.is_loopback:
        return name in ("localhost", bound.host.lower()) or is_loopback(name)
    if name == bound.host.lower():
        return True
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return name in {"localhost", socket.gethostname().lower(), socket.getfqdn().lower()}
    return True  # an address can't be made to mean another machine, and the token is asked for besides


def _entry(scope: Mapping[str, Any], bound: Bound) -> Refusal | None:
    """Whether the token is asked for and missing; who brings it in the address gets it as a cookie."""
    if bound.is_loopback:
        strange = header(scope, b"sec-fetch-site") in ("cross-site", "same-site")
        if strange and header(scope, b"sec-fetch-mode") != "navigate":
            return _from_elsewhere()  # another site's page that makes this one work, and learns nothing
        return None
    if _same(_cookie(scope, bound.cookie), bound.token):
        return None
    asked = parse_qsl(scope.get("query_string", b"").decode("latin-1"), keep_blank_values=True)
    tokens = [value for name, value in asked if name == "token"]
    if len(tokens) == 1 and scope["method"] in _READING and _same(tokens[0], bound.token):
        rest = urlencode([(name, value) for name, value in asked if name != "token"])
        # One slash only: two would begin the name of another machine.
        path = "/" + (scope.get("raw_path") or b"/").decode("latin-1").partition("?")[0].lstrip("/\\")
        to = path + (f"?{rest}" if rest else "")
        # Where a link on another site has led here, a browser keeps a strict cookie back from a redirect, but
        # not from a page of ours that leads on. Only where all is encrypted would it tell that it was such a link.
        is_browser = "text/html" in (header(scope, b"accept") or "")
        return Refusal(
            status=200 if is_browser else 303,
            what="the token is known",
            mend="The page follows.",
            headers=(
                ("refresh", f"0; url={to}") if is_browser else ("location", to),
                ("set-cookie", f"{bound.cookie}={bound.token}; HttpOnly; SameSite=Strict; Path=/"),
            ),
        )
    return Refusal(
        status=401,
        what="this page asks for the token of its run",
        mend="Open the whole address that the command printed, with ?token= at its end.",
        headers=(("connection", "close"),),
    )


def _write(scope: Mapping[str, Any], bound: Bound) -> Refusal | None:
    if scope["method"] in _READING:
        if announced(scope) != 0:
            return Refusal(
                status=400,
                what="a question has no body",
                mend="Ask in the address.",
                headers=(("connection", "close"),),
            )
        return None
    if scope["method"] != "POST":
        return Refusal(
            status=405,
            what=f"nothing here is done by {scope['method'][:20]}",
            mend="Read by GET, write by POST.",
            headers=(("allow", "GET, HEAD, POST"), ("connection", "close")),
        )
    origin = header(scope, b"origin")
    if origin is None or origin.lower() != f"http://{header(scope, b'host')}".lower():
        return _from_elsewhere()
    if header(scope, b"sec-fetch-site") not in (None, "same-origin"):
        return _from_elsewhere()
    if not _same(header(scope, WRITE_HEADER), bound.token):
        return Refusal(
            status=403,
            what="the token of this run is missing or of another run",
            mend="Nothing was changed. Load the page again and repeat the change.",
            headers=(("connection", "close"),),
        )
    return None


def _from_elsewhere() -> Refusal:
    return Refusal(
        status=403,
        what="the request comes from another page",
        mend="Nothing was changed. Open the page itself and do it there.",
        headers=(("connection", "close"),),
    )


def _same(given: str | None, token: str) -> bool:
    """Whether a token is the right one; takes as long for one that is nearly right."""
    return given is not None and hmac.compare_digest(given.encode(), token.encode())


def _cookie(scope: Mapping[str, Any], name: str) -> str | None:
    for key, value in scope["headers"]:
        if key == b"cookie":
            for pair in value.decode("latin-1").split(";"):
                left, _, right = pair.strip().partition("=")
                if left == name:
                    return str(right)
    return None


def _given(body: bytes, receive: Receive) -> Receive:
    """Give a body that was read once more, then whatever else comes."""
    left = [body]

    async def again() -> Message:
        if left:
            return {"type": "http.request", "body": left.pop(), "more_body": False}
        return await receive()

    return again


class _Answer:
    """Sends an answer, with the headers that every answer has."""

    def __init__(self, send: Send, headers: tuple[tuple[str, str], ...]) -> None:
        self._send = send
        self._headers = raw(headers)
        self.begun = False

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.begun = True
            given = list(message.get("headers", ()))
            names = {name.lower() for name, _ in given}
            more = [pair for pair in self._headers if pair[0] not in names]
            if b"etag" in names:  # a file of ours: kept, but asked about each time
                more = [(name, b"no-cache" if name == b"cache-control" else said) for name, said in more]
            message = {**message, "headers": [*given, *more]}
        await self._send(message)


def headers(nonce: str, *, alone: bool) -> tuple[tuple[str, str], ...]:
    """The headers of every answer, unless it has others by these names.

    Args:
        nonce: what a style element of the page must carry.
        alone: whether only this machine is served; elsewhere browsers trust no page that is not encrypted to
            keep itself apart from others, and complain of the header that asks for it.
    """
    policy = (
        "default-src 'none'; script-src 'self'; "
        f"style-src 'self' 'nonce-{nonce}'; "
        "img-src 'self' data:; font-src 'self'; connect-src 'self'; form-action 'self'; "
        "base-uri 'none'; frame-ancestors 'none'"
    )
    return (
        ("content-security-policy", policy),
        ("x-content-type-options", "nosniff"),
        # Not "no-referrer": with that, browsers may call the origin of our own writes "null".
        ("referrer-policy", "same-origin"),
        *((("cross-origin-opener-policy", "same-origin"),) if alone else ()),
        ("cross-origin-resource-policy", "same-origin"),
        ("permissions-policy", "camera=(), geolocation=(), microphone=(), payment=(), usb=()"),
        ("cache-control", "no-store"),
    )
