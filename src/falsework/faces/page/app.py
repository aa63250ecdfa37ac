"""Which addresses does the page answer, and from what is the answer put together?"""

from __future__ import annotations

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from falsework.faces.page import file_sheet, standing_sheet
from falsework.faces.page.ink import ink_sheet
from falsework.faces.page.page import Page


def app(page: Page) -> Starlette:
    """The page as an ASGI application, without what guards it.

    Args:
        page: what its sheets share.
    """
    made = Starlette(
        routes=[
            *standing_sheet.ROUTES,
            *file_sheet.ROUTES,
            Route("/ink.css", _ink),
            Mount("/static", StaticFiles(packages=[("falsework.faces.page", "static")])),
        ]
    )
    made.state.page = page
    return made


def _ink(request: Request) -> Response:
    return PlainTextResponse(ink_sheet(), media_type="text/css", headers={"Cache-Control": "max-age=3600"})
