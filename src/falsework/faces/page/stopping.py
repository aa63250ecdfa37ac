"""How does the person who looks end work that takes too long?"""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from falsework.errors import QuestionError
from falsework.faces.errors import FORMAT
from falsework.faces.page.page import page_of


async def stop(request: Request) -> Response:
    """Ask a job to end with what it has.

    The form or JSON names it by `key`; the result comes as any other, by an event.
    """
    kind = request.headers.get("content-type", "")
    try:
        given = await (request.json() if kind.startswith("application/json") else request.form())
        key = given["key"]
    except (ValueError, KeyError, TypeError, RecursionError):
        raise QuestionError("it is not said which work to stop", "Load the sheet again.") from None
    if not isinstance(key, str) or not page_of(request).jobs.stop(key):
        raise QuestionError("this work is not going on any more", "Load the sheet again.")
    return JSONResponse({"format": FORMAT, "command": "look", "status": 0, "stopping": key})


ROUTES = (Route("/jobs/stop", stop, methods=["POST"]),)
