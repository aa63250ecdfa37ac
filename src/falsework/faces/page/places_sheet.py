"""Where copies run: the sheet on room after each loss, and on better places."""

from __future__ import annotations

import asyncio
import json

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from falsework.errors import QuestionError
from falsework.faces.page import saving
from falsework.faces.page.child import Work
from falsework.faces.page.given import whole
from falsework.faces.page.page import answer, page_of
from falsework.faces.page.pulled import Pulled
from falsework.faces.page.worked import job, shown, taken, told

USUAL_S, MOST_S = 30, 3600
"""Seconds of searching if nobody says otherwise, and at the most."""
CHANGE = "change.json"
ROOM = job("places_work")


async def sheet(request: Request) -> Response:
    """The sheet; `search` in the address looks for better places, for so many seconds."""
    pulled = Pulled.read(request.query_params)
    seconds, question = USUAL_S, None
    try:
        seconds = _seconds(request)
    except QuestionError as error:
        question = error
    asked = "search" in request.query_params and question is None
    room, search = await asyncio.gather(
        shown(request, "room", ROOM, out=pulled.out),
        shown(request, f"place {seconds}", _search(seconds), out=pulled.out, begin=asked),
    )
    return answer(
        request,
        "places.html.j2",
        title="Where copies run",
        status=400 if question else 200,
        room=room,
        search=search,
        seconds=seconds,
        most=MOST_S,
        asked=asked,
        question=question,
        written="written" in request.query_params and "search" not in request.query_params,
    )


async def write(request: Request) -> Response:
    """Write where the copies are placed into the lab file, as shown, and nothing else.

    The texts are those that the search left here; each takes its file's place only if that is what it was.
    """
    page = page_of(request)
    pulled, seconds = Pulled.read(request.query_params), _seconds(request)
    made = page.jobs.state(page.asked(f"place {seconds}", out=pulled.out)).made
    if made is None or CHANGE not in made.files:
        raise QuestionError(
            "these places are not known any more; nothing was written", "Look for better places again."
        )
    await run_in_threadpool(saving.save_all, page.keeper.path, json.loads(made.files[CHANGE]))
    back = pulled.address("/places")
    return RedirectResponse(f"{back}{'&' if '?' in back else '?'}written=yes", status_code=303)


async def file(request: Request) -> Response:
    """The drawing to take home."""
    seconds, name = _seconds(request), request.path_params["name"]
    if name == CHANGE:
        raise QuestionError(f"there is no '{name}' to take home", "The sheet lists what there is.")
    out = Pulled.read(request.query_params).out
    return await taken(request, f"place {seconds}", _search(seconds), name, out=out)


async def room_told(request: Request) -> Response:
    """As `falsework room LAB` answers."""
    return await told(request, "room", ROOM, "room", out=Pulled.read(request.query_params).out)


async def place_told(request: Request) -> Response:
    """As `falsework place LAB --seconds N` answers; with `diff=yes` in the address as with --diff."""
    seconds, out = _seconds(request), Pulled.read(request.query_params).out
    command = "place --diff" if request.query_params.get("diff") == "yes" else "place"
    return await told(request, f"place {seconds}", _search(seconds), command, out=out)


def _search(seconds: int) -> Work:
    return job("places_work", "work_search", seconds=float(seconds))


def _seconds(request: Request) -> int:
    what, mend = "time to look for places", f"Ask for 1 to {MOST_S:,} seconds."
    return whole(request, "search", usual=USUAL_S, most=MOST_S, what=what, mend=mend)


ROUTES = [
    Route("/places", sheet),
    Route("/places/write", write, methods=["POST"]),
    Route("/places/{name}", file),
    Route("/answers/room", room_told),
    Route("/answers/place", place_told),
]
