"""The drills: the sheet on what is worth trying on purpose, when, and whether it may be done today."""

from __future__ import annotations

import asyncio
import datetime
from dataclasses import dataclass, replace
from pathlib import PurePosixPath

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from falsework.errors import QuestionError
from falsework.faces.page.child import Work
from falsework.faces.page.given import whole
from falsework.faces.page.page import answer
from falsework.faces.page.pulled import LONGEST_NAME, Pulled
from falsework.faces.page.worked import job, shown, taken, told

USUAL_DAYS, MOST_DAYS = 14, 366
"""Days from one drill to the next if nobody says otherwise, and at the most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """When the drills are to be done.

    Attributes:
        begins: the day of the first; None for today.
        days: from one to the next.
    """

    begins: datetime.date | None = None
    days: int = USUAL_DAYS

    @property
    def name(self) -> str:
        """Of the job."""
        return f"drills {self.begins or 'today'} {self.days}"

    def dated(self) -> Pace:
        """The same from today on where no day is said: what tells days is of one day, and must not be kept for the next."""
        return replace(self, begins=self.begins or datetime.date.today())

    def job(self, name: str = "work", /, **more: object) -> Work:
        """The job itself."""
        return job("drills_work", name, begins=self.begins, days=self.days, **more)


async def sheet(request: Request) -> Response:
    """The sheet; `begins` and `every` in the address set the pace, `may` asks about one drill."""
    pulled, pace, question = Pulled.read(request.query_params), Pace(), None
    try:
        pace = _pace(request)
    except QuestionError as error:
        question = error
    # Not the `may` of the elevation, which asks about a part.
    asked = request.query_params.get("drill", "")[:LONGEST_NAME]
    found, may = await asyncio.gather(
        shown(request, pace.name, pace.job(), out=pulled.out),
        shown(
            request,
            f"may drill {asked}",
            job("drills_work", "work_may", name=asked),
            out=pulled.out,
            begin=bool(asked),
        ),
    )
    return answer(
        request,
        "drills.html.j2",
        title="The drills",
        status=400 if question else 200,
        found=found,
        may=may if asked else None,
        asked=asked,
        pace=pace,
        most=MOST_DAYS,
        question=question,
    )


async def file(request: Request) -> Response:
    """The calendar or the paper to take home."""
    name, pace = request.path_params["name"], _pace(request).dated()
    out = Pulled.read(request.query_params).out
    if PurePosixPath(name).stem != "drills":
        raise QuestionError(f"there is no '{name[:40]}' to take home", "The sheet lists what there is.")
    return await taken(request, f"{pace.name} {name}", pace.job("work_paper", name=name), name, out=out)


async def drills_told(request: Request) -> Response:
    """As `falsework drills LAB` answers; with `drill=NAME` in the address as with that name."""
    out, pace = Pulled.read(request.query_params).out, _pace(request).dated()
    asked = request.query_params.get("drill", "")[:LONGEST_NAME]
    if asked:
        work = job("drills_work", "work_may", name=asked)
        return await told(request, f"may drill {asked}", work, "drills", out=out)
    return await told(request, pace.name, pace.job(), "drills", out=out)


def _pace(request: Request) -> Pace:
    begins = request.query_params.get("begins", "")
    try:
        day = datetime.date.fromisoformat(begins) if begins else None
    except ValueError:
        raise QuestionError(
            f"'{begins[:20]}' is no day", "Write year, month and day, as in 2026-12-04."
        ) from None
    if not request.query_params.get("every", ""):
        return Pace(begins=day)
    mend = f"Ask for 1 to {MOST_DAYS} days."
    days = whole(request, "every", usual=USUAL_DAYS, most=MOST_DAYS, what="pace", mend=mend)
    return Pace(begins=day or datetime.date.today(), days=days)  # who sets a pace wants to see the days


ROUTES = [
    Route("/drills", sheet),
    Route("/drills/{name}", file),
    Route("/answers/drills", drills_told),
]
