"""The record's figures for those who collect them: the same text as `falsework record LAB --openmetrics -`."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from falsework.analyses.history import Left, Past, Recovery, lefts, past, recovery
from falsework.errors import QuestionError
from falsework.faces.cli.recorded import MOST_PARTS
from falsework.faces.openmetrics import MEDIA_TYPE, exposition
from falsework.faces.page.kept import Good
from falsework.faces.page.page import Page, page_of
from falsework.record.keeping import live, record_of, runs
from falsework.record.reading import all_observed

Known = tuple[tuple[Past, ...], Recovery, tuple[Left, ...]]


async def metrics(request: Request) -> Response:
    """Everything as it is now; aims are told as soon as the check that the page began has judged them."""
    page = page_of(request)
    good = page.keeper.good
    if good is None:
        raise QuestionError("the lab file can't be read yet", "Mend its faults; the elevation lists them.")
    text = await run_in_threadpool(_text, page, good)
    return Response(text, headers={"Content-Type": MEDIA_TYPE, "Cache-Control": "no-store"})


def _text(page: Page, good: Good) -> str:
    record = record_of(page.keeper.path)
    state = live(record) if record.exists() else None
    with good.lock:
        found, recovered, left = _known(good, record)
        return exposition(good.standing, found, recovered, left, state, _aims(page))


def _known(good: Good, record: Path) -> Known:
    """What takes long, made anew only when a run has been begun, done or ended since."""
    kept = runs(record) if record.exists() else ()
    newest = kept[-1] if kept else None
    key = ("metrics", newest and (newest.number, newest.ended, newest.marks))
    asked = good.standing.asked
    known = asked.get(("metrics",))
    if isinstance(known, tuple) and known[0] == key:
        made: Known = known[1]
        if newest is None or newest.ended:
            return made
        # A run that goes on is read again, but for what it is laid beside.
        seen = all_observed(record)[-1]
        last = Past(observed=seen, comparison=made[0][-1].comparison, why_not=made[0][-1].why_not)
        return (*made[0][:-1], last), made[1], made[2]
    found = past(good.standing, all_observed(record) if kept else ())
    made = (
        found,
        recovery(good.standing, found),
        lefts(good.standing, pairs=len(good.standing.parts) <= MOST_PARTS),
    )
    asked[("metrics",)] = (key, made)
    return made


def _aims(page: Page) -> Mapping[str, bool | None] | None:
    made = page.jobs.state(page.check()).made
    answer = made.answers.get("check") if made is not None else None
    if not isinstance(answer, Mapping) or "aims" not in answer:
        return None
    return {each["name"]: each["met"] for each in answer["aims"]}


ROUTES = [Route("/metrics", metrics)]
