"""The build: the sheet on the order of work, what waits for what, and how it all starts, stops and comes again."""

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
from falsework.faces.page.kept import Good
from falsework.faces.page.page import answer, page_of
from falsework.faces.page.pulled import Pulled
from falsework.faces.page.worked import job, shown, taken, told

WORK = job("build_work")
COMMANDS = ("loops", "cold-start", "shutdown", "rebuild")


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """Which order of work is asked for.

    Attributes:
        from_nothing: from bare parts, whatever is there today.
        begins: the first day of the calendar; None for an order without one.
    """

    from_nothing: bool = False
    begins: datetime.date | None = None

    @property
    def name(self) -> str:
        """Of the job."""
        return f"raise {'from nothing' if self.from_nothing else 'from today'} {self.begins or ''}".strip()

    def job(self, name: str = "work_order", /, **more: object) -> Work:
        """The job itself."""
        return job("build_work", name, from_nothing=self.from_nothing, begins=self.begins, **more)


async def sheet(request: Request) -> Response:
    """The sheet; `from` (today or nothing) and `begins=DAY` in the address say which order is meant."""
    pulled = Pulled.read(request.query_params)
    usual = request.query_params.get(
        "from", "nothing" if _all_there(page_of(request).keeper.good) else "today"
    )
    order, question = Order(from_nothing=usual == "nothing"), None
    try:
        order = replace(_order(request), from_nothing=usual == "nothing")
    except QuestionError as error:
        question = error
    raised, rest = await asyncio.gather(
        shown(request, order.name, order.job()),
        shown(request, "rebuild and start and stop", WORK, out=pulled.out),
    )
    return answer(
        request,
        "build.html.j2",
        title="The build",
        status=400 if question else 200,
        order=order,
        question=question,
        raised=raised,
        rest=rest,
    )


async def file(request: Request) -> Response:
    """A paper, a calendar or a drawing to take home; set in a process of its own if it is not there yet."""
    name = request.path_params["name"]
    out = Pulled.read(request.query_params).out
    stem = PurePosixPath(name).stem
    if stem in ("runbook", "calendar", "build"):
        order = _order(request)
        found = await shown(request, order.name, order.job(), begin=False)
        if stem == "build" or (found is not None and name in found.files and not found.before):
            return await taken(request, order.name, order.job(), name)
        return await taken(request, f"raise {name} {order.name}", order.job("work_paper", name=name), name)
    return await taken(request, f"rebuild {name}", job("build_work", "work_paper", name=name), name, out=out)


async def order_told(request: Request) -> Response:
    """As `falsework raise LAB` answers; `from` and `begins` as on the sheet."""
    order = _order(request)
    return await told(request, order.name, order.job(), "raise")


async def answered(request: Request) -> Response:
    """As the command of this name answers."""
    command = request.url.path.rpartition("/")[2]
    out = Pulled.read(request.query_params).out
    return await told(request, "rebuild and start and stop", WORK, command, out=out)


def _all_there(good: Good | None) -> bool:
    """Whether nobody says what is there today: then all of it is, and an order from today has no step."""
    today = good.lab.today if good is not None else None
    return today is None or (today.built is None and today.not_built is None)


def _order(request: Request) -> Order:
    begins = request.query_params.get("begins", "")
    try:
        day = datetime.date.fromisoformat(begins) if begins else None
    except ValueError:
        raise QuestionError(
            f"'{begins[:20]}' is no day", "Write year, month and day, as in 2026-12-04."
        ) from None
    return Order(from_nothing=request.query_params.get("from") == "nothing", begins=day)


ROUTES = [
    Route("/build", sheet),
    Route("/build/{name}", file),
    Route("/answers/raise", order_told),
    *(Route(f"/answers/{command}", answered) for command in COMMANDS),
]
