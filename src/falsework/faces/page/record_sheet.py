"""Reports of runs to take home: one page, paper, or JSON."""

from __future__ import annotations

import json
import re
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from falsework.analyses.history import past
from falsework.errors import QuestionError
from falsework.faces.cli.running import BROKEN, MET
from falsework.faces.page.kept import Good
from falsework.faces.page.page import page_of
from falsework.faces.plain_record import run_answer
from falsework.faces.report.run_page import run_report
from falsework.record.keeping import observed, record_of
from falsework.record.reading import going

_NAME = re.compile(r"run-([0-9]{1,9})\.(html|pdf|json)")
_KINDS = {"html": "text/html; charset=utf-8", "pdf": "application/pdf", "json": "application/json"}


async def report(request: Request) -> Response:
    """A run told whole; the file's name says which, and in which form."""
    name = request.path_params["name"]
    found = _NAME.fullmatch(name)
    if found is None:
        raise QuestionError(
            f"there is no '{name[:40]}' to take home", "Ask for run-1.html, run-1.pdf or run-1.json."
        )
    page = page_of(request)
    if page.keeper.good is None:
        raise QuestionError("the lab file can't be read yet", "Mend its faults; the elevation lists them.")
    record = record_of(page.keeper.path)
    body = await run_in_threadpool(_body, page.keeper.good, record, int(found[1]), found[2])
    headers = {"Cache-Control": "no-store", "Content-Disposition": f'attachment; filename="{name}"'}
    return Response(body, media_type=_KINDS[found[2]], headers=headers)


def _body(good: Good, record: Path, number: int, form: str) -> bytes:
    seen = observed(record, number)
    goes_on = not seen.run.ended and going(record) == number
    with good.lock:
        (one,) = past(good.standing, [seen])
        if form == "json":
            status = BROKEN if one.comparison is not None and not one.comparison.right else MET
            return json.dumps(run_answer(good.standing, record, one, status, running=goes_on)).encode()
        return run_report(Path(f"run.{form}"), good.standing, one, runs=goes_on)


ROUTES = [Route("/record/{name}", report)]
