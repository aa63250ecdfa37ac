"""The record's figures for those who collect them: the same text as `falsework record LAB --openmetrics -`."""

from __future__ import annotations

import threading
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from falsework.analyses.history import Left, Past, Recovery, lefts, past, recovery
from falsework.errors import QuestionError
from falsework.faces.openmetrics import MEDIA_TYPE, exposition
from falsework.faces.page.kept import Good
from falsework.faces.page.page import Page, page_of
from falsework.record.keeping import live, observed, record_of, runs
from falsework.record.reading import all_observed
from falsework.support.standing import Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class _Known:
    """What takes long, and what it is of: a reading of the lab, and the newest run as it was then.

    It has a support graph of its own, since in a very large lab the work takes seconds, in which nobody who pulls a
    plug on the page shall wait.
    """

    good: Good
    newest: tuple[object, ...]
    standing: Standing
    runs: tuple[Past, ...]
    recovery: Recovery
    left: tuple[Left, ...]


_turn = threading.Lock()
_last: list[_Known] = []  # what was worked out last; one at the most


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
    with _turn:
        known = _known(good, record)
    runs_ = known.runs
    if state is not None and not state.ended and runs_:
        # A run that goes on is read again, but for what it is laid beside.
        newest = observed(record, runs_[-1].observed.run.number)
        runs_ = (*runs_[:-1], replace(runs_[-1], observed=newest))
    return exposition(known.standing, runs_, known.recovery, known.left, state, _aims(page))


def _known(good: Good, record: Path) -> _Known:
    """Worked out anew only when the lab was read again, or a run has been begun, marked or ended since."""
    kept = runs(record) if record.exists() else ()
    newest = (kept[-1].number, kept[-1].ended, kept[-1].marks) if kept else ()
    before = _last[0] if _last and _last[0].good is good else None
    if before is not None and before.newest == newest:
        return before
    standing = before.standing if before is not None else Standing(good.lab, out=sorted(good.standing.out))
    found = past(standing, all_observed(record) if kept else ())
    made = _Known(
        good=good,
        newest=newest,
        standing=standing,
        runs=found,
        recovery=recovery(standing, found),
        left=before.left if before is not None else lefts(standing),
    )
    _last[:] = [made]
    return made


def _aims(page: Page) -> Mapping[str, bool | None] | None:
    made = page.jobs.state(page.check()).made
    answer = made.answers.get("check") if made is not None else None
    if not isinstance(answer, Mapping) or "aims" not in answer:
        return None
    return {each["name"]: each["met"] for each in answer["aims"]}


ROUTES = [Route("/metrics", metrics)]
