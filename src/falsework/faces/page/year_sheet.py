"""The year: the sheet on how often and how long each service is out, and on years drawn of it."""

from __future__ import annotations

import asyncio

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from falsework.errors import QuestionError
from falsework.faces.page.child import Work
from falsework.faces.page.given import whole
from falsework.faces.page.page import answer
from falsework.faces.page.pulled import Pulled
from falsework.faces.page.worked import job, shown, taken, told

USUAL_YEARS, MOST_YEARS = 1_000, 1_000_000
"""Years drawn if nobody says how many, and at the most."""
ODDS = job("year_work")


async def sheet(request: Request) -> Response:
    """The sheet; `years` in the address draws so many."""
    pulled = Pulled.read(request.query_params)
    count, question = USUAL_YEARS, None
    try:
        count = _count(request)
    except QuestionError as error:
        question = error
    asked = "years" in request.query_params and question is None
    odds, years = await asyncio.gather(
        shown(request, "odds", ODDS, out=pulled.out),
        shown(request, f"years {count}", _draw(count), out=pulled.out, begin=asked),
    )
    return answer(
        request,
        "year.html.j2",
        title="The year",
        status=400 if question else 200,
        odds=odds,
        years=years,
        count=count,
        most=MOST_YEARS,
        asked=asked,
        question=question,
    )


async def file(request: Request) -> Response:
    """A drawing to take home."""
    out = Pulled.read(request.query_params).out
    name = request.path_params["name"]
    if name == "years.svg":
        count = _count(request)
        return await taken(request, f"years {count}", _draw(count), name, out=out)
    return await taken(request, "odds", ODDS, name, out=out)


async def odds_told(request: Request) -> Response:
    """As `falsework odds LAB` answers; with `ranges=yes` in the address as with --ranges."""
    command = "odds --ranges" if request.query_params.get("ranges") == "yes" else "odds"
    return await told(request, "odds", ODDS, command, out=Pulled.read(request.query_params).out)


async def years_told(request: Request) -> Response:
    """As `falsework years LAB --years N` answers."""
    count = _count(request)
    out = Pulled.read(request.query_params).out
    return await told(request, f"years {count}", _draw(count), "years", out=out)


def _draw(count: int) -> Work:
    return job("year_work", "work_years", count=count)


def _count(request: Request) -> int:
    what, mend = "number of years that can be drawn", f"Ask for 1 to {MOST_YEARS:,}."
    return whole(request, "years", usual=USUAL_YEARS, most=MOST_YEARS, what=what, mend=mend)


ROUTES = [
    Route("/year", sheet),
    Route("/year/{name}", file),
    Route("/answers/odds", odds_told),
    Route("/answers/years", years_told),
]
