"""Which addresses does the page answer, and from what is the answer put together?"""

from __future__ import annotations

from collections.abc import Callable

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp, Receive, Scope, Send

from falsework.faces.page import (
    answers,
    build_sheet,
    failures_sheet,
    file_sheet,
    hardware_sheet,
    mend_sheet,
    places_sheet,
    standing_sheet,
    stopping,
    year_sheet,
)
from falsework.faces.page.ink import ink_sheet
from falsework.faces.page.page import Page
from falsework.faces.page.refusing import HANDLERS


def app(page: Page) -> Starlette:
    """The page as an ASGI application, without what guards it.

    Args:
        page: what its sheets share.
    """
    made = Starlette(
        routes=[
            *standing_sheet.ROUTES,
            *failures_sheet.ROUTES,
            *year_sheet.ROUTES,
            *build_sheet.ROUTES,
            *places_sheet.ROUTES,
            *hardware_sheet.ROUTES,
            *file_sheet.ROUTES,
            *mend_sheet.ROUTES,
            *stopping.ROUTES,
            *answers.ROUTES,
            Route("/events", endpoint=page.hub),
            Route("/ink.css", _ink),
            Mount("/static", StaticFiles(packages=[("falsework.faces.page", "static")])),
        ],
        exception_handlers=HANDLERS,
    )
    made.state.page = page
    return made


def marked(application: ASGIApp, page: Page, looked_at: Callable[[], None]) -> ASGIApp:
    """The same, but each request knows which news there was before it was begun.

    Args:
        application: answers.
        page: whose news.
        looked_at: called after each answer that is one.
    """

    async def answering(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await application(scope, receive, send)
            return
        state = {**scope.get("state", {}), "mark": page.hub.mark}
        await application({**scope, "state": state}, receive, send)
        if scope["path"] != "/events":
            looked_at()

    return answering


def _ink(request: Request) -> Response:
    return PlainTextResponse(ink_sheet(), media_type="text/css", headers={"Cache-Control": "max-age=3600"})
