"""Which addresses does the page answer, and from what is the answer put together?"""

from __future__ import annotations

from collections.abc import Callable

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp, Receive, Scope, Send

from falsework.faces.page import standing_sheet
from falsework.faces.page.ink import ink_sheet
from falsework.faces.page.later import Later
from falsework.faces.page.page import Page
from falsework.faces.page.refusing import HANDLERS

LATER = (
    "failures_sheet",
    "aims_sheet",
    "year_sheet",
    "build_sheet",
    "places_sheet",
    "hardware_sheet",
    "drills_sheet",
    "stopwatch_sheet",
    "diagnosis_sheet",
    "file_sheet",
    "mend_sheet",
    "metrics_sheet",
    "record_sheet",
    "stopping",
    "answers",
)
"""Modules of this folder with ROUTES that the first page does without: they load once it is out."""


def app(page: Page) -> Starlette:
    """The page as an ASGI application, without what guards it.

    Args:
        page: what its sheets share.
    """
    later = Later([f"falsework.faces.page.{name}" for name in LATER])
    made = Starlette(
        routes=[
            *standing_sheet.ROUTES,
            Route("/events", endpoint=page.hub),
            Route("/ink.css", _ink),
            Mount("/static", StaticFiles(packages=[("falsework.faces.page", "static")])),
            Mount("", later),
        ],
        exception_handlers=HANDLERS,
    )
    made.state.page = page
    made.state.later = later
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
