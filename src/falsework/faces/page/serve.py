"""How is the page served until the person at the keyboard has seen enough?"""

from __future__ import annotations

import asyncio
import contextlib
import secrets
import socket
import webbrowser
from collections.abc import AsyncIterator, Callable
from dataclasses import dataclass
from pathlib import Path

import uvicorn
from starlette.applications import Starlette

from falsework.errors import QuestionError
from falsework.faces.page.app import app
from falsework.faces.page.kept import Keeper
from falsework.faces.page.page import Page

LOOPBACK = ("127.0.0.1", "localhost", "::1")


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """How the page shall be served.

    Attributes:
        lab: a lab file or a folder of them.
        out: parts that are out beforehand.
        host: the address that is listened on.
        port: the port; 0 takes a free one.
        open: whether a browser is opened on it.
    """

    lab: Path
    out: tuple[str, ...] = ()
    host: str = "127.0.0.1"
    port: int = 0
    open: bool = True


def serve(wanted: Wanted, say: Callable[[str], None]) -> None:
    """Serve until interrupted.

    Args:
        wanted: how.
        say: told the address, once it answers.

    Raises:
        QuestionError: the address or port can't be had.
    """
    keeper = Keeper(wanted.lab, wanted.out)
    keeper.read()
    page = Page(keeper=keeper, token=secrets.token_urlsafe(24))
    listening = _bound(wanted.host, wanted.port)
    host = f"[{wanted.host}]" if ":" in wanted.host else wanted.host
    address = f"http://{host}:{listening.getsockname()[1]}/"
    if wanted.host not in LOOPBACK:
        address += f"?token={page.token}"
    made = app(page)
    made.router.lifespan_context = _life(lambda: _opened(address, wanted, say))
    config = uvicorn.Config(
        made,
        log_level="warning",
        access_log=False,
        server_header=False,
        ws="none",
        lifespan="on",
        timeout_graceful_shutdown=1,
    )
    with contextlib.suppress(KeyboardInterrupt):
        uvicorn.Server(config).run(sockets=[listening])


def _life(ready: Callable[[], None]) -> Callable[[Starlette], contextlib.AbstractAsyncContextManager[None]]:
    @contextlib.asynccontextmanager
    async def life(made: Starlette) -> AsyncIterator[None]:
        ready()
        yield

    return life


def _opened(address: str, wanted: Wanted, say: Callable[[str], None]) -> None:
    say(address)
    if wanted.open:
        asyncio.get_running_loop().run_in_executor(None, webbrowser.open, address)


def _bound(host: str, port: int) -> socket.socket:
    """A socket that listens.

    Raises:
        QuestionError: the address or port can't be had.
    """
    try:
        family, kind, proto, _, place = socket.getaddrinfo(
            host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )[0]
        listening = socket.socket(family, kind, proto)
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind(place)
        listening.listen(512)
    except (OSError, OverflowError) as error:
        reason = str(getattr(error, "strerror", "") or error).lower()
        raise QuestionError(
            f"{host} port {port} can't be listened on ({reason})",
            "Name another with --port, or leave it out: then a free one is taken.",
        ) from error
    return listening
