"""The elevation: what stands, and what happens when plugs are pulled?"""

from __future__ import annotations

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from falsework.errors import QuestionError
from falsework.faces.page.page import answer, page_of
from falsework.faces.page.pulled import Pulled
from falsework.faces.report.elevation import elevation


def standing(request: Request) -> Response:
    """The sheet."""
    good = page_of(request).keeper.good
    if good is None:
        return answer(request, "trouble.html.j2", title="Not read")
    pulled = Pulled.read(request.query_params)
    try:
        loss = good.lost(pulled.out) if pulled.out else None
    except QuestionError as error:
        return answer(request, "trouble.html.j2", title="No such part", question=error, status=404)
    with good.lock:
        drawn = elevation(good.standing, loss)
    return answer(request, "standing.html.j2", title="Elevation", drawing=Markup(drawn), loss=loss)


ROUTES = [Route("/", standing)]
