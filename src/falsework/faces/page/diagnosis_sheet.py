"""What broke: the sheet on which part it most likely was, and on what to look at next."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from urllib.parse import quote, urlencode

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from falsework import units
from falsework.errors import QuestionError
from falsework.faces.page.child import Work
from falsework.faces.page.page import answer, page_of
from falsework.faces.page.pulled import LONGEST_NAME, MOST_NAMES, Pulled
from falsework.faces.page.safety import LONGEST_ADDRESS
from falsework.faces.page.worked import job, shown, told
from falsework.model.lab import Lab
from falsework.model.parts import Node
from falsework.support.probing import questions
from falsework.units import Dimension

PLAN = job("diagnosis_work", "work_plan")
MOST_OPEN = 100
"""A longer list of services is folded."""
MOST_MACHINES = 300
"""Names of no more machines than this are offered where one is typed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What the address says of what fails; the names are those of the form."""

    fails: tuple[str, ...] = ()
    answers: tuple[str, ...] = ()
    looked: tuple[str, ...] = ()
    since: str = ""

    @property
    def anything(self) -> bool:
        """Whether there is anything to go by."""
        return bool(self.fails or self.answers or self.looked)

    def each(self, out: Sequence[str]) -> Iterator[tuple[str, str]]:
        """What is said one by one, in words, with the address of the sheet on which it is not said."""
        for name in self.fails:
            yield f"{name} fails", replace(self, fails=_without(self.fails, name)).address(out)
        for name in self.answers:
            yield f"{name} is answered", replace(self, answers=_without(self.answers, name)).address(out)
        for name in self.looked:
            yield name, replace(self, looked=_without(self.looked, name)).address(out)
        if self.since:
            yield f"it began {self.since} ago", replace(self, since="").address(out)

    def address(self, out: Sequence[str]) -> str:
        """The address of the sheet that says the same."""
        pairs = [("out", each) for each in out]
        pairs += [
            (key, each)
            for key, names in (("fails", self.fails), ("answers", self.answers), ("looked", self.looked))
            for each in names
        ]
        pairs += [("since", self.since)] if self.since else []
        return f"/diagnosis?{urlencode(pairs, quote_via=quote)}" if pairs else "/diagnosis"


async def sheet(request: Request) -> Response:
    """The sheet; `fails`, `answers` and `looked` in the address are what is known."""
    page, pulled, said = page_of(request), Pulled.read(request.query_params), _said(request)
    question = None
    try:
        work = _work(said)
    except QuestionError as error:
        question, work = error, _work(Said())
    asked = said.anything and question is None
    found = await shown(request, _name(said), work, out=pulled.out, begin=asked) if asked else None
    plans = "plan" in request.query_params
    plan = await shown(request, "diagnose plan", PLAN, out=pulled.out, begin=plans) if plans else None
    good = page.keeper.good
    record = await run_in_threadpool(_record, page.keeper.path) if not said.anything else ""
    probes = [(each.name, each.ask.words) for each in questions(good.lab)] if good else []
    services = good.standing.support.services if good else ()
    in_rows = {*services, *(name for name, _ in probes)}
    machines = (
        [str(name) for name, thing in good.lab.things.items() if isinstance(thing, Node)] if good else []
    )
    return answer(
        request,
        "diagnosis.html.j2",
        title="What broke",
        status=400 if question else 200,
        said=said,
        known=tuple(said.each(pulled.out)),
        anew=Said().address(pulled.out),
        machines=machines if len(machines) <= MOST_MACHINES else (),
        found=found,
        plan=plan,
        plans=plans,
        question=question,
        record=record,
        probes=probes,
        services=services,
        most_open=MOST_OPEN,
        others=[
            (key, name)
            for key, names in (("fails", said.fails), ("answers", said.answers))
            for name in names
            if name not in in_rows
        ],
    )


async def from_record(request: Request) -> Response:
    """The sheet with what the stopwatch saw last."""
    page, pulled = page_of(request), Pulled.read(request.query_params)
    good = page.keeper.good
    if good is None:
        raise QuestionError("the lab file can't be read yet", "Mend its faults; the elevation lists them.")
    said = await run_in_threadpool(_seen, page.keeper.path, good.lab)
    address = said.address(pulled.out)
    if len(address) > LONGEST_ADDRESS or len(said.answers) > MOST_NAMES:
        raise QuestionError(
            f"the newest run has {len(said.fails) + len(said.answers)} probes, too many for one address of the page",
            f"Run falsework diagnose {page.keeper.path} --from-record in the terminal.",
        )
    return RedirectResponse(address, status_code=303)


async def diagnose_told(request: Request) -> Response:
    """As `falsework diagnose LAB --failing ... --json` answers."""
    said = _said(request)
    out = Pulled.read(request.query_params).out
    if "plan" in request.query_params:
        return await told(request, "diagnose plan", PLAN, "diagnose plan", out=out)
    return await told(request, _name(said), _work(said), "diagnose", out=out)


def _said(request: Request) -> Said:
    query = request.query_params

    def names(key: str) -> tuple[str, ...]:
        given = (each.strip() for each in query.getlist(key))
        return tuple(dict.fromkeys(each for each in given if 0 < len(each) <= LONGEST_NAME))[:MOST_NAMES]

    return Said(
        fails=names("fails"),
        answers=names("answers"),
        looked=names("looked"),
        since=query.get("since", "").strip()[:40],
    )


def _without(names: Sequence[str], name: str) -> tuple[str, ...]:
    return tuple(each for each in names if each != name)


def _name(said: Said) -> str:
    return f"diagnose {json.dumps([said.fails, said.answers, said.looked, said.since])}"


def _work(said: Said) -> Work:
    since_s: float | None = None
    if said.since:
        since_s = units.asked(said.since, Dimension.TIME, by="since when")
    return job(
        "diagnosis_work",
        failing=said.fails,
        answered=said.answers,
        looked=said.looked,
        since_s=since_s,
        since=said.since,
    )


def _record(lab: Path) -> str:
    """The record of the stopwatch beside the lab, if there is one."""
    # Only here: the page itself needs no record.
    from falsework.record.keeping import record_of

    path = record_of(lab)
    return str(path) if path.exists() else ""


def _seen(file: Path, lab: Lab) -> Said:
    """What the newest run of the record says."""
    from falsework.analyses.diagnosis.recorded import newest
    from falsework.record.keeping import record_of

    path = record_of(file)
    known = newest(path, lab)
    if known is None:
        raise QuestionError(f"the record '{path}' has no run yet", "Say by hand what fails.")
    since = "" if known.since_s is None else units.format(round(known.since_s), Dimension.TIME)
    return Said(fails=known.failing, answers=known.answered, since=since)


ROUTES = [
    Route("/diagnosis", sheet),
    Route("/diagnosis/record", from_record),
    Route("/answers/diagnose", diagnose_told),
]
