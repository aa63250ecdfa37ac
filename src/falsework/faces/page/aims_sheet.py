"""Aims and findings: what is met, what breaks it, where in the file, and how is it mended?"""

from __future__ import annotations

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from falsework.faces.page.page import answer, page_of
from falsework.faces.page.pulled import Pulled
from falsework.faces.page.worked import job, shown

CHECK = job("judging")


async def sheet(request: Request) -> Response:
    """The sheet; it tells the same as the verdict in the title block, from the same check."""
    page = page_of(request)
    pulled = Pulled.read(request.query_params)
    work = await shown(request, "check", CHECK, out=pulled.out)
    told = None
    if work is not None:
        state = page.jobs.state(page.asked("check", out=pulled.out))
        made = state.made or state.older
        told = made.answers.get("aims") if made is not None and not made.failed else None
    return answer(
        request,
        "aims.html.j2",
        title="Aims and findings",
        work=work,
        told=Markup(told) if isinstance(told, str) else "",  # made by a template of ours, everything escaped
    )


ROUTES = [Route("/aims", sheet)]
