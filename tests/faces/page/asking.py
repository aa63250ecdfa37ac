"""A page without server, processes and watching, and a client that asks it."""

import asyncio
from pathlib import Path
from typing import Any

import httpx2 as httpx
from starlette.applications import Starlette

from falsework.faces.page.app import app
from falsework.faces.page.child import made_by
from falsework.faces.page.jobs import Jobs, Progress
from falsework.faces.page.kept import Keeper
from falsework.faces.page.page import Page


class AtOnce(Jobs):
    """Does all work here and now instead of in a process beside."""

    def _start(self, job: Any) -> None:
        def told(what: str, done: int, of: int) -> None:
            self.tell(Progress(asked=job.asked, what=what, done=done, of=of))

        self._ended(job, made_by(job.work, job.asked, told))


def page_for(lab: Path, out: tuple[str, ...] = ()) -> Page:
    """The page of a lab that has just been read; what is asked of its jobs is done by the time they answer."""
    keeper = Keeper(lab, out)
    keeper.read()
    return Page(keeper=keeper, token="a token of this run", jobs=AtOnce())


class Client:
    """Asks an application as a browser on the page would; errors that it has no answer to are raised."""

    def __init__(self, application: Starlette) -> None:
        self.application = application

    def get(self, address: str, **options: Any) -> httpx.Response:
        """Ask for an address."""
        return self.ask("GET", address, **options)

    def post(self, address: str, **options: Any) -> httpx.Response:
        """Write to an address."""
        return self.ask("POST", address, **options)

    def ask(self, method: str, address: str, **options: Any) -> httpx.Response:
        """Send a request; the options are those of `httpx`."""

        async def asked() -> httpx.Response:
            way = httpx.ASGITransport(self.application)
            async with httpx.AsyncClient(transport=way, base_url="http://127.0.0.1:8000") as client:
                return await client.request(method, address, **options)

        return asyncio.run(asked())


def client(page: Page | Starlette) -> Client:
    """A client of a page, or of an application made of some of its routes."""
    return Client(page if isinstance(page, Starlette) else app(page))
