"""A finding: which edits of the file would mend it, what would they change, and shall one be written?"""

from __future__ import annotations

import json
from urllib.parse import quote, urlencode

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from falsework.errors import QuestionError
from falsework.faces.page import saving
from falsework.faces.page.child import Work
from falsework.faces.page.lines import address_of_file
from falsework.faces.page.page import answer, page_of
from falsework.faces.page.pulled import Pulled
from falsework.faces.page.worked import job, shown, told

LONGEST_KEY = 120


async def sheet(request: Request) -> Response:
    """The sheet of one finding, by its key in the address: each edit as a difference, to be looked at first."""
    pulled = Pulled.read(request.query_params)
    finding = _finding(request)
    return answer(
        request,
        "mend.html.j2",
        title="A mend",
        finding=finding,
        written=[(name, address_of_file(name)) for name in _written(request)],
        mend=await shown(request, f"mend {finding}", _work(finding), out=pulled.out),
    )


async def write(request: Request) -> Response:
    """Write one of the edits that are shown, and nothing else, unless the file has changed."""
    page = page_of(request)
    pulled, finding = Pulled.read(request.query_params), _finding(request)
    made = page.jobs.state(page.asked(f"mend {finding}", out=pulled.out)).made
    change = (
        made.files.get(f"change-{request.query_params.get('offer', '')}.json") if made is not None else None
    )
    try:
        if change is None:
            raise QuestionError("this edit was made from an older file", "Nothing was written. Look again.")
        texts = json.loads(change)
        await run_in_threadpool(saving.save_all, page.keeper.path, texts)
    except QuestionError as error:
        return answer(request, "mend.html.j2", title="A mend", status=409, finding=finding, question=error)
    where = urlencode([("finding", finding), *(("written", name) for name in texts)], quote_via=quote)
    return RedirectResponse(f"/mend?{where}", status_code=303)


def _work(finding: str) -> Work:
    return job("mend_work", finding=finding)


def _written(request: Request) -> tuple[str, ...]:
    """Files that were just written, as the address says; only those of the lab."""
    known = saving.files_of(page_of(request).keeper.path)
    return tuple(name for name in request.query_params.getlist("written") if name in known)


def _finding(request: Request) -> str:
    found = request.query_params.get("finding", "")
    if not found or len(found) > LONGEST_KEY or not found.isprintable():
        raise QuestionError("no finding is named", "Choose one on the sheet of aims and findings.")
    return found


async def mend_told(request: Request) -> Response:
    """As `falsework mend LAB KEY` answers; the key is `finding` in the address."""
    pulled, finding = Pulled.read(request.query_params), _finding(request)
    return await told(request, f"mend {finding}", _work(finding), "mend", out=pulled.out)


ROUTES = [
    Route("/mend", sheet),
    Route("/mend/write", write, methods=["POST"]),
    Route("/answers/mend", mend_told),
]
