"""How is the page served until the person at the keyboard has seen enough?"""

from __future__ import annotations

import contextlib
import logging
import secrets
import socket
import threading
import webbrowser
from collections.abc import AsyncIterator, Callable
from dataclasses import dataclass
from pathlib import Path
from types import FrameType

import uvicorn
from starlette.applications import Starlette

from falsework.errors import QuestionError
from falsework.faces.page.app import app, marked
from falsework.faces.page.beside import leave
from falsework.faces.page.events import Hub
from falsework.faces.page.kept import Keeper
from falsework.faces.page.news import News
from falsework.faces.page.page import Page
from falsework.faces.page.patience import MOST_CONNECTIONS, Patient, make_room
from falsework.faces.page.safety import Bound, guarded
from falsework.faces.page.watching import seen


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
        QuestionError: the address or port can't be had, there is no such file, or no such part is out.
    """
    make_room()
    known = seen(wanted.lab)
    keeper = Keeper(wanted.lab, wanted.out)
    keeper.read()
    for fault in keeper.trouble.faults[:1] if keeper.trouble else ():
        if fault.where is None:  # nothing that an edit of the file would mend: a slip in the command
            raise QuestionError(fault.what, fault.mend)
    page = Page(keeper=keeper, token=secrets.token_urlsafe(24))
    listening = _bound(wanted.host, wanted.port)
    bound = Bound(host=wanted.host, port=listening.getsockname()[1], token=page.token)
    made = app(page)
    begun: list[News] = []

    @contextlib.asynccontextmanager
    async def life(made: Starlette) -> AsyncIterator[None]:
        news = News(page, made.state.later.load)
        begun.append(news)
        news.begin(known)
        say(bound.address)
        if wanted.open:
            threading.Thread(target=webbrowser.open, args=(bound.address,), daemon=True).start()
        yield
        await news.end()
        if hasattr(made.state, "looking"):
            made.state.looking.close()

    made.router.lifespan_context = life
    config = uvicorn.Config(
        guarded(marked(made, page, lambda: begun[0].looked_at()), bound),
        http=Patient,
        loop="asyncio",
        ws="none",
        lifespan="on",
        log_level="error",
        access_log=False,
        server_header=False,
        proxy_headers=False,
        limit_concurrency=MOST_CONNECTIONS,
        timeout_graceful_shutdown=2,
    )
    with contextlib.suppress(KeyboardInterrupt):
        _Server(config, page.hub).run(sockets=[listening])
    leave()


class _Server(uvicorn.Server):
    """Ends the streams of events first: while they are open it would wait for them.

    An answer that is cut off by the interrupt is no fault to tell of.
    """

    def __init__(self, config: uvicorn.Config, hub: Hub) -> None:
        super().__init__(config)
        self._hub = hub

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        self._hub.close_soon()
        logging.getLogger("uvicorn.error").setLevel(logging.CRITICAL)
        super().handle_exit(sig, frame)


def _bound(host: str, port: int) -> socket.socket:
    """A socket that listens.

    Raises:
        QuestionError: the address or port can't be had.
    """
    try:
        family, kind, proto, _, place = socket.getaddrinfo(
            host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )[0]
        with contextlib.ExitStack() as undo:
            listening = undo.enter_context(socket.socket(family, kind, proto))
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            listening.bind(place)
            listening.listen(512)
            undo.pop_all()  # it listens, so it stays open
    except (OSError, OverflowError) as error:
        reason = str(getattr(error, "strerror", "") or error).lower()
        raise QuestionError(
            f"{host} port {port} can't be listened on ({reason})",
            "Name another with --port, or leave it out: then a free one is taken.",
        ) from error
    return listening
